"""The one way in: a command is decided, sealed and posted to the registers in one transaction, or not at all."""

import hashlib
import json
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TypeVar

from django.db import transaction

from buffycoat.journal.book import HeldBook, append, lock_head, written_by
from buffycoat.journal.chain import canonical
from buffycoat.journal.facts import Command, Fact, Line, Refused, fields_of
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import post
from buffycoat.journal.rows import at_once
from buffycoat.journal.sound import why_not_sound
from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import BadCode

CLOCK_TOLERANCE = timedelta(minutes=1)  # a tablet's clock may run a little ahead of the server's

FactT = TypeVar("FactT", bound=Fact)


@dataclass(frozen=True)
class Recorded:
    lines: tuple[Line, ...]

    def the(self, kind: type[FactT]) -> FactT:
        """The first fact of that kind among what was recorded."""
        return next(line.fact for line in self.lines if isinstance(line.fact, kind))


def digest(command: Command) -> str:
    text = canonical({"command": type(command).__name__, "fields": fields_of(command)})
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def record(
    command: Command,
    *,
    by: str,
    happened_at: datetime | None = None,
    command_id: str | None = None,
    seen: Mapping[str, int] | None = None,
) -> Recorded:
    """Writes what follows from the command, or raises `Refused` with every reason and changes nothing.

    `happened_at` is what the person says, in UTC (now, if they say nothing). The same `command_id` again gives the
    first result. `seen` holds the versions of the streams that the form was drawn from.
    """
    command_id = command_id or uuid.uuid4().hex
    if unsound := tuple(why_not_sound(command, happened_at or datetime.now(UTC))):
        raise Refused(*unsound)
    with transaction.atomic():
        book = HeldBook(lock_head())
        now = datetime.now(UTC)  # behind the lock: whoever waited for it is later than whoever held it
        at = happened_at or now
        if earlier := _recorded_before(command, command_id):
            return earlier
        _refuse_if_overtaken(book, seen or {})
        return write(command, book=book, by=by, at=at, now=now, command_id=command_id)


def write(
    command: Command, *, book: HeldBook, by: str, at: datetime, now: datetime, command_id: str
) -> Recorded:
    """Decides, appends and posts, in a book whose head is held."""
    if at > now + CLOCK_TOLERANCE:
        to_come = "The time given is still to come: give the time when it was done."
        raise Refused(to_come, *_if_set_back(now))
    at = at.astimezone(UTC)
    try:
        if reasons := tuple(dict.fromkeys(command.why_not(book, at))):
            raise Refused(*reasons, *_if_set_back(now))
        facts = tuple(command.facts(book, at))
    except (BadCode, OutOfRange) as unheard_of:  # a plain sentence, of what no rule had thought of
        raise Refused(str(unheard_of)) from None
    before = {stream: book.standing(stream) for stream, _ in facts}
    with at_once():
        lines = append(
            facts,
            book=book,
            by=by,
            happened_at=at,
            recorded_at=now,
            command_id=command_id,
            command_digest=digest(command),
        )
        for stream, stood in before.items():
            post(stream, stood, book.standing(stream))
    return Recorded(tuple(lines))


def _if_set_back(now: datetime) -> Iterator[str]:
    """What a refusal about a time may come from. The order of the book is by number and does not mind."""
    last = Entry.objects.order_by("number").last()
    if last and last.recorded_at > now + CLOCK_TOLERANCE:
        yield (
            f"The server's clock stands at {now:%d %b %Y, %H:%M} UTC, and the last entry was recorded at "
            f"{last.recorded_at:%d %b %Y, %H:%M} UTC: tell whoever keeps the server to set it right."
        )


def _recorded_before(command: Command, command_id: str) -> Recorded | None:
    lines = written_by(command_id)
    if not lines:
        return None
    first = Entry.objects.get(number=lines[0].number)
    if json.loads(first.line)["command_digest"] != digest(command):
        raise Refused(
            f"This form was already recorded by {first.by} with other values. "
            "Open the page afresh; to change what stands, strike it and write it again."
        )
    return Recorded(tuple(lines))


def _refuse_if_overtaken(book: HeldBook, seen: Mapping[str, int]) -> None:
    for stream, version in seen.items():
        if book.standing(stream).version > max(
            version, 0
        ):  # a stream that nothing was written to is at nought
            newer = Entry.objects.filter(stream=stream, version__gt=version).earliest("version")
            seconds = (datetime.now(UTC) - newer.recorded_at).total_seconds()
            ago = f"{seconds / 60:.0f} min ago" if seconds >= 90 else f"{max(seconds, 0):.0f} s ago"
            raise Refused(
                f"{newer.by} was faster, {ago}: {newer.kind.replace('-', ' ')}. "
                "Look at the page again before you go on."
            )
