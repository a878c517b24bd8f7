"""The register of donors."""

from collections.abc import Sequence

from django.db import models

from buffycoat.donors.rules import Donor
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row


class DonorRow(models.Model):
    donor = models.CharField(max_length=14, primary_key=True)
    name = models.CharField(max_length=100)
    species = models.CharField(max_length=10)
    sex = models.CharField(max_length=10)
    born_on = models.DateField()
    breed = models.CharField(max_length=100)
    cautions = models.TextField()
    blood_type = models.CharField(max_length=40)
    weight_g = models.IntegerField(null=True)
    pcv_permille = models.IntegerField(null=True)
    examined_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["name", "donor"]

    def __str__(self) -> str:
        return f"{self.name} ({self.species})"


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, donor = stream.split("/", 1)
    if chapter == Donor.stream:
        keep(DonorRow, _rows(Donor.fold(donor, lines)), donor=donor)


def _rows(donor: Donor) -> list[DonorRow]:
    if donor.registered is None:
        return []
    cautions = [each.cautions for each in (donor.registered, donor.examined) if each and each.cautions]
    return [row(DonorRow, donor.registered, donor.examined, donor, cautions=" ".join(cautions))]
