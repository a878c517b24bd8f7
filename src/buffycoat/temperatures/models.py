"""Thermometers and their readings, ordinary rows beside the journal; and the registers of stays and alarms."""

import hashlib
import secrets
from collections.abc import Sequence

from django.db import models

from buffycoat.journal.facts import Line
from buffycoat.journal.registers import keep, row
from buffycoat.temperatures.alarms import Stays, Temperatures
from buffycoat.temperatures.bands import CAUSES

SENSOR, LOGGER = "sensor", "logger"
KINDS = ((SENSOR, "Sensor that sends its readings"), (LOGGER, "Logger that is read out"))


class Thermometer(models.Model):
    """In one place for ever: moved elsewhere it is another. `declared` is what was said of its files, as JSON."""

    is_register = False
    name = models.CharField(max_length=40, unique=True)
    place = models.CharField(max_length=14, db_index=True)
    kind = models.CharField(max_length=10, choices=KINDS)
    declared = models.TextField(default="{}")
    key_hash = models.CharField(max_length=64, null=True, unique=True)  # noqa: DJ001 - None: no key was made
    last_at = models.DateTimeField(null=True)
    last_centi_c = models.SmallIntegerField(null=True)
    in_use = models.BooleanField(default=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def new_key(self) -> str:
        """Shown once. It is long and random, so a plain hash of it is enough."""
        key = secrets.token_urlsafe(32)
        self.key_hash = hash_of(key)
        self.save(update_fields=["key_hash"])
        return key


def hash_of(key: str) -> str:
    return hashlib.sha256(key.encode()).hexdigest()


class DayOfReadings(models.Model):
    """One thermometer's readings of a day in UTC, packed: five million a year are a few thousand rows."""

    is_register = False
    thermometer = models.ForeignKey(Thermometer, models.PROTECT, related_name="days")
    day = models.DateField()
    readings = models.PositiveIntegerField()
    data = models.BinaryField()
    sealed = models.BooleanField(default=False)  # as it stands now

    class Meta:
        ordering = ["thermometer", "day"]
        constraints = [models.UniqueConstraint(fields=["thermometer", "day"], name="one_row_a_day")]

    def __str__(self) -> str:
        return f"{self.thermometer_id}, {self.day}"


class WatchRan(models.Model):
    """When `buffycoat watch` last looked."""

    is_register = False
    at = models.DateTimeField()

    def __str__(self) -> str:
        return str(self.at)


class StayRow(models.Model):
    """`stay` is the unit with a running number."""

    stay = models.CharField(max_length=24, primary_key=True)
    donation = models.CharField(max_length=14, db_index=True)
    unit = models.CharField(max_length=14)
    place = models.CharField(max_length=14, db_index=True)
    since = models.DateTimeField()
    until = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return self.stay


class AlarmRow(models.Model):
    alarm = models.IntegerField(primary_key=True)
    place = models.CharField(max_length=14, db_index=True)
    cause = models.CharField(max_length=10)
    since = models.DateTimeField()
    opened_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    extreme_centi_c = models.IntegerField(null=True)
    acknowledged_at = models.DateTimeField(null=True)
    acknowledged_by = models.CharField(max_length=150)
    told_at = models.DateTimeField(null=True)
    units = models.IntegerField()
    to_judge = models.IntegerField()
    closed_at = models.DateTimeField(null=True, db_index=True)

    class Meta:
        ordering = ["opened_at", "alarm"]

    def __str__(self) -> str:
        return f"{CAUSES[self.cause]} ({self.place})"


def post(stream: str, lines: Sequence[Line]) -> None:
    chapter, number = stream.split("/", 1)
    if chapter == Stays.stream:
        keep(StayRow, _stays(number, lines), donation=number)
    elif chapter == Temperatures.stream:
        keep(AlarmRow, _alarms(number, lines), place=number)


def _stays(donation: str, lines: Sequence[Line]) -> list[StayRow]:
    return [
        row(StayRow, stay, stay=f"{stay.unit}-{number}", donation=donation)
        for number, stay in enumerate(Stays.fold(donation, lines).stays)
    ]


def _alarms(place: str, lines: Sequence[Line]) -> list[AlarmRow]:
    return [
        row(
            AlarmRow,
            alarm,
            alarm=alarm.number,
            acknowledged_at=alarm.acknowledged_at if alarm.acknowledged else None,
            acknowledged_by=alarm.acknowledged_by if alarm.acknowledged else "",
            units=len(alarm.units),
            to_judge=len(alarm.to_judge),
        )
        for alarm in Temperatures.fold(place, lines).alarms.values()
    ]
