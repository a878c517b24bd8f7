"""The list in hand, and the columns that were chosen for lists before. None of it is in the book."""

import json
from datetime import datetime, timedelta

from django.db import models

from buffycoat.lists.columns import KINDS, Kind
from buffycoat.lists.rows import Choices
from buffycoat.lists.sheet import Row, Sheet

KEPT = timedelta(days=1)  # a list holds owners' contacts: it does not lie about


class ListInHand(models.Model):
    """A file as it was read, until it is put away or a day old. Its cells are kept as text."""

    kind = models.CharField(max_length=20)
    file_name = models.CharField(max_length=80)
    by = models.CharField(max_length=150)
    came_at = models.DateTimeField()
    table = models.TextField()
    choices = models.TextField(blank=True)

    class Meta:
        ordering = ["-came_at"]
        verbose_name_plural = "lists in hand"

    def __str__(self) -> str:
        return self.file_name

    @property
    def of(self) -> Kind:
        return KINDS[self.kind]

    @property
    def sheet(self) -> Sheet:
        table = json.loads(self.table)
        rows = tuple(Row(number=number, cells=tuple(cells)) for number, cells in table["rows"])
        return Sheet(headings=tuple(table["headings"]), rows=rows)

    @property
    def chosen(self) -> Choices:
        return Choices(**json.loads(self.choices))


class KnownColumns(models.Model):
    """The columns that were chosen for a list with these headings: the next one like it needs no choosing.

    What a list leaves open (the order of days, the unit of weights) is asked anew: another file may mean it otherwise.
    """

    headings = models.CharField(max_length=64, primary_key=True)  # a digest of kind and headings
    choices = models.TextField()

    class Meta:
        verbose_name_plural = "columns of lists"

    def __str__(self) -> str:
        return self.headings


def as_text(sheet: Sheet) -> str:
    """In letters that every database keeps."""
    rows = [(row.number, row.cells) for row in sheet.rows]
    return json.dumps({"headings": sheet.headings, "rows": rows})


def throw_away_old(now: datetime) -> None:
    ListInHand.objects.filter(came_at__lt=now - KEPT).delete()
