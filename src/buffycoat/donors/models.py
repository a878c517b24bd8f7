"""The registers of donors, and of the calls to their owners."""

from collections.abc import Sequence

from django.db import models

from buffycoat.donors.rules import Donor
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row


class DonorRow(models.Model):
    """`held`, `retired` and `deferred` are the reasons in words, empty if there is none."""

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
    chip = models.CharField(max_length=15, default="")
    last_drawn_at = models.DateTimeField(null=True)
    vaccinated_on = models.DateField(null=True)
    not_before = models.DateField(null=True)
    deferred = models.TextField(default="")
    deferred_until_lifted = models.BooleanField(default=False)
    held = models.TextField(default="")
    retired = models.TextField(default="")

    class Meta:
        ordering = ["name", "donor"]

    def __str__(self) -> str:
        return f"{self.name} ({self.species})"


class CallRow(models.Model):
    """A draw, and whether its donor's owner was called since."""

    donation = models.CharField(max_length=14, primary_key=True)
    donor = models.ForeignKey(DonorRow, models.CASCADE, related_name="calls")
    gave_at = models.DateTimeField()
    called = models.BooleanField()

    class Meta:
        ordering = ["gave_at", "donation"]

    def __str__(self) -> str:
        return self.donation


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == Donor.stream:
        donor = Donor.fold(number, lines)
        keep(DonorRow, _rows(donor), donor=number)
        keep(CallRow, _calls(donor), donor_id=number)


def _rows(donor: Donor) -> list[DonorRow]:
    if donor.registered is None:
        return []
    cautions = [each.cautions for each in (donor.registered, donor.examined) if each and each.cautions]
    deferrals = donor.deferrals.values()
    days = [each.no_draw_before for each in deferrals] + [each.no_draw_before for each in donor.medicines]
    words = [each.reason for each in deferrals] + [
        each.medicine for each in donor.medicines if each.no_draw_before
    ]
    return [
        row(
            DonorRow,
            donor.registered,
            donor.examined,
            donor.brought_in,
            donor,
            cautions=" ".join(cautions),
            chip=donor.chip.chip if donor.chip else "",
            vaccinated_on=max((each.given_on for each in donor.vaccines.values()), default=None),
            not_before=max(filter(None, days), default=None),
            deferred="; ".join(words),
            deferred_until_lifted=any(each.no_draw_before is None for each in deferrals),
            retired=donor.retired.reason if donor.retired else "",
        )
    ]


def _calls(donor: Donor) -> list[CallRow]:
    return [
        CallRow(
            donation=each.donation,
            donor_id=donor.number,
            gave_at=each.at,
            called=each.donation in donor.called,
        )
        for each in donor.gave
    ]
