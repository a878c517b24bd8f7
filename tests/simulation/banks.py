"""Two banks with the same face: one in memory, of many sequences a second, and the real one, through `record`."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from unittest.mock import patch

from buffycoat.journal import strike as strikes
from buffycoat.journal.book import Book, line_of
from buffycoat.journal.facts import Command, EntryStruck, Fact, Line, Lines, Refused, StateT, fields_of
from buffycoat.journal.models import Entry
from buffycoat.journal.record import Recorded, record
from buffycoat.journal.registers import Differs, rebuild
from buffycoat.journal.verify import verify


@dataclass
class MemoryBank:
    """Decides by the real rules, strikes by the real rule of what stands on what, and seals nothing."""

    lines: list[Line] = field(default_factory=list)
    streams: dict[str, list[Line]] = field(default_factory=dict)
    commands: dict[str, tuple[Line, ...]] = field(default_factory=dict)
    _standing: dict[str, Lines] = field(default_factory=dict)

    @property
    def serial(self) -> int:
        return len(self.lines) + 1

    def __call__(self, state: type[StateT], number: str) -> StateT:
        return state.fold(number, self.standing(f"{state.stream}/{number}"))

    def of(self, stream: str) -> list[Line]:
        return self.streams.get(stream, [])

    def standing(self, stream: str) -> Lines:
        if stream not in self._standing:
            self._standing[stream] = standing_of(self.of(stream))
        return self._standing[stream]

    def do(self, command: Command, at: datetime, command_id: str) -> tuple[Line, ...]:
        if command_id in self.commands:
            return self.commands[command_id]
        if reasons := tuple(dict.fromkeys(command.why_not(self, at))):
            raise Refused(*reasons)
        return self._write(tuple(command.facts(self, at)), at, command_id)

    def strike(self, number: int, at: datetime, command_id: str) -> tuple[Line, ...]:
        struck = self.lines[number - 1]
        if isinstance(struck.fact, EntryStruck):
            raise Refused("A strike cannot be struck: write the entry again.")
        lines = self.commands[struck.command_id]
        with (
            patch.object(strikes, "standing", self.standing),
            patch.object(strikes, "_naming", self._naming),
        ):
            if reasons := tuple(dict.fromkeys(strikes.why_they_must_stand(lines))):
                raise Refused(*reasons)
        wrong = "Written by mistake, says the simulation."
        facts = [(each.stream, EntryStruck(struck_number=each.number, reason=wrong)) for each in lines[::-1]]
        return self._write(facts, at, command_id)

    def whole(self) -> Iterator[str]:
        """It has no seals and no registers."""
        yield from ()

    def _write(self, facts: Sequence[tuple[str, Fact]], at: datetime, command_id: str) -> tuple[Line, ...]:
        written = []
        for stream, fact in facts:
            before = self.streams.setdefault(stream, [])
            line = Line(
                number=self.serial,
                stream=stream,
                version=len(before) + 1,
                fact=fact,
                happened_at=at,
                recorded_at=at,
                by="robin",
                command_id=command_id,
            )
            self.lines.append(line)
            before.append(line)
            self._standing.pop(stream, None)
            written.append(line)
        self.commands[command_id] = tuple(written)
        return self.commands[command_id]

    def _naming(self, line: Line, commands: set[str]) -> Iterator[Line]:
        """Standing entries of other streams that name what the line began."""
        code = line.stream.partition("/")[2]
        for each in self.lines[line.number :]:
            of_others = each.stream != line.stream and each.command_id not in commands
            if of_others and named(code, each.fact) and each in self.standing(each.stream):
                yield strikes.Entry(number=each.number, stream=each.stream, kind=each.fact.kind)


class RealBank:
    """The journal and its registers in the database that is open. A stream is read again when it was written to."""

    look = Book()

    def __init__(self) -> None:
        self._read: dict[str, list[Line]] = {}

    def __call__(self, state: type[StateT], number: str) -> StateT:
        return self.look(state, number)

    @property
    def lines(self) -> list[Line]:
        """Every line, read afresh."""
        self._read = {}
        lines = [line_of(each) for each in Entry.objects.order_by("number")]
        for each in sorted(lines, key=lambda line: line.version):
            self._read.setdefault(each.stream, []).append(each)
        return lines

    @property
    def serial(self) -> int:
        return self.look.serial

    def of(self, stream: str) -> list[Line]:
        if stream not in self._read:
            entries = Entry.objects.filter(stream=stream).order_by("version")
            self._read[stream] = [line_of(each) for each in entries]
        return self._read[stream]

    def standing(self, stream: str) -> Lines:
        return standing_of(self.of(stream))

    def do(self, command: Command, at: datetime, command_id: str) -> tuple[Line, ...]:
        return self._written(record(command, by="robin", happened_at=at, command_id=command_id))

    def strike(self, number: int, at: datetime, command_id: str) -> tuple[Line, ...]:
        command = strikes.StrikeEntry(entry_number=number, reason="Written by mistake, says the simulation.")
        return self._written(record(command, by="kim", happened_at=at, command_id=command_id))

    def _written(self, recorded: Recorded) -> tuple[Line, ...]:
        for line in recorded.lines:
            self._read.pop(line.stream, None)
        return recorded.lines

    def whole(self) -> Iterator[str]:
        """The chain holds, and registers made again are equal to those that live."""
        if wrong := verify().wrong:
            yield wrong
        try:
            rebuild(check=True)
        except Differs as differs:
            yield str(differs)


def standing_of(lines: Sequence[Line]) -> Lines:
    """The lines that count, told apart here a second time and not by the book."""
    struck = {each.fact.struck_number for each in lines if isinstance(each.fact, EntryStruck)}
    return Lines(
        each for each in lines if each.number not in struck and not isinstance(each.fact, EntryStruck)
    )


def named(code: str, fact: Fact) -> bool:
    return f"'{code}'" in str(fields_of(fact))
