"""Is the book whole? Reads every entry once and says the first thing that is wrong."""

import json
from dataclasses import dataclass

from buffycoat.journal.book import COLUMNS, MOMENTS
from buffycoat.journal.chain import START, seal
from buffycoat.journal.models import Entry, Head


@dataclass(frozen=True)
class Verdict:
    """`entries` and `head_hash` of the part that holds; `wrong` is what comes after it, or None."""

    entries: int
    head_hash: str
    wrong: str | None


def verify() -> Verdict:
    """Checks numbers, seals, the columns beside each line, and the head."""
    count, previous = 0, START
    for entry in Entry.objects.order_by("number").iterator(chunk_size=2000):
        if wrong := _why_it_does_not_hold(entry, count + 1, previous):
            return Verdict(count, previous, wrong)
        count, previous = entry.number, entry.hash
    head = Head.objects.get(id=1)
    if (head.number, head.hash) == (count, previous):
        return Verdict(count, previous, None)
    return Verdict(
        count,
        previous,
        f"The head says {head.number} entries, the book holds {count}: its end was cut off or added to.",
    )


def _why_it_does_not_hold(entry: Entry, expected_number: int, previous_hash: str) -> str | None:
    if entry.number != expected_number:
        return f"Entry {expected_number} is missing: the next one in the book is {entry.number}."
    if seal(previous_hash, entry.line) != entry.hash:
        return f"Entry {entry.number} does not fit its seal: its text, or what came before it, was changed."
    values = json.loads(entry.line)
    for column in COLUMNS:
        if getattr(entry, column) != values[column]:
            return f"Entry {entry.number}: the column {column} was changed beside the sealed line."
    for column in MOMENTS:
        if getattr(entry, column).isoformat() != values[column]:
            return f"Entry {entry.number}: the column {column} was changed beside the sealed line."
    return None
