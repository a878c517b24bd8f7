"""Never edit, strike: a mistake is struck with a reason, and may be written again in the same transaction."""

import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

from django.db import transaction

from buffycoat.journal.book import line_of, lock_head, standing, story
from buffycoat.journal.facts import Command, EntryStruck, Fact, Line, Look
from buffycoat.journal.models import Entry
from buffycoat.journal.record import Recorded, record, write


@dataclass(frozen=True, kw_only=True)
class StrikeEntry(Command):
    """Strikes an entry, with all that was written by the same command."""

    entry_number: int
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.reason.strip():
            yield "Say why it is struck: the reason stays in the book."
        entry = Entry.objects.filter(number=self.entry_number).first()
        if entry is None:
            yield f"There is no entry {self.entry_number}."
            return
        if entry.kind == EntryStruck.kind:
            yield "A strike cannot be struck: write the entry again."
            return
        for line in _written_together(entry):
            yield from _why_it_must_stand(line)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        for line in _written_together(Entry.objects.get(number=self.entry_number)):
            yield line.stream, EntryStruck(struck_number=line.number, reason=self.reason.strip())


def strike(
    entry_number: int,
    *,
    reason: str,
    by: str,
    again: Command | None = None,
    again_at: datetime | None = None,
    command_id: str | None = None,
) -> Recorded:
    """Strikes, and writes the right entry after it, or does neither."""
    with transaction.atomic():
        struck = record(StrikeEntry(entry_number=entry_number, reason=reason), by=by, command_id=command_id)
        if again is None:
            return struck
        now = datetime.now(UTC)
        return write(again, head=lock_head(), by=by, at=again_at or now, now=now, command_id=uuid.uuid4().hex)


def _written_together(entry: Entry) -> list[Line]:
    return [line_of(each) for each in Entry.objects.filter(command_id=entry.command_id)]


def _why_it_must_stand(line: Line) -> Iterator[str]:
    told = {each.line.number: each for each in story(line.stream)}
    if told[line.number].struck is not None:
        yield f"Entry {line.number} is struck already."
    lines = standing(line.stream)
    for later in lines:
        if later.command_id != line.command_id and _nearest_ground(later, line, lines) == line:
            yield f"Strike entry {later.number} ({later.fact.kind.replace('-', ' ')}) first: it stands on this one."
    if line.version == 1:
        yield from _why_it_is_used_elsewhere(line)


def _nearest_ground(later: Line, like: Line, lines: list[Line]) -> Line | None:
    """The last entry of the same kind before `later` on which it stands: it does not stand on older ones."""
    grounds = [
        each
        for each in lines
        if each.number < later.number
        and isinstance(each.fact, type(like.fact))
        and later.fact.stands_on(each.fact)
    ]
    return grounds[-1] if grounds else None


def _why_it_is_used_elsewhere(line: Line) -> Iterator[str]:
    code = line.stream.split("/", 1)[1]
    others = Entry.objects.filter(line__contains=f'"{code}"', number__gt=line.number).exclude(
        stream=line.stream
    )
    for entry in others.exclude(command_id=line.command_id).order_by("number"):
        if any(each.number == entry.number for each in standing(entry.stream)):
            yield f"Strike entry {entry.number} ({entry.kind.replace('-', ' ')}) first: it names {code}."
