"""The register of patients."""

from collections.abc import Sequence

from django.db import models

from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row
from buffycoat.patients.rules import Patient


class PatientRow(models.Model):
    patient = models.CharField(max_length=14, primary_key=True)
    name = models.CharField(max_length=100)
    species = models.CharField(max_length=10)
    sex = models.CharField(max_length=10)
    where = models.CharField(max_length=100)
    needs = models.TextField()
    weight_g = models.IntegerField()
    blood_type = models.CharField(max_length=40)

    class Meta:
        ordering = ["name", "patient"]

    def __str__(self) -> str:
        return self.name


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == Patient.stream:
        state = Patient.fold(number, lines)
        keep(
            PatientRow, [row(PatientRow, state, state.registered)] if state.registered else [], patient=number
        )
