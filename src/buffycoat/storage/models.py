"""The registers of places and of what stands where."""

from collections.abc import Sequence

from django.db import models

from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import DonationDiscarded, Draw
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import Labelling
from buffycoat.problems.rules import OfDonation, told
from buffycoat.separation.rules import Separation
from buffycoat.storage.out_of_fridge import Outings
from buffycoat.storage.places import Place
from buffycoat.storage.rules import Shelf, all_done


class PlaceRow(models.Model):
    place = models.CharField(max_length=14, primary_key=True)
    name = models.CharField(max_length=100)
    appliance = models.CharField(max_length=20)
    room = models.CharField(max_length=100, default="")
    capacity = models.IntegerField(default=0)
    quarantine = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ShelfRow(models.Model):
    unit = models.OneToOneField(UnitRow, models.CASCADE, primary_key=True, related_name="shelf")
    place = models.ForeignKey(PlaceRow, models.PROTECT, null=True, related_name="units")
    put_away_at = models.DateTimeField(null=True)
    discarded = models.TextField()  # why it is gone
    divided = models.BooleanField(default=False)
    given = models.BooleanField(default=False)
    out_since = models.DateTimeField(null=True)  # out of the fridge, its time runs
    out_before_s = models.IntegerField(default=0)  # all the times out before
    left_at = models.DateTimeField(null=True, db_index=True)  # discarded, or divided into parts
    held = models.TextField(default="")  # why it waits: problems that nobody has settled

    def __str__(self) -> str:
        return f"{self.unit_id} in {self.place_id}"

    @property
    def outings(self) -> Outings:
        return Outings(since=self.out_since, before_s=self.out_before_s)


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
    all_gone_at = next((line.happened_at for line in lines if isinstance(line.fact, DonationDiscarded)), None)
    return [
        ShelfRow(
            unit_id=label.unit,
            place_id=shelf.put_away[part].place if part in shelf.put_away else None,
            put_away_at=shelf.put_away_at.get(part),
            discarded=shelf.gone(part) or all_gone,
            given=part in shelf.issued,
            left_at=shelf.left_at.get(part, all_gone_at),
            out_since=shelf.out_of(part).since,
            out_before_s=shelf.out_of(part).before_s,
            held="; ".join(told(problem.reported) for problem in problems.holding(part)),
        )
        for part, label in labels.printed.items()
    ]


def _open_job_rows(donation: str, lines: Sequence[Line]) -> list[OpenJobRow]:
    state, shelf = Separation.fold(donation, lines), Shelf.fold(donation, lines)
    return [] if state.draw.started is None or all_done(state, shelf) else [OpenJobRow(donation_id=donation)]
