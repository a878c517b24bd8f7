"""The register of equipment: one row a piece, with its next check and why it is out of use."""

from collections.abc import Sequence

from django.db import models

from buffycoat.equipment.rules import SORTS, Equipment
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row


class EquipmentRow(models.Model):
    equipment = models.CharField(max_length=14, primary_key=True)
    name = models.CharField(max_length=100)
    sort = models.CharField(max_length=20)
    maker_number = models.CharField(max_length=60)
    serves = models.CharField(max_length=14)
    check_every_days = models.IntegerField()
    checked_how = models.TextField()
    checked_at = models.DateTimeField(null=True)
    due_on = models.DateField()
    out_of_use = models.TextField()

    class Meta:
        ordering = ["due_on", "name", "equipment"]

    def __str__(self) -> str:
        return self.name

    @property
    def sort_words(self) -> str:
        return SORTS.get(self.sort, self.sort)


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == Equipment.stream:
        state = Equipment.fold(number, lines)
        rows = [row(EquipmentRow, state, state.registered)] if state.registered else []
        keep(EquipmentRow, rows, equipment=number)
