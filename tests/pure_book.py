"""The book in memory: rules are tried against it without a database, in microseconds."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from uuid import uuid4

from buffycoat.journal.facts import Command, EntryStruck, Fact, Line, Refused, StateT
from buffycoat.journal.record import Recorded


@dataclass
class PureBook:
    """Decides and remembers as the journal does; it seals nothing and keeps nothing."""

    lines: list[Line] = field(default_factory=list)

    @property
    def serial(self) -> int:
        return len(self.lines) + 1

    def __call__(self, state: type[StateT], number: str) -> StateT:
        return state.fold(number, list(self.standing(f"{state.stream}/{number}")))

    def standing(self, stream: str) -> Iterator[Line]:
        struck = {line.fact.struck_number for line in self.lines if isinstance(line.fact, EntryStruck)}
        for line in self.lines:
            if line.stream == stream and line.number not in struck and not isinstance(line.fact, EntryStruck):
                yield line

    def record(self, command: Command, *, by: str, happened_at: datetime) -> Recorded:
        if reasons := tuple(dict.fromkeys(command.why_not(self, happened_at))):
            raise Refused(*reasons)
        command_id = uuid4().hex
        facts = tuple(command.facts(self, happened_at))
        return Recorded(tuple(self.tell(stream, fact, happened_at, by, command_id) for stream, fact in facts))

    def tell(self, stream: str, fact: Fact, at: datetime, by: str = "robin", command_id: str = "") -> Line:
        """Writes a fact down without asking any rule."""
        version = 1 + sum(1 for line in self.lines if line.stream == stream)
        times = {"happened_at": at, "recorded_at": at}
        line = Line(
            number=self.serial,
            stream=stream,
            version=version,
            fact=fact,
            by=by,
            command_id=command_id,
            **times,
        )
        self.lines.append(line)
        return line
