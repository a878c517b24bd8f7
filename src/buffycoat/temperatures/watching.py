"""Looks at the readings of a place, and opens and ends alarms. Asked at each reading, and by `buffycoat watch`."""

from collections.abc import Iterator
from contextlib import suppress
from datetime import UTC, datetime, timedelta

from django.db.models import Q

from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command, Refused
from buffycoat.journal.record import record
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.models import PlaceRow, ShelfRow
from buffycoat.temperatures.alarms import Alarm, Temperatures, temperatures
from buffycoat.temperatures.bands import SILENT, Band, band_of
from buffycoat.temperatures.keeping_readings import AHEAD, load
from buffycoat.temperatures.models import LOGGER, SENSOR, StayRow, Thermometer, WatchRan
from buffycoat.temperatures.rules import EndAlarm, OpenAlarm
from buffycoat.temperatures.spells import Spell, between_hands, spells

PROGRAM = "buffycoat"  # who opens and ends alarms, and seals days
BACK = timedelta(days=2)


def look_at(place: str, now: datetime | None = None, *, since: datetime | None = None) -> None:
    """`since`: readings from then on are new."""
    now = now or datetime.now(UTC)
    row, site = PlaceRow.objects.get(pk=place), limits(Book())
    for spell, at_once in _spells(row, now, since or now, site):
        long_enough = at_once or spell.lasted > timedelta(minutes=site.whole("alarm_after_min"))
        _tell(place, spell, now, opens=long_enough)
    _look_for_silence(place, now, site)


def look_at_all(now: datetime | None = None) -> None:
    for place in PlaceRow.objects.values_list("place", flat=True):
        look_at(place, now)
    WatchRan.objects.update_or_create(pk=1, defaults={"at": now or datetime.now(UTC)})


def _spells(row: PlaceRow, now: datetime, since: datetime, site: Limits) -> Iterator[tuple[Spell, bool]]:
    """With those that are told at once: how long a spell between two readings by hand was, nobody knows."""
    state, band = temperatures(Book(), row.place), band_of(row.appliance, site)
    unended = [alarm.since for alarm in state.alarms.values() if alarm.ended_at is None]
    start = min([since, now, *unended]) - BACK
    measured = [load(each, start, now + AHEAD) for each in Thermometer.objects.filter(place=row.place)]
    yield from ((spell, False) for spell in spells(measured, band))
    if not measured:
        yield from ((spell, True) for spell in by_hand(state, band))


def by_hand(state: Temperatures, band: Band) -> list[Spell]:
    told = [(at, each.now_centi_c, each.least_centi_c, each.most_centi_c) for at, each in state.read]
    return between_hands(told, band)


def _tell(place: str, spell: Spell, now: datetime, *, opens: bool) -> None:
    alarm, inside = _alarm_of(place, spell), units_inside(place, spell.since, spell.ended_at or now)
    if alarm is None and opens:
        opened = OpenAlarm(
            place=place,
            cause=spell.cause,
            since=spell.since,
            ended_at=spell.ended_at,
            extreme_centi_c=spell.extreme_centi_c,
            units=inside,
        )
        _record(opened, now)
    elif alarm and alarm.ended_at is None and spell.ended_at and alarm.spans[-1][0] <= spell.ended_at:
        ended = EndAlarm(
            place=place,
            alarm=alarm.number,
            ended_at=spell.ended_at,
            extreme_centi_c=spell.extreme_centi_c,
            units=inside,
        )
        _record(ended, now)


def _alarm_of(place: str, spell: Spell) -> Alarm | None:
    """The alarm that tells of this spell."""
    alarms = temperatures(Book(), place).alarms.values()
    mine = (each for each in alarms if each.cause == spell.cause)
    return next((each for each in mine if each.covers(spell.since, spell.seen_until)), None)


def _look_for_silence(place: str, now: datetime, site: Limits) -> None:
    silent = silent_since(place, now, site)
    alarm = temperatures(Book(), place).open(SILENT)
    if silent and (alarm is None or alarm.ended_at):
        _record(OpenAlarm(place=place, cause=SILENT, since=silent), now)
    elif alarm and alarm.ended_at is None and not silent:
        _record(EndAlarm(place=place, alarm=alarm.number, ended_at=max(now, alarm.since)), now)


def silent_since(place: str, now: datetime, site: Limits) -> datetime | None:
    """The last reading of the thermometer that should have spoken long ago. A place never measured is not silent."""
    longest = {
        SENSOR: timedelta(minutes=site.whole("sensor_silent_min")),
        LOGGER: timedelta(days=site.whole("logger_read_out_days")),
    }
    in_use = Thermometer.objects.filter(place=place, in_use=True, last_at__isnull=False)
    overdue = [each.last_at for each in in_use if each.last_at and now - each.last_at > longest[each.kind]]
    read = temperatures(Book(), place).read
    if read and not in_use:
        last = max(at for at, _ in read)
        if now - last > timedelta(hours=site.whole("hand_reading_h")):
            overdue.append(last)
    return min(overdue, default=None)


def units_inside(place: str, start: datetime, end: datetime) -> tuple[str, ...]:
    """Who stood there for any part of that time and is not gone since."""
    stays = StayRow.objects.filter(place=place, since__lt=end).filter(Q(until=None) | Q(until__gt=start))
    units = set(stays.values_list("unit", flat=True))
    there = ShelfRow.objects.filter(unit__in=units, discarded="").values_list("unit_id", flat=True)
    return tuple(sorted(there))


def _record(command: Command, now: datetime) -> None:
    """Refused: somebody else has looked at the same moment and told it."""
    with suppress(Refused):
        record(command, by=PROGRAM, happened_at=now)
