"""The register of units: one row for each bag that was ever labelled."""

from collections.abc import Sequence
from datetime import datetime

from django.db import models

from buffycoat.donors.rules import waived_in_words
from buffycoat.draws.models import DonationRow
from buffycoat.journal.facts import Fact, Line
from buffycoat.journal.registers import keep, row
from buffycoat.labels.changes import Changes
from buffycoat.labels.facts import parent_of
from buffycoat.labels.products import PRODUCTS
from buffycoat.labels.rules import Labelling
from buffycoat.separation.rules import Separation
from buffycoat.separation.weighings import Weighings


class UnitRow(models.Model):
    unit = models.CharField(max_length=14, primary_key=True)
    donation = models.ForeignKey(DonationRow, models.PROTECT, related_name="units")
    part = models.CharField(max_length=20)
    product = models.CharField(max_length=40)
    species = models.CharField(max_length=10)
    blood_type = models.CharField(max_length=40)
    content_g = models.IntegerField()
    volume_ml = models.IntegerField()
    red_cell_part_ml = models.IntegerField()
    haematocrit_permille = models.IntegerField()
    low_volume = models.BooleanField()
    drawn_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    copy = models.IntegerField()
    printed_at = models.DateTimeField()
    labelled_at = models.DateTimeField(null=True)
    parent = models.CharField(max_length=14, default="")  # the unit that it was divided from
    changed = models.CharField(max_length=60, default="")  # what was done to it, as its label says
    label_true = models.BooleanField(default=True)
    waived = models.TextField(default="")  # checks of its donor that were left out in an emergency, in words

    class Meta:
        ordering = ["expires_at", "unit"]

    def __str__(self) -> str:
        return self.unit

    @property
    def product_name(self) -> str:
        return ", ".join(filter(None, (PRODUCTS[self.product].name, self.changed)))


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, donation = stream.split("/", 1)
    if chapter == Labelling.stream:
        keep(UnitRow, unit_rows(donation, lines), donation_id=donation)


def unit_to_be(donation: str, part: str, standing: Sequence[Line], fact: Fact, at: datetime) -> UnitRow:
    """The row that a fact would make, to be shown beforehand; nothing is kept."""
    line = Line(
        number=0, version=0, stream="", fact=fact, happened_at=at, recorded_at=at, by="", command_id=""
    )
    return next(each for each in unit_rows(donation, [*standing, line]) if each.part == part)


def unit_rows(donation: str, lines: Sequence[Line]) -> list[UnitRow]:
    draw = Separation.fold(donation, lines).draw
    labels, changes = Labelling.fold(donation, lines), Changes.fold(donation, lines)
    weighed = {**Weighings.fold(donation, lines).weighed, **changes.weighed}
    return [
        row(
            UnitRow,
            label,
            weighed.get(part),
            draw.started,
            donation_id=donation,
            drawn_at=draw.finished_at,
            printed_at=labels.printed_at[part],
            labelled_at=labels.labelled_at.get(part),
            label_true=part not in labels.untrue,
            parent=parent.unit if (parent := labels.printed.get(parent_of(part))) else "",
            waived=waived_in_words(draw.started.waived) if draw.started else "",
        )
        for part, label in labels.printed.items()
    ]
