"""Registers of what was before this book, from the lists that were brought in."""

from collections.abc import Iterator, Sequence

from django.db import models

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import Donor, DonorBroughtIn, DonorGaveBefore
from buffycoat.draws.brought_in import DonationBroughtIn
from buffycoat.draws.rules import Draw
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row


class OldNumberRow(models.Model):
    """What a donor or a donation of ours was called in the list that it came from."""

    number = models.CharField(max_length=14, primary_key=True)
    old_number = models.CharField(max_length=100, db_index=True)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return f"{self.old_number} is {self.number}"


class EarlierDonationRow(models.Model):
    """A donation from before this book. `entry` is its number in the journal."""

    entry = models.BigIntegerField(primary_key=True)
    donor = models.ForeignKey(DonorRow, models.CASCADE, related_name="earlier_donations")
    gave_at = models.DateTimeField()
    old_number = models.CharField(max_length=100)
    volume_ml = models.IntegerField(null=True)
    weight_g = models.IntegerField(null=True)
    pcv_permille = models.IntegerField(null=True)

    class Meta:
        ordering = ["gave_at", "entry"]

    def __str__(self) -> str:
        return f"{self.donor_id} gave on {self.gave_at:%d %b %Y}"


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == Donor.stream:
        keep(OldNumberRow, list(_old_numbers(number, lines)), number=number)
        keep(EarlierDonationRow, list(_earlier(number, lines)), donor_id=number)
    elif chapter == Draw.stream:
        keep(OldNumberRow, list(_old_numbers(number, lines)), number=number)


def _old_numbers(number: str, lines: Sequence[Line]) -> Iterator[OldNumberRow]:
    for line in lines:
        if isinstance(line.fact, DonorBroughtIn | DonationBroughtIn) and line.fact.old_number:
            yield OldNumberRow(number=number, old_number=line.fact.old_number)


def _earlier(number: str, lines: Sequence[Line]) -> Iterator[EarlierDonationRow]:
    for line in lines:
        if isinstance(line.fact, DonorGaveBefore):
            named = {"entry": line.number, "donor_id": number, "gave_at": line.happened_at}
            yield row(EarlierDonationRow, line.fact, **named)
