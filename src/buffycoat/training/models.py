"""The register of signatures: who was signed for which step."""

from collections.abc import Sequence

from django.db import models

from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row
from buffycoat.training.rules import Trained


class TrainingRow(models.Model):
    key = models.CharField(max_length=120, primary_key=True)
    trainee = models.CharField(max_length=50)
    step = models.CharField(max_length=60)
    title = models.CharField(max_length=100)
    trainer = models.CharField(max_length=150)
    remarks = models.TextField()
    signed_at = models.DateTimeField()

    class Meta:
        ordering = ["trainee", "step"]

    def __str__(self) -> str:
        return self.key


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, name = stream.split("/", 1)
    if chapter == Trained.stream:
        trained = Trained.fold(name, lines)
        rows = [
            row(TrainingRow, signed, key=f"{name}/{step}", signed_at=trained.signed_at[step])
            for step, signed in trained.signed.items()
        ]
        keep(TrainingRow, rows, trainee=name)
