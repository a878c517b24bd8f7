"""The register of problems."""

from collections.abc import Sequence

from django.db import models

from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row
from buffycoat.problems.rules import STATES, WHAT, Problem


class ProblemRow(models.Model):
    problem = models.IntegerField(primary_key=True)
    stream = models.CharField(max_length=80, db_index=True)
    about = models.CharField(max_length=14)
    part = models.CharField(max_length=20)
    what = models.CharField(max_length=20)
    words = models.TextField()
    reported_at = models.DateTimeField()
    reported_by = models.CharField(max_length=150)
    settled_at = models.DateTimeField(null=True, db_index=True)
    settled_by = models.CharField(max_length=150)
    outcome = models.CharField(max_length=20)
    why = models.TextField()
    alone = models.BooleanField(default=False)

    class Meta:
        ordering = ["reported_at", "problem"]

    def __str__(self) -> str:
        return f"{WHAT.get(self.what, self.what)} ({self.about})"


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter in STATES:
        known = STATES[chapter].fold(number, lines).known
        keep(ProblemRow, [_row(stream, problem) for problem in known.values()], stream=stream)


def _row(stream: str, problem: Problem) -> ProblemRow:
    return row(
        ProblemRow,
        problem.reported,
        problem.settled,
        stream=stream,
        reported_at=problem.reported_at,
        reported_by=problem.reported_by,
        settled_at=problem.settled_at,
    )
