"""The register of separations: one row a donation that was spun or kept whole."""

from collections.abc import Sequence

from django.db import models

from buffycoat.draws.models import DonationRow
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep
from buffycoat.separation.rules import Separation


class SeparationRow(models.Model):
    donation = models.OneToOneField(DonationRow, models.CASCADE, primary_key=True, related_name="separation")
    spin_outcome = models.CharField(max_length=30)
    kept_whole = models.BooleanField()
    plasma_g = models.IntegerField(null=True)
    planned_g = models.IntegerField(null=True)
    additive_ml = models.IntegerField()
    additive_lost = models.TextField()
    clots_looked_for = models.BooleanField()
    segments = models.IntegerField(null=True)

    def __str__(self) -> str:
        return f"separation of {self.donation_id}"


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, donation = stream.split("/", 1)
    if chapter == Separation.stream:
        keep(SeparationRow, _rows(Separation.fold(donation, lines)), donation_id=donation)


def _rows(state: Separation) -> list[SeparationRow]:
    if state.draw.finished is None:
        return []
    return [
        SeparationRow(
            donation_id=state.number,
            spin_outcome=state.spun.outcome or "",
            kept_whole=state.kept_whole,
            plasma_g=state.expressed.plasma_g if state.expressed else None,
            planned_g=state.expressed.planned_g if state.expressed else None,
            additive_ml=state.additive_ml,
            additive_lost=state.additive_lost.reason if state.additive_lost else "",
            clots_looked_for=state.clots is not None,
            segments=state.segments.segments if state.segments else None,
        )
    ]
