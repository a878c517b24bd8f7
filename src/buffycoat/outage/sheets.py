"""Paper sheets with spare numbers: which are still blank, and giving out more."""

from collections.abc import Sequence
from dataclasses import dataclass

from buffycoat.draws.models import DonationRow, SpareRow
from buffycoat.draws.spares import GiveSpareNumbers
from buffycoat.journal.record import record


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """`number` is the donation that is written on it, `units` the bags that may come of it."""

    number: str
    units: Sequence[str]


def blank_sheets() -> list[Sheet]:
    """Sheets given out whose donation is not in the book yet, the oldest first."""
    units: dict[str, list[str]] = {}
    entered = set(
        DonationRow.objects.filter(pk__in=SpareRow.objects.values("sheet")).values_list("pk", flat=True)
    )
    for row in SpareRow.objects.exclude(sheet__in=entered):
        units.setdefault(row.sheet, [])
        if row.spare != row.sheet:
            units[row.sheet].append(row.spare)
    return [Sheet(number=number, units=spares) for number, spares in units.items()]


def at_least(count: int, *, by: str) -> list[Sheet]:
    """That many blank sheets; new spare numbers are given out only for those that are wanting."""
    blank = blank_sheets()
    if len(blank) < count:
        record(GiveSpareNumbers(sheets=count - len(blank)), by=by)
        blank = blank_sheets()
    return blank[:count]
