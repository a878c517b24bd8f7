"""Readings in and out of their table: added and never changed, each once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from django.db import transaction

from buffycoat.journal.book import Book
from buffycoat.journal.facts import Refused
from buffycoat.temperatures.alarms import temperatures
from buffycoat.temperatures.models import DayOfReadings, Thermometer
from buffycoat.temperatures.series import (
    NONE,
    Conflict,
    Series,
    between,
    by_day,
    digest,
    joined,
    packed,
    unpacked,
)

AHEAD = timedelta(minutes=5)  # so far a thermometer's clock may be before the server's
EPOCH = date(1970, 1, 1)


@dataclass(frozen=True, kw_only=True)
class Added:
    """`known` were there already. `first_at` is None if nothing is new."""

    new: int
    known: int
    first_at: datetime | None


def add(thermometer: Thermometer, series: Series) -> Added:
    """Raises: Refused, and adds nothing: for a time to come, or another temperature at a moment that has one."""
    if not len(series.times):
        return Added(new=0, known=0, first_at=None)
    last_at = _moment(series.times[-1])
    if last_at > datetime.now(UTC) + AHEAD:
        raise Refused(
            f"Its last reading is of {last_at:%H:%M} UTC on {last_at.day} {last_at:%b %Y}, and that is still to come: "
            "set the clock of the thermometer, or say how far it is from UTC. Nothing was taken."
        )
    with transaction.atomic():
        held = Thermometer.objects.select_for_update().get(pk=thermometer.pk)
        new, first_at = _add(held, series)
        if held.last_at is None or last_at > held.last_at:
            held.last_at, held.last_centi_c = last_at, int(series.centi_c[-1])
            held.save(update_fields=["last_at", "last_centi_c"])
    thermometer.refresh_from_db()
    return Added(new=new, known=len(series.times) - new, first_at=first_at)


def _add(thermometer: Thermometer, series: Series) -> tuple[int, datetime | None]:
    first, last = _moment(series.times[0]).date(), _moment(series.times[-1]).date()
    there = {row.day: row for row in thermometer.days.filter(day__range=(first, last))}
    new, first_at, made = 0, None, []
    for number, part in by_day(series):
        day = EPOCH + timedelta(days=number)
        row = there.get(day)
        if row is None:
            more, whole = len(part.times), part
            made.append(
                DayOfReadings(thermometer=thermometer, day=day, readings=len(part.times), data=packed(part))
            )
        else:
            whole = _with(row, part)
            more = len(whole.times) - row.readings
            if more:
                _refuse_if_tampered(thermometer.place, row)
                row.readings, row.data, row.sealed = len(whole.times), packed(whole), False
                row.save()
        if more:
            new, first_at = new + more, first_at or _moment(part.times[0])
    DayOfReadings.objects.bulk_create(made, batch_size=500)
    return new, first_at


def _with(row: DayOfReadings, part: Series) -> Series:
    try:
        return joined([readings_of(row), part])
    except Conflict as conflict:
        raise Refused(f"{conflict} One of them is there already. Nothing was taken.") from None


def _refuse_if_tampered(place: str, row: DayOfReadings) -> None:
    """A day that was sealed is added to only while it is what was sealed."""
    if row.sealed and row.day in tampered(place, [row.day]):
        raise Refused(
            f"The readings of {row.day:%d %b %Y} are not those that were sealed: somebody changed them past this "
            "program. Look at a copy of the bank before more are added."
        )


def readings_of(row: DayOfReadings) -> Series:
    return unpacked((row.day - EPOCH).days, bytes(row.data))


def load(thermometer: Thermometer, start: datetime, end: datetime) -> Series:
    rows = thermometer.days.filter(day__range=(start.astimezone(UTC).date(), end.astimezone(UTC).date()))
    parts = [readings_of(row) for row in rows.order_by("day")]
    return between(joined(parts), start, end) if parts else NONE


def of_day(place: str, day: date) -> list[tuple[str, Series]]:
    """Every thermometer's readings of a day, by its number and name."""
    rows = DayOfReadings.objects.filter(thermometer__place=place, day=day).select_related("thermometer")
    return [
        (f"{row.thermometer_id} {row.thermometer.name}", readings_of(row))
        for row in rows.order_by("thermometer")
    ]


def tampered(place: str, days: Sequence[date] | None = None) -> list[date]:
    """Which sealed days are no more what was sealed; a day with late readings waits for its next seal."""
    sealed = temperatures(Book(), place).sealed
    unsealed = set(
        DayOfReadings.objects.filter(thermometer__place=place, sealed=False).values_list("day", flat=True)
    )
    return [
        day
        for day in (sorted(sealed) if days is None else days)
        if day in sealed and day not in unsealed and digest(of_day(place, day)) != sealed[day].sha256
    ]


def _moment(seconds: int) -> datetime:
    return datetime.fromtimestamp(int(seconds), UTC)
