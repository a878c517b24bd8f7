"""From a request to the bag in hand: requests, the grid for one of them, crossmatch, issue, return."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buffycoat.issuing import forms
from buffycoat.issuing.crossmatches import CrossmatchRead, ReadCrossmatch, spoke_against, why_not_crossmatched
from buffycoat.issuing.forecast import Outlook, outlook
from buffycoat.issuing.models import IssueRow, RequestRow
from buffycoat.issuing.paper import issue_slip
from buffycoat.issuing.requests import BloodRequested, CloseRequest, RequestBlood, stream_of
from buffycoat.issuing.rules import IssueUnit, NoteRefusedIssue, ReturnUnit, why_crossmatched_first
from buffycoat.journal.book import Book
from buffycoat.journal.record import record
from buffycoat.labels.models import UnitRow
from buffycoat.matching.compatibility import AVOID, FITS, NEVER, SECOND
from buffycoat.matching.grid import GridRow, Wanted, donor_types, grid
from buffycoat.patients.models import PatientRow
from buffycoat.patients.rules import Patient
from buffycoat.patients.rules import stream_of as stream_of_patient
from buffycoat.science.numbering import show_code
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import again, recorded, seen
from buffycoat.site.rules import limits
from buffycoat.storage.stock import stock

CLOSED = 200


@dataclass(frozen=True, kw_only=True)
class Offered:
    """One unit for a request: how it suits, why it has no crossmatch that counts, and what it would do to the PCV."""

    row: GridRow
    crossmatch: str
    crossmatch_verdict: str
    outlook: Outlook | None

    @property
    def may_be_next(self) -> bool:
        """It fits, and no crossmatch spoke against it; one that is missing can still be made."""
        return self.row.verdict in (FITS, SECOND) and self.crossmatch_verdict != NEVER


@require_safe
def requests(request: HttpRequest) -> HttpResponse:
    rows = RequestRow.objects.select_related("patient")
    shown = {"open": rows.filter(closed=""), "closed": rows.exclude(closed="")[:CLOSED]}
    return render(request, "issuing/requests.html", shown)


def new(request: HttpRequest, patient: str) -> HttpResponse:
    row = get_object_or_404(PatientRow, pk=patient)
    form = forms.RequestForm(
        request.POST or None, seen=seen(stream_of_patient(patient)), initial=again(request)
    )
    if request.method == "POST" and form.is_valid():
        names = [name for name in RequestBlood.__dataclass_fields__ if name != "patient"]
        command = RequestBlood(patient=patient, **{name: form.cleaned_data[name] for name in names})
        if done := recorded(request, form, command):
            made = done.the(BloodRequested)
            messages.success(
                request, f"{show_code(made.request)}: {made.volume_ml} mL of {made.kind_wanted} asked."
            )
            return redirect("request", made.request)
    return render(request, "issuing/new.html", {"form": form, "patient": row})


@require_safe
def one(request: HttpRequest, number: str) -> HttpResponse:
    """The request with every unit on the shelf against its patient."""
    row = _row(number)
    book, now = Book(), datetime.now(UTC)
    patient = book(Patient, row.patient_id)
    units = stock(now, limits(book))
    wanted = Wanted(
        species=row.patient.species,
        kind=row.kind_wanted,
        blood_type=patient.blood_type,
        antibodies=patient.antibodies,
    )
    rows = grid(wanted, units, donor_types(units) if wanted.antibodies else {})
    due = why_crossmatched_first(book, patient, row.kind_wanted, now)
    offered = [_offered(each, row, bool(due), now) for each in rows]
    shown = {
        "row": row,
        "offered": offered,
        "best": next((each for each in offered if each.may_be_next), None),
        "crossmatch": due,
        "given": IssueRow.objects.filter(request=number).select_related("unit"),
    }
    return render(request, "issuing/request.html", shown)


def _offered(grid_row: GridRow, row: RequestRow, due: bool, now: datetime) -> Offered:
    unit = grid_row.unit.row
    against = spoke_against(Book(), row.patient_id, unit.unit)
    missing = (
        "; ".join(why_not_crossmatched(Book(), row.patient_id, unit.unit, now)) if due or against else ""
    )
    return Offered(
        row=grid_row,
        crossmatch=missing or ("compatible" if due else "not due"),
        crossmatch_verdict=NEVER if against else AVOID if missing else FITS,
        outlook=outlook(row, unit),
    )


def _row(number: str) -> RequestRow:
    return get_object_or_404(RequestRow.objects.select_related("patient"), pk=number)


def close(request: HttpRequest, number: str) -> HttpResponse:
    row = _row(number)
    form = forms.CloseForm(request.POST or None, seen=seen(stream_of(number)))
    if request.method == "POST" and form.is_valid():
        command = CloseRequest(request=number, why=form.cleaned_data["why"])
        if recorded(request, form, command):
            messages.success(request, f"{show_code(number)} is closed.")
            return redirect("requests")
    return render(request, "issuing/close.html", {"form": form, "row": row})


def crossmatch(request: HttpRequest, number: str) -> HttpResponse:
    row = _row(number)
    form = forms.CrossmatchForm(
        request.POST or None, seen=seen(stream_of_patient(row.patient_id)), initial=again(request)
    )
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        grades = {name: int(values[name]) for name in ("major", "minor", "control", "haemolysis")}
        command = ReadCrossmatch(
            patient=row.patient_id,
            unit=values["unit"],
            major=grades["major"],
            minor=grades["minor"],
            control=grades["control"],
            haemolysis=grades["haemolysis"],
            method=values["method"],
            reader=request.user.get_username(),
        )
        if done := recorded(request, form, command):
            fact = done.the(CrossmatchRead)
            word = "compatible" if fact.compatible else "NOT compatible"
            messages.success(
                request, f"{show_code(fact.unit)} is {word} with {row.patient.name}: {fact.because}."
            )
            return redirect("request", number)
    return render(request, "issuing/crossmatch.html", {"form": form, "row": row})


def issue(request: HttpRequest, number: str) -> HttpResponse:
    """Scan the band, then the bag. What is never right is refused, and the attempt is written down."""
    row = _row(number)
    name = request.user.get_username()
    form = forms.IssueForm(request.POST or None, issued_by=name, seen=seen(stream_of(number)))
    if request.method == "POST" and form.is_valid():
        values: dict[str, Any] = {
            key: form.cleaned_data[key] for key in ("patient", "unit", "emergency", "released_by")
        }
        command = IssueUnit(request=number, issued_by=name, **values)
        if recorded(request, form, command):
            messages.success(
                request, f"{show_code(command.unit)} is given out for {row.patient.name}. Print the slip."
            )
            return redirect("unit-issued", command.unit)
        _note(command, name, uuid5(form.cleaned_data["command_id"], "refused").hex)
    return render(request, "issuing/issue.html", {"form": form, "row": row})


def _note(command: IssueUnit, name: str, command_id: str) -> None:
    """The same form sent again is the same attempt."""
    never = command.never(Book(), datetime.now(UTC))
    if never:
        note = NoteRefusedIssue(
            request=command.request,
            patient=command.patient,
            unit=command.unit,
            because="; ".join(never),
            tried_by=name,
        )
        record(note, by=name, command_id=command_id)


@require_safe
def issued(request: HttpRequest, unit: str) -> HttpResponse:
    row = get_object_or_404(IssueRow.objects.select_related("unit"), pk=unit)
    shown = {"row": row, "request_row": _row(row.request)}
    return render(request, "issuing/issued.html", shown)


@require_safe
def slip(request: HttpRequest, unit: str) -> HttpResponse:
    row = get_object_or_404(IssueRow.objects.select_related("unit"), pk=unit)
    return pdf_answer(issue_slip(row, _row(row.request).patient, limits(Book())), f"slip-{unit}")


def give_back(request: HttpRequest, unit: str) -> HttpResponse:
    row = get_object_or_404(IssueRow.objects.select_related("unit"), pk=unit)
    form = forms.ReturnForm(request.POST or None, seen=seen(f"donation/{row.donation_id}"))
    if request.method == "POST" and form.is_valid():
        command = ReturnUnit(unit=unit, why=form.cleaned_data["why"])
        if recorded(request, form, command):
            messages.success(request, f"{show_code(unit)} is back. Put it away at once, or discard it.")
            return redirect(f"{reverse('put-away')}?unit={unit}")
    shown = {"form": form, "row": row, "unit": UnitRow.objects.get(pk=unit)}
    return render(request, "issuing/return.html", shown)
