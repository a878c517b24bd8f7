"""Never edit, strike: one step, the last step of a job, or a whole job. What is struck stays readable."""

import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice

from django.db import transaction

from buffycoat.journal.book import HeldBook, lock_head, standing, written_by
from buffycoat.journal.facts import Command, EntryStruck, Fact, Line, Look
from buffycoat.journal.models import Entry
from buffycoat.journal.record import Recorded, record, write
from buffycoat.science.numbering import show_code

CODE_LENGTH = 14  # only what has a code is named by others
AT_ONCE = 100
NAMED = 5  # so many entries that name a thing are listed; a lot in use is named by thousands


@dataclass(frozen=True, kw_only=True)
class Correction(Command):
    """Strikes whole commands: all that one click wrote, in whatever streams."""

    reason: str

    def lines(self) -> list[Line]:
        """What is to be struck, in the order of the book."""
        raise NotImplementedError

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.reason.strip():
            yield "Say why it is struck: the reason stays in the book."
        yield from why_they_must_stand(self.lines())

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        for line in reversed(self.lines()):
            yield line.stream, EntryStruck(struck_number=line.number, reason=self.reason.strip())


@dataclass(frozen=True, kw_only=True)
class StrikeEntry(Correction):
    """Strikes an entry, with all that was written by the same command."""

    entry_number: int

    def lines(self) -> list[Line]:
        entry = Entry.objects.filter(number=self.entry_number).first()
        return written_by(entry.command_id) if entry else []

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        entry = Entry.objects.filter(number=self.entry_number).first()
        if entry is None:
            yield f"There is no entry {self.entry_number}."
        elif entry.kind == EntryStruck.kind:
            yield "A strike cannot be struck: write the entry again."
        else:
            yield from super().why_not(look, at)


@dataclass(frozen=True, kw_only=True)
class UndoLast(StrikeEntry):
    """Takes back the last step of a job. `entry_number` is what the person was shown as the last one."""

    stream: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        last = last_step(self.stream)
        if not last:
            yield "Nothing stands here that could be taken back."
        elif self.entry_number not in {line.number for line in last}:
            fact = last[0].fact.kind.replace("-", " ")
            yield f"The last thing here is now another: {fact}, by {last[0].by}. Look again before you take it back."
        else:
            yield from super().why_not(look, at)


@dataclass(frozen=True, kw_only=True)
class VoidJob(Correction):
    """Strikes every step of a job that should never have been."""

    stream: str

    def lines(self) -> list[Line]:
        commands = {line.command_id for line in standing(self.stream)}
        return sorted((line for each in commands for line in written_by(each)), key=lambda line: line.number)

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not standing(self.stream):
            yield "Nothing stands here that could be voided."
        behind = [line for line in self.lines() if line.fact.leaves_behind]
        began = [line for line in self.lines() if line.stream != self.stream and line.version == 1]
        for line in behind:
            yield f"Entry {line.number} ({_words(line)}): {line.fact.leaves_behind}"
        for line in began if not behind else ():
            yield (
                f"Entry {line.number} ({_words(line)}) began {_shown(line)} in the same step: "
                "void that first, if it never was."
            )
        yield from super().why_not(look, at)


def strike(
    entry_number: int,
    *,
    reason: str,
    by: str,
    again: Command | None = None,
    again_at: datetime | None = None,
    command_id: str | None = None,
    seen: Mapping[str, int] | None = None,
) -> Recorded:
    """Strikes, and writes the right entry after it, or does neither."""
    with transaction.atomic():
        command = StrikeEntry(entry_number=entry_number, reason=reason)
        struck = record(command, by=by, command_id=command_id, seen=seen)
        if again is None:
            return struck
        now = datetime.now(UTC)
        book = HeldBook(lock_head())
        return write(again, book=book, by=by, at=again_at or now, now=now, command_id=uuid.uuid4().hex)


def last_step(stream: str) -> list[Line]:
    """All that the last standing step of a stream wrote, what it wrote in this stream first."""
    lines = standing(stream)
    together = written_by(lines[-1].command_id) if lines else []
    return sorted(together, key=lambda line: line.stream != stream)


def why_they_must_stand(lines: Sequence[Line]) -> Iterator[str]:
    """Why these lines cannot all be struck together: what stands on them, or else what names what they begin."""
    commands = {line.command_id for line in lines}
    struck = [line for line in lines if line.number not in {each.number for each in standing(line.stream)}]
    for line in struck:
        yield f"Entry {line.number} is struck already."
    on_them = {later.command_id: later for line in reversed(lines) for later in _standing_on(line, commands)}
    for later in sorted(on_them.values(), key=lambda later: later.number):
        yield f"Strike entry {later.number} ({_words(later)}) first: it stands on this one."
    if not struck and not on_them:
        for line in lines:
            if line.version == 1:
                yield from _what_names(line, commands)


def _standing_on(line: Line, commands: set[str]) -> Iterator[Line]:
    """The later lines that stand on this one, the last first."""
    lines = standing(line.stream)
    for later in reversed(lines):
        if later.command_id not in commands and _nearest_ground(later, line, lines) == line:
            yield later


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


def _what_names(line: Line, commands: set[str]) -> Iterator[str]:
    """Entries of other streams that name what this line began: the first of them."""
    named = list(islice(_naming(line, commands), NAMED + 1))
    for entry in named[:NAMED]:
        words = entry.kind.replace("-", " ")
        yield f"Strike entry {entry.number} ({words}) first: it names {_shown(line)}."
    if len(named) > NAMED:
        yield f"More entries name {_shown(line)}: it is in use."


def _naming(line: Line, commands: set[str]) -> Iterator[Entry]:
    """Reads on from the line until enough is found: soon done for what is new, and for what is much used."""
    entries = Entry.objects.filter(line__contains=f'"{_code(line)}"').exclude(stream=line.stream)
    entries, after = entries.exclude(command_id__in=commands).order_by("number"), line.number
    while several := list(entries.filter(number__gt=after)[:AT_ONCE]):
        for entry in several:
            if any(each.number == entry.number for each in standing(entry.stream)):
                yield entry
        after = several[-1].number


def _code(line: Line) -> str:
    return line.stream.partition("/")[2]


def _shown(line: Line) -> str:
    code = _code(line)
    return show_code(code) if len(code) == CODE_LENGTH else code


def _words(line: Line) -> str:
    return line.fact.kind.replace("-", " ")
