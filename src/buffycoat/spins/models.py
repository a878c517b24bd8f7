"""The registers of rotors, their programmes, spins and the bags in them."""

from collections.abc import Sequence

from django.db import models

from buffycoat.draws.models import DonationRow
from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row
from buffycoat.spins.rotors import Rotor
from buffycoat.spins.rules import Spin


class RotorRow(models.Model):
    rotor = models.CharField(max_length=14, primary_key=True)
    name = models.CharField(max_length=100)
    centrifuge = models.CharField(max_length=100)
    places = models.IntegerField()
    radius_mm = models.IntegerField()
    most_rpm = models.IntegerField()
    pair_limit_g = models.IntegerField()

    class Meta:
        ordering = ["centrifuge", "name"]

    def __str__(self) -> str:
        return f"{self.centrifuge}, {self.name}"


class ProgrammeRow(models.Model):
    key = models.CharField(max_length=80, primary_key=True)
    rotor = models.ForeignKey(RotorRow, models.CASCADE, related_name="programmes")
    name = models.CharField(max_length=60)
    species = models.CharField(max_length=10)
    rpm = models.IntegerField()
    rcf = models.IntegerField()
    duration_s = models.IntegerField()
    temperature_c = models.IntegerField()
    brake = models.CharField(max_length=40)
    validated = models.CharField(max_length=200)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class SpinRow(models.Model):
    spin = models.CharField(max_length=14, primary_key=True)
    rotor = models.ForeignKey(RotorRow, models.PROTECT)
    programme = models.CharField(max_length=60)
    species = models.CharField(max_length=10)
    rpm = models.IntegerField()
    rcf = models.IntegerField()
    duration_s = models.IntegerField()
    temperature_c = models.IntegerField()
    brake = models.CharField(max_length=40)
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-started_at", "spin"]
        indexes = [models.Index(fields=["-started_at", "spin"], name="spins_newest_first")]

    def __str__(self) -> str:
        return self.spin


class SpinPlaceRow(models.Model):
    key = models.CharField(max_length=20, primary_key=True)
    spin = models.ForeignKey(SpinRow, models.CASCADE, related_name="places")
    place = models.IntegerField()
    donation = models.ForeignKey(DonationRow, models.PROTECT, null=True, related_name="spin_places")
    mass_g = models.IntegerField()
    filler_g = models.IntegerField()
    outcome = models.CharField(max_length=30)

    class Meta:
        ordering = ["spin", "place"]

    def __str__(self) -> str:
        return self.key


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == Rotor.stream:
        rotor = Rotor.fold(number, lines)
        keep(RotorRow, _rotor_rows(rotor), rotor=number)
        keep(ProgrammeRow, _programme_rows(rotor), rotor_id=number)
    elif chapter == Spin.stream:
        spin = Spin.fold(number, lines)
        keep(SpinRow, _spin_rows(spin), spin=number)
        keep(SpinPlaceRow, _place_rows(spin), spin_id=number)


def _rotor_rows(rotor: Rotor) -> list[RotorRow]:
    return [row(RotorRow, rotor.registered)] if rotor.registered else []


def _programme_rows(rotor: Rotor) -> list[ProgrammeRow]:
    return [
        row(ProgrammeRow, each, key=f"{rotor.number}/{each.name}", rotor_id=rotor.number, rcf=rotor.rcf(each))
        for each in rotor.programmes.values()
    ]


def _spin_rows(spin: Spin) -> list[SpinRow]:
    started = spin.started
    if started is None:
        return []
    times = {"started_at": spin.started_at, "finished_at": spin.finished_at}
    return [
        row(
            SpinRow,
            started,
            started.programme,
            rotor_id=started.rotor,
            programme=started.programme.name,
            **times,
        )
    ]


def _place_rows(spin: Spin) -> list[SpinPlaceRow]:
    if spin.started is None:
        return []
    outcomes = {each.donation: each.outcome for each in spin.finished.outcomes} if spin.finished else {}
    return [
        row(
            SpinPlaceRow,
            each,
            key=f"{spin.number}/{each.place}",
            spin_id=spin.number,
            donation_id=each.donation or None,
            outcome=outcomes.get(each.donation, ""),
        )
        for each in spin.started.places
    ]
