"""Every row of a list is taken or refused with all its reasons; then all that are taken come in, or none."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from django.db import transaction

from buffycoat.journal.book import HeldBook, lock_head
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Head
from buffycoat.journal.record import digest, record
from buffycoat.journal.sound import why_not_sound
from buffycoat.lists.columns import DONATIONS, DONORS, STOCK, Kind
from buffycoat.lists.judges import Donations, Donors, Judge, Wanted
from buffycoat.lists.rows import Cells, Choices
from buffycoat.lists.sheet import Sheet
from buffycoat.lists.stock_judge import Stock
from buffycoat.people.models import OwnerContact
from buffycoat.site.rules import limits

JUDGES: dict[str, type[Judge]] = {DONORS: Donors, DONATIONS: Donations, STOCK: Stock}
TAKEN, HERE, REFUSED = "to be brought in", "already here", "refused"


@dataclass(frozen=True, kw_only=True)
class Judged:
    """`code` is ours, of what is here already."""

    number: int
    who: str
    verdict: str
    reasons: tuple[str, ...] = ()
    code: str = ""
    wanted: Wanted | None = None


@dataclass(frozen=True, kw_only=True)
class Told:
    """A list with what was said of it; `source` is what its facts call it."""

    kind: Kind
    sheet: Sheet
    choices: Choices
    source: str


class Moved(Refused):
    """Between the look and the word, something else was written."""


def judged(told: Told) -> list[Judged]:
    """By the book as it stands. Nothing is written."""
    return _judged(told, HeldBook(Head.objects.get(id=1)), datetime.now(UTC))


def _judged(told: Told, look: HeldBook, now: datetime) -> list[Judged]:
    judge = JUDGES[told.kind.key](look, limits(look).zone, told.source, now)
    before: dict[str, int] = {}
    found = []
    for row in told.sheet.rows:
        cells = Cells(sheet=told.sheet, row=row, kind=told.kind, choices=told.choices)
        one = _row(judge, cells, look, now, before)
        if one.wanted:
            before |= dict.fromkeys(one.wanted.same, row.number)
        found.append(one)
    return found


def _row(judge: Judge, cells: Cells, look: HeldBook, now: datetime, before: dict[str, int]) -> Judged:
    number, who = cells.row.number, judge.who(cells)
    if here := judge.here(cells):
        return Judged(number=number, who=who, verdict=HERE, reasons=(here.words,), code=here.code)
    wanted = judge.wanted(cells)
    reasons = [*cells.reasons, *(_against(wanted, look, now, before) if wanted else ())]
    if reasons or wanted is None:
        return Judged(number=number, who=who, verdict=REFUSED, reasons=tuple(dict.fromkeys(reasons)))
    return Judged(number=number, who=who, verdict=TAKEN, wanted=wanted)


def _against(wanted: Wanted, look: HeldBook, now: datetime, before: dict[str, int]) -> Iterator[str]:
    at = wanted.at or now
    for mark in sorted(wanted.same & before.keys()):
        yield f"Row {before[mark]} tells the same: delete one of the two."
    yield from why_not_sound(wanted.command, at)
    if at > now:
        yield f"{at:%d %b %Y} is still to come: look at the day again."
    yield from wanted.command.why_not(look, at)


def fingerprint(rows: Sequence[Judged]) -> str:
    """What would be brought in: the same rows give the same text."""
    text = "\n".join(f"{row.number} {digest(row.wanted.command)}" for row in rows if row.wanted)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def bring_in(told: Told, *, by: str, expected: str | None = None) -> list[Judged]:
    """All rows that are taken, in one transaction; gives the judgement that was acted upon.

    `expected` is the fingerprint of what the person saw.

    Raises: Refused, and nothing has changed.
    """
    with transaction.atomic():
        head = lock_head()
        rows = _judged(told, HeldBook(head), datetime.now(UTC))
        if expected is not None and expected != fingerprint(rows):
            raise Moved("Something else was recorded meanwhile, and rows stand otherwise now: look again.")
        for row in rows:
            if row.wanted:
                _write(row, row.wanted, by)
    return rows


def _write(row: Judged, wanted: Wanted, by: str) -> None:
    try:
        done = record(wanted.command, by=by, happened_at=wanted.at)
    except Refused as refused:
        raise Refused(*(f"Row {row.number}: {reason}" for reason in refused.reasons)) from None
    if wanted.contact:
        donor = done.lines[0].stream.partition("/")[2]
        OwnerContact.objects.create(donor=donor, **wanted.contact)
