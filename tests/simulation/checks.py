"""What must hold of a book whatever happened to it: what was told is there, nothing is half-done, all is whole."""

from collections import Counter
from collections.abc import Mapping

from buffycoat.journal.models import Entry
from buffycoat.journal.registers import Differs, rebuild
from buffycoat.journal.verify import verify


def lost(told: Mapping[str, object]) -> list[str]:
    """Commands that someone was told are recorded, and are not."""
    there = set(Entry.objects.values_list("command_id", flat=True))
    return [f"told as recorded and lost: {command_id}" for command_id in told if command_id not in there]


def half_done(entries: Mapping[str, int]) -> list[str]:
    """Commands that are there with more or fewer entries than they have."""
    there = Counter(Entry.objects.values_list("command_id", flat=True))
    return [
        f"half-done: {command_id} has {there[command_id]} of {expected} entries"
        for command_id, expected in entries.items()
        if there[command_id] not in (0, expected)
    ]


def not_whole() -> list[str]:
    wrong = verify().wrong
    return [f"the journal: {wrong}"] if wrong else []


def registers_differ() -> list[str]:
    try:
        rebuild(check=True)
    except Differs as differs:
        return [str(differs)]
    return []


def nobodys(commands: Mapping[str, object], *, but_of: str) -> list[str]:
    """Commands that are recorded and that no bench sent."""
    there = set(Entry.objects.exclude(by=but_of).values_list("command_id", flat=True))
    return [f"recorded, and nobody sent it: {command_id}" for command_id in there - commands.keys()]
