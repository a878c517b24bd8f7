"""What the invariants ask of a bank: the first fact of a kind, and a limit as it stood when an entry was written."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from buffycoat.journal.facts import EntryStruck, Fact, Line
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import STREAM, LimitSet


def the(lines: Iterable[Line], kind: type[Fact]) -> Any:
    return next((line for line in lines if isinstance(line.fact, kind)), None)


def as_of(lines: list[Line], number: int) -> list[Line]:
    """The lines that stood when entry `number` was written."""
    before = [line for line in lines if line.number < number]
    struck = {line.fact.struck_number for line in before if isinstance(line.fact, EntryStruck)}
    return [line for line in before if line.number not in struck]


def limit_at(bank: Any, key: str, number: int) -> Any:
    """A limit of the site as it stood when entry `number` was written."""
    value = LIMITS[key].default
    for line in as_of(bank.of(STREAM), number):
        if isinstance(line.fact, LimitSet) and line.fact.key == key:
            value = line.fact.value
    return value


def density_at(bank: Any, of: str, number: int) -> float:
    return limit_at(bank, f"{of}_density_mg_per_ml", number) / 1000


def day_of(moment: datetime, zone: ZoneInfo) -> Any:
    return moment.astimezone(zone).date()
