"""Results of a laboratory by file: looked at row by row first, then recorded in one go."""

from collections import defaultdict
from typing import Any

import msgspec
from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from buffycoat.donors.facts import InfectionTested
from buffycoat.donors.models import DonorRow
from buffycoat.donors.panel import METHODS, POSITIVE, RESULTS
from buffycoat.donors.results import LabResult, RecordResults
from buffycoat.donors.results_file import COLUMNS, EXAMPLE, MOST_BYTES, Judged, NoList, judged, read_rows
from buffycoat.journal.book import Book
from buffycoat.journal.record import Recorded
from buffycoat.shell.forms import DAMAGED, BenchForm
from buffycoat.shell.recording import recorded


class SheetField(forms.FileField):
    template_name = "shell/_field.html"


class FileForm(forms.Form):
    use_required_attribute = False
    file = SheetField(
        label="CSV file of the laboratory",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
        allow_empty_file=True,
        error_messages={"required": "No file was chosen. Choose the CSV file."},
    )

    def clean_file(self) -> list[Judged]:
        sent = self.cleaned_data["file"]
        try:
            rows = read_rows(sent.read(MOST_BYTES + 1))
        except NoList as trouble:
            raise ValidationError(str(trouble)) from None
        return judged(rows, Book(), timezone.now(), _donors_by_chip())


def _donors_by_chip() -> dict[str, list[str]]:
    found = defaultdict(list)
    for chip, donor in DonorRow.objects.exclude(chip="").values_list("chip", "donor"):
        found[chip].append(donor)
    return found


class RecordForm(BenchForm):
    """Carries the rows that were accepted; the book judges them once more."""

    results = forms.CharField(widget=forms.HiddenInput, error_messages={"required": DAMAGED})

    def clean_results(self) -> tuple[LabResult, ...]:
        try:
            return msgspec.json.decode(self.cleaned_data["results"], type=tuple[LabResult, ...])
        except (msgspec.DecodeError, UnicodeEncodeError, RecursionError):
            raise ValidationError(DAMAGED) from None


def results(request: HttpRequest) -> HttpResponse:
    sent = request.method == "POST"
    if sent and "results" in request.POST:
        form = RecordForm(request.POST)
        if form.is_valid() and (
            done := recorded(request, form, RecordResults(results=form.cleaned_data["results"]))
        ):
            messages.success(request, _read_back(done))
            return redirect("donor-results")
        return _page(request, FileForm(), form=form)
    file = FileForm(request.POST, request.FILES) if sent else FileForm()
    if sent and file.is_valid():
        return _page(request, FileForm(), rows=file.cleaned_data["file"])
    return _page(request, file, form=file)


def _read_back(done: Recorded) -> str:
    facts = [line.fact for line in done.lines if isinstance(line.fact, InfectionTested)]
    donors = {line.stream for line in done.lines}
    said = f"{_many(len(facts), 'result')} of {_many(len(donors), 'donor')} recorded."
    if positive := sum(1 for fact in facts if fact.result == POSITIVE):
        said += f" {positive} positive: what was given by a positive donor and is in date waits."
    return said


def _many(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _page(
    request: HttpRequest, file: FileForm, *, form: forms.Form | None = None, rows: list[Judged] | None = None
) -> HttpResponse:
    accepted = [each.result for each in rows or () if each.result]
    shown: dict[str, Any] = {
        "file": file,
        "form": form,
        "rows": rows,
        "accepted": len(accepted),
        "positive": sum(1 for each in accepted if each.result == POSITIVE),
        "lost": [each for each in rows or () if each.lost_positive],
        "record": RecordForm(initial={"results": msgspec.json.encode(accepted).decode()}),
        "columns": COLUMNS,
        "methods": METHODS,
        "results": RESULTS,
        "example": EXAMPLE,
    }
    return render(request, "donors/results.html", shown)
