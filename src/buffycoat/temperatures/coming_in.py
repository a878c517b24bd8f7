"""The ways of readings into the bank: a logger's file, and what a sensor sends with its key."""

import json
import math
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import msgspec
from django.core.cache import cache

from buffycoat.journal.book import Book
from buffycoat.journal.facts import Refused
from buffycoat.site.rules import limits
from buffycoat.temperatures.formats import Declared
from buffycoat.temperatures.keeping_readings import Added, add
from buffycoat.temperatures.logger_files import FileRead, read_file
from buffycoat.temperatures.mail import tell_what_is_due
from buffycoat.temperatures.models import Thermometer
from buffycoat.temperatures.series import COLDEST_CENTI_C, WARMEST_CENTI_C, Conflict, Series, series_of
from buffycoat.temperatures.watching import look_at

MOST_READINGS, MOST_BYTES = 1_000, 64_000
PUSHES_A_MINUTE = 30


@dataclass(frozen=True, kw_only=True)
class Imported:
    file: FileRead
    added: Added


def declared_of(thermometer: Thermometer) -> Declared:
    return msgspec.json.decode(thermometer.declared, type=Declared)


def import_file(thermometer: Thermometer, path: Path, declared: Declared) -> Imported:
    """What was declared is kept for the next file. Raises: Unclear or Refused, and then nothing was taken."""
    read = read_file(path, declared, limits(Book()).zone)
    added = take(thermometer, read.series)
    thermometer.declared = msgspec.json.encode(declared).decode()
    thermometer.save(update_fields=["declared"])
    return Imported(file=read, added=added)


def take(thermometer: Thermometer, series: Series) -> Added:
    """Adds readings and looks at once what they mean. Raises: Refused."""
    added = add(thermometer, series)
    if added.first_at:
        look_at(thermometer.place, since=added.first_at)
        tell_what_is_due()
    return added


class Wrong(ValueError):
    """What was sent is no list of readings; the message says what one is."""


def read_pushed(body: bytes) -> Series:
    """{"readings": [{"at": "2026-11-25T10:00:00+00:00", "c": 4.1}]}. Raises: Wrong."""
    try:
        given = json.loads(body) if len(body) <= MOST_BYTES else None
    except (ValueError, RecursionError):
        given = None
    readings = given.get("readings") if isinstance(given, dict) else None
    if not isinstance(readings, list) or not 0 < len(readings) <= MOST_READINGS:
        raise Wrong(f'Send {{"readings": [{{"at": …, "c": …}}]}}, one to {MOST_READINGS} of them.')
    try:
        return series_of(_reading(each) for each in readings)
    except Conflict as conflict:
        raise Wrong(str(conflict)) from None


def _reading(each: Any) -> tuple[datetime, int]:
    if not isinstance(each, dict) or not {"at", "c"} <= each.keys():
        raise Wrong("A reading has “at” and “c”.")
    at, value = each["at"], each["c"]
    if not isinstance(value, int | float) or isinstance(value, bool) or not math.isfinite(value):
        raise Wrong("“c” is a number of °C.")
    if not COLDEST_CENTI_C <= round(value * 100) <= WARMEST_CENTI_C:
        raise Wrong(f"{value} °C cannot be.")
    try:
        moment = datetime.fromisoformat(at)
    except (TypeError, ValueError):
        raise Wrong("“at” is a time such as 2026-11-25T10:00:00+00:00.") from None
    if moment.utcoffset() is None or not 2000 <= moment.year < 9999:
        raise Wrong("“at” needs its distance from UTC, such as +00:00.")
    return moment.astimezone(UTC), round(value * 100)


def too_often(thermometer: Thermometer) -> bool:
    """Each key has a rate of its own, so that one sensor gone wild holds up no other."""
    key = f"push-{thermometer.pk}-{datetime.now(UTC):%Y%m%d%H%M}"
    cache.add(key, 0, 120)
    return int(cache.incr(key)) > PUSHES_A_MINUTE


__all__ = ["Imported", "Refused", "Wrong", "declared_of", "import_file", "read_pushed", "take", "too_often"]
