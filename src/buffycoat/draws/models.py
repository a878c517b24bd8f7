"""The registers of bag set lots, of donations as drawn, and of spare numbers."""

from collections.abc import Sequence

from django.db import models

from buffycoat.donors.models import DonorRow
from buffycoat.draws.bag_sets import BagSetLot, why_lot_held
from buffycoat.draws.rules import Draw
from buffycoat.draws.spares import Spare
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row


class BagSetLotRow(models.Model):
    lot = models.CharField(max_length=14, primary_key=True)
    maker_lot = models.CharField(max_length=60)
    expires_on = models.DateField()
    title = models.CharField(max_length=100)
    species = models.CharField(max_length=10)
    nominal_ml = models.IntegerField()
    anticoagulant = models.CharField(max_length=20)
    anticoagulant_ml = models.IntegerField()
    additive = models.CharField(max_length=40)
    additive_ml = models.IntegerField()
    main_bag_empty_g = models.IntegerField()
    plasma_bag_empty_g = models.IntegerField()
    on_hold = models.TextField(default="")  # why nothing made with it may be given

    class Meta:
        ordering = ["expires_on", "lot"]

    def __str__(self) -> str:
        return f"{self.title}, lot {self.maker_lot}"

    @property
    def held(self) -> str:
        return why_lot_held(self.maker_lot, self.on_hold)


class DonationRow(models.Model):
    donation = models.CharField(max_length=14, primary_key=True)
    donor = models.ForeignKey(DonorRow, models.PROTECT, related_name="donations")
    lot = models.ForeignKey(BagSetLotRow, models.PROTECT, null=True)  # null: from before this book
    species = models.CharField(max_length=10)
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    wanted_ml = models.IntegerField()
    target_g = models.IntegerField()
    gross_g = models.IntegerField(null=True)
    volume_ml = models.IntegerField(null=True)
    filling = models.CharField(max_length=20, default="")
    gives_plasma = models.BooleanField(default=False)
    usable = models.BooleanField(default=True)
    discarded = models.TextField(default="")

    class Meta:
        ordering = ["-started_at", "donation"]
        indexes = [models.Index(fields=["-started_at", "donation"], name="donations_newest_first")]

    def __str__(self) -> str:
        return self.donation


class SpareRow(models.Model):
    spare = models.CharField(max_length=14, primary_key=True)
    sheet = models.CharField(max_length=14)

    class Meta:
        ordering = ["sheet", "spare"]

    def __str__(self) -> str:
        return self.spare


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == BagSetLot.stream:
        keep(BagSetLotRow, _lot_rows(BagSetLot.fold(number, lines)), lot=number)
    elif chapter == Draw.stream:
        keep(DonationRow, _donation_rows(Draw.fold(number, lines)), donation=number)
    elif chapter == Spare.stream:
        spare = Spare.fold(number, lines)
        keep(SpareRow, [row(SpareRow, spare.given)] if spare.given else [], spare=number)


def _lot_rows(lot: BagSetLot) -> list[BagSetLotRow]:
    return [row(BagSetLotRow, lot, lot.received, lot.received.bag_set)] if lot.received else []


def _donation_rows(draw: Draw) -> list[DonationRow]:
    if draw.started is None:
        return []
    return [
        row(
            DonationRow,
            draw.started,
            None if draw.brought_in else draw.finished,
            started_at=draw.started_at,
            finished_at=draw.finished_at,
            donor_id=draw.started.donor,
            lot_id=draw.started.lot or None,
            usable=(draw.finished is None or draw.finished.usable) and not draw.discarded,
            discarded=draw.discarded or "",
        )
    ]
