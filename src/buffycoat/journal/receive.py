"""A whole book taken over into an empty one, when a copy is restored. Nothing is decided, numbered or dated anew."""

from collections.abc import Iterable
from itertools import islice

from django.db import transaction

from buffycoat.journal.book import entry_of, lock_head
from buffycoat.journal.chain import START, seal
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.rows import insert, update

AT_ONCE = 2_000


def receive(sealed: Iterable[tuple[str, str]]) -> Head:
    """Adds each (hash, line) of another book, from its first on. A line that does not fit its seal stops it all."""
    with transaction.atomic():
        head = lock_head()
        if head.number:
            raise Refused(
                f"This bank has a journal of {head.number} entries already: nothing may be put over it."
            )
        head.hash, lines = START, iter(sealed)
        while several := [_next_entry(head, each, line) for each, line in islice(lines, AT_ONCE)]:
            insert(several)
        update(head)
    return head


def _next_entry(head: Head, its_hash: str, line: str) -> Entry:
    if seal(head.hash, line) != its_hash:
        raise Refused(
            f"Entry {head.number + 1} does not fit its seal: its text, or what came before it, was changed."
        )
    head.number, head.hash = head.number + 1, its_hash
    return entry_of(line, its_hash)
