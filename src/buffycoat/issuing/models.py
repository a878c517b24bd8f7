"""The registers of requests, and of units that were given out."""

from collections.abc import Sequence

from django.db import models

from buffycoat.draws.models import DonationRow
from buffycoat.issuing.requests import Request
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row
from buffycoat.labels.facts import UnitIssued, UnitReturned
from buffycoat.labels.models import UnitRow
from buffycoat.patients.models import PatientRow
from buffycoat.storage.shelf import Shelf


class RequestRow(models.Model):
    request = models.CharField(max_length=14, primary_key=True)
    patient = models.ForeignKey(PatientRow, models.PROTECT, related_name="requests")
    kind_wanted = models.CharField(max_length=20)
    volume_ml = models.IntegerField()
    urgency = models.CharField(max_length=20)
    needed_by = models.DateTimeField(null=True)
    pcv_permille = models.IntegerField(null=True)
    asked_by = models.CharField(max_length=150)
    by_phone = models.BooleanField()
    why = models.TextField()
    asked_at = models.DateTimeField()
    given_ml = models.IntegerField()
    closed = models.TextField(db_index=True)

    class Meta:
        ordering = ["-asked_at", "request"]

    def __str__(self) -> str:
        return self.request


class IssueRow(models.Model):
    """A unit that is with a patient now, or was used for it."""

    unit = models.OneToOneField(UnitRow, models.CASCADE, primary_key=True, related_name="issue")
    donation = models.ForeignKey(DonationRow, models.CASCADE)
    patient = models.CharField(max_length=14, db_index=True)
    request = models.CharField(max_length=14, db_index=True)
    issued_at = models.DateTimeField()
    issued_by = models.CharField(max_length=150)
    fits = models.TextField()
    crossmatch = models.TextField()
    emergency = models.TextField()
    released_by = models.CharField(max_length=150)

    class Meta:
        ordering = ["-issued_at", "unit"]

    def __str__(self) -> str:
        return self.unit_id


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == Request.stream:
        keep(RequestRow, _request_rows(Request.fold(number, lines)), request=number)
    elif chapter == Shelf.stream:
        keep(IssueRow, _issue_rows(number, lines), donation_id=number)


def _request_rows(state: Request) -> list[RequestRow]:
    if state.asked is None:
        return []
    return [row(RequestRow, state, state.asked, patient_id=state.asked.patient)]


def _issue_rows(donation: str, lines: Sequence[Line]) -> list[IssueRow]:
    given: dict[str, IssueRow] = {}
    for line in lines:
        match line.fact:
            case UnitIssued() as fact:
                given[fact.unit] = row(
                    IssueRow,
                    fact,
                    unit_id=fact.unit,
                    donation_id=donation,
                    issued_at=line.happened_at,
                    issued_by=line.by,
                )
            case UnitReturned(unit=unit):
                given.pop(unit, None)
    return list(given.values())
