"""What no command may carry, whatever it asks: text, numbers and times that a database cannot keep.

Pages and the command line refuse most of it before; here it is held for every door, and alike on every database.
"""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

from buffycoat.journal.facts import Command, fields_of

LONGEST_TEXT = 2_000
LARGEST_NUMBER = 2**31 - 1
EARLIEST = datetime(1900, 1, 1, tzinfo=UTC)


def why_not_sound(command: Command, at: datetime) -> Iterator[str]:
    """Each reason in words; `at` is when it happened."""
    if at.tzinfo is None or at.utcoffset() is None:
        yield "The time has no zone: give it in UTC, or with its offset."
    elif at < EARLIEST:
        yield f"The time given is before {EARLIEST.year}: give the time when it was done."
    for name, value in _values(fields_of(command)):
        words = name.replace("_", " ").capitalize()
        match value:
            case str() if not _can_be_kept(value):
                yield f"{words} holds a character that cannot be kept: type it again."
            case str() if len(value) > LONGEST_TEXT:
                yield f"{words} is {len(value)} characters long; at most {LONGEST_TEXT} fit. Shorten it."
            case int() if abs(value) > LARGEST_NUMBER:
                yield f"{words} is no number that anything here can have."


def _can_be_kept(text: str) -> bool:
    return not any(character == "\0" or "\ud800" <= character <= "\udfff" for character in text)


def _values(value: Any, name: str = "") -> Iterator[tuple[str, Any]]:
    """Every plain value with the name that it goes by."""
    if isinstance(value, dict):
        for key, each in value.items():
            yield from _values(each, key)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from _values(each, name)
    else:
        yield name, value
