"""Is the book whole? Reads every entry once and says the first thing that is wrong."""

from collections.abc import Iterator
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

import msgspec
from django.db import DatabaseError, connection

from buffycoat.journal.book import read
from buffycoat.journal.chain import START, seal
from buffycoat.journal.models import Head
from buffycoat.journal.still import standing_still

# What reading a row may raise that is no entry: bytes that are no text, a line of nonsense.
UNREADABLE = (DatabaseError, msgspec.MsgspecError, ValueError, TypeError)
BESIDE = ("number", "stream", "version", "kind", "happened_at", "recorded_at", "by", "command_id")
# A time as the line writes it, so that it is compared as text and nothing is read into it.
MOMENT = {
    "sqlite": "REPLACE({0}, ' ', 'T') || '+00:00'",
    "postgresql": "REPLACE(TO_CHAR({0} AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS.US+00:00'), '.000000', '')",
}

_beside = attrgetter(*BESIDE)


@dataclass(frozen=True)
class Verdict:
    """`entries` and `head_hash` of the part that holds; `wrong` is what comes after it, or None."""

    entries: int
    head_hash: str
    wrong: str | None


def verify() -> Verdict:
    """Checks numbers, seals, the columns beside each line, and the head, all as they stand at one moment."""
    count, previous = 0, START
    try:
        with standing_still():
            for row in _rows():
                if wrong := _why_it_does_not_hold(row, count + 1, previous):
                    return Verdict(count, previous, wrong)
                count, previous = count + 1, row[-1]
            return Verdict(count, previous, _why_not_the_end(count, previous))
    except UNREADABLE as trouble:
        if connection.vendor != "sqlite" and isinstance(trouble, DatabaseError):
            raise  # its server went away, or knows more about its files than we do
        wrong = f"Entry {count + 1} cannot be read: what stands there is no entry any more."
        return Verdict(count, previous, wrong)


def _rows() -> Iterator[tuple[Any, ...]]:
    """The columns beside the line, the line and its hash, one entry at a time: in flat memory, and up to the fault."""
    moment = MOMENT[connection.vendor]
    columns = [moment.format(each) if each.endswith("_at") else f'"{each}"' for each in BESIDE]
    with connection.chunked_cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(columns)}, line, hash FROM journal_entry ORDER BY number")
        yield from cursor


def _why_not_the_end(count: int, last_hash: str) -> str | None:
    try:
        head = Head.objects.filter(id=1).first()
    except UNREADABLE:
        head = None
    if head is None:
        return f"The head of the book is gone or cannot be read: whether entry {count} is the last, nobody knows."
    if head.number != count:
        return (
            f"The head says {head.number} entries, the book holds {count}: its end was cut off or added to."
        )
    if head.hash != last_hash:
        return f"The head holds another seal than entry {count}, the last: one of the two was changed."
    return None


def _why_it_does_not_hold(row: tuple[Any, ...], expected_number: int, previous_hash: str) -> str | None:
    *beside, line, its_hash = row
    number = beside[0]
    if number != expected_number:
        return f"Entry {expected_number} is missing: the next one in the book is {number}."
    if seal(previous_hash, line) != its_hash:
        return f"Entry {number} does not fit its seal: its text, or what came before it, was changed."
    for column, here, said in zip(BESIDE, beside, _beside(read(line)), strict=True):
        if here != said:
            return f"Entry {number}: the column {column} was changed beside the sealed line."
    return None
