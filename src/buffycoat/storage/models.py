"""The registers of places and of what stands where."""

from collections.abc import Sequence

from django.db import models

from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import Draw
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import Labelling
from buffycoat.problems.rules import OfDonation, told
from buffycoat.separation.rules import Separation
from buffycoat.storage.places import Place
from buffycoat.storage.rules import Shelf, all_done


class PlaceRow(models.Model):
    place = models.CharField(max_length=14, primary_key=True)
    name = models.CharField(max_length=100)
    appliance = models.CharField(max_length=20)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ShelfRow(models.Model):
    unit = models.OneToOneField(UnitRow, models.CASCADE, primary_key=True, related_name="shelf")
    place = models.ForeignKey(PlaceRow, models.PROTECT, null=True, related_name="units")
    put_away_at = models.DateTimeField(null=True)
    discarded = models.TextField()
    held = models.TextField(default="")  # why it waits: problems that nobody has settled

    def __str__(self) -> str:
        return f"{self.unit_id} in {self.place_id}"


class OpenJobRow(models.Model):
    """A donation with something left to do."""

    donation = models.OneToOneField(DonationRow, models.CASCADE, primary_key=True, related_name="open_job")

    def __str__(self) -> str:
        return self.donation_id


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == Place.stream:
        opened = Place.fold(number, lines).opened
        keep(PlaceRow, [row(PlaceRow, opened)] if opened else [], place=number)
    elif chapter == Shelf.stream:
        keep(ShelfRow, _shelf_rows(number, lines), unit__donation_id=number)
        keep(OpenJobRow, _open_job_rows(number, lines), donation_id=number)


def _shelf_rows(donation: str, lines: Sequence[Line]) -> list[ShelfRow]:
    shelf, labels = Shelf.fold(donation, lines), Labelling.fold(donation, lines)
    all_gone, problems = Draw.fold(donation, lines).discarded or "", OfDonation.fold(donation, lines)
    return [
        ShelfRow(
            unit_id=label.unit,
            place_id=shelf.put_away[part].place if part in shelf.put_away else None,
            put_away_at=shelf.put_away_at.get(part),
            discarded=shelf.discarded[part].reason if part in shelf.discarded else all_gone,
            held="; ".join(told(problem.reported) for problem in problems.holding(part)),
        )
        for part, label in labels.printed.items()
    ]


def _open_job_rows(donation: str, lines: Sequence[Line]) -> list[OpenJobRow]:
    state, shelf = Separation.fold(donation, lines), Shelf.fold(donation, lines)
    return [] if state.draw.started is None or all_done(state, shelf) else [OpenJobRow(donation_id=donation)]
