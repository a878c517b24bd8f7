"""Patients at the desk and at the bench: register, weigh, type by two readers, and say what it had before."""

from datetime import UTC, datetime
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buffycoat.donors.blood_types import IN_DOUBT, ON_THE_LABEL, SYSTEMS, system_of
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command
from buffycoat.matching.crossmatch import BEFORE, NOT_KNOWN
from buffycoat.patients import forms
from buffycoat.patients.models import PatientRow
from buffycoat.patients.paper import patient_band
from buffycoat.patients.rules import (
    FindAntibody,
    Patient,
    PatientRegistered,
    PatientTyped,
    RegisterPatient,
    TellHistory,
    TypePatient,
    WeighPatient,
    stream_of,
)
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.forms import BenchForm
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.shell.words import day
from buffycoat.site.rules import limits


@require_safe
def patients(request: HttpRequest) -> HttpResponse:
    return render(request, "patients/patients.html", {"patients": PatientRow.objects.all()})


def new(request: HttpRequest) -> HttpResponse:
    form = forms.PatientForm(request.POST or None, initial=again(request))
    if request.method == "POST" and form.is_valid():
        values = {name: form.cleaned_data[name] for name in RegisterPatient.__dataclass_fields__}
        if done := recorded(request, form, RegisterPatient(**values)):
            made = done.the(PatientRegistered)
            messages.success(request, f"{made.name} is registered. Next: print its band, then type it.")
            return redirect("patient", made.patient)
    return render(request, "patients/new.html", {"form": form})


def _known(patient: str) -> Patient:
    state = Book()(Patient, patient)
    if state.registered is None:
        raise Http404(f"No patient has the number {patient}: scan its band again, or register it.")
    return state


@require_safe
def patient(request: HttpRequest, patient: str) -> HttpResponse:
    state = _known(patient)
    assert state.registered
    types = [(system, state.type_in(system)) for system in SYSTEMS[state.registered.species]]
    shown = {
        "patient": state,
        "row": get_object_or_404(PatientRow, pk=patient),
        "types": [
            (system, found, found.how == IN_DOUBT) for system, found in types if system in state.readings
        ],
        "find": f"{reverse('match')}?{urlencode(_looked_for(state), doseq=True)}",
    }
    return render(request, "patients/patient.html", shown)


def _looked_for(state: Patient) -> dict[str, object]:
    """What the page that finds blood asks, as far as it is known of this patient."""
    assert state.registered
    history = state.history
    asked: dict[str, object] = {
        "species": state.registered.species,
        "kind": "red cells",
        "blood_type": state.blood_type,
        "transfused": history.transfused if history else NOT_KNOWN,
        "antibodies": list(state.antibodies),
    }
    if history and history.transfused == BEFORE and history.first_on:
        today = datetime.now(UTC).astimezone(limits(Book()).zone).date()
        asked["days_since"] = (today - history.first_on).days
    if history and history.had_reaction:
        asked["had_reaction"] = "on"
    return asked


def type_blood(request: HttpRequest, patient: str) -> HttpResponse:
    """One reading. Neither this one nor an earlier one is shown while it is made, or while two differ."""
    state = _known(patient)
    assert state.registered
    species = state.registered.species
    asked = request.GET.get("system", "")
    system = asked if asked in SYSTEMS[species] else ON_THE_LABEL[species]
    form = forms.TypeForm(species, system, request.POST or None, seen=seen(stream_of(patient)))
    if request.method == "POST" and form.is_valid():
        command = TypePatient(
            patient=patient,
            blood_type=form.cleaned_data["blood_type"],
            method=form.cleaned_data["method"],
            reader=request.user.get_username(),
        )
        if recorded(request, form, command):
            messages.success(request, _read_back(_known(patient), command.blood_type))
            return redirect("patient", patient)
    shown = {"form": form, "patient": state, "registered": state.registered, "system": system}
    if system in state.readings:
        shown["before"] = when_done(stream_of(patient), PatientTyped)
    return render(request, "patients/type.html", shown)


def _read_back(state: Patient, blood_type: str) -> str:
    """What is said after a reading. While two contradict each other, neither is told."""
    assert state.registered
    found = state.type_in(system_of(state.registered.species, blood_type))
    if found.how == IN_DOUBT:
        return (
            f"The readings of {state.registered.name} do not agree, and neither is shown: have it read again."
        )
    return f"{state.registered.name} is {found.blood_type}, {found.how}."


def _asked(
    request: HttpRequest, patient: str, form: BenchForm, template: str, command: Command | None
) -> HttpResponse:
    """A desk page with one form about a patient; the command is there once the form is valid."""
    if command and recorded(request, form, command):
        messages.success(request, "Recorded.")
        return redirect("patient", patient)
    shown = {"form": form, "registered": _known(patient).registered}
    return render(request, f"patients/{template}.html", shown)


def weigh(request: HttpRequest, patient: str) -> HttpResponse:
    _known(patient)
    form = forms.WeighForm(request.POST or None, seen=seen(stream_of(patient)))
    sent = request.method == "POST" and form.is_valid()
    command = WeighPatient(patient=patient, weight_g=form.cleaned_data["weight_g"]) if sent else None
    return _asked(request, patient, form, "weigh", command)


def history(request: HttpRequest, patient: str) -> HttpResponse:
    told = _known(patient).history
    before = (
        {name: getattr(told, name) for name in ("transfused", "had_reaction", "was_pregnant")} if told else {}
    )
    before["first_on"] = day(told.first_on) if told and told.first_on else ""
    form = forms.HistoryForm(request.POST or None, seen=seen(stream_of(patient)), initial=before)
    command = None
    if request.method == "POST" and form.is_valid():
        names = ("transfused", "first_on", "had_reaction", "was_pregnant")
        command = TellHistory(patient=patient, **{name: form.cleaned_data[name] for name in names})
    return _asked(request, patient, form, "history", command)


def antibody(request: HttpRequest, patient: str) -> HttpResponse:
    registered = _known(patient).registered
    assert registered
    form = forms.AntibodyForm(registered.species, request.POST or None, seen=seen(stream_of(patient)))
    command = None
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        command = FindAntibody(patient=patient, system=values["system"], method=values["method"])
    return _asked(request, patient, form, "antibody", command)


@require_safe
def band(request: HttpRequest, patient: str) -> HttpResponse:
    row = get_object_or_404(PatientRow, pk=patient)
    return pdf_answer(patient_band(row, limits(Book())), f"patient-{patient}")
