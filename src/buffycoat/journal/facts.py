"""Facts: what happened, as frozen data. Commands: what a person asks for. States: what we must know to decide.

Nothing here knows Django, the clock, the disk or chance, so every rule of the trade can be read and tested alone.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar, Protocol, Self, TypeVar

import msgspec

KINDS: dict[str, type["Fact"]] = {}


class Fact:
    """Something that happened. Its `kind` is written in the book for ever and never renamed.

    `builds_on` names the facts of the same stream that this one stands on: while it stands, they cannot be
    struck. Two facts that both name a `part` and name different ones do not stand on each other.
    """

    kind: ClassVar[str]
    schema: ClassVar[int]
    builds_on: ClassVar[tuple[type["Fact"], ...]]

    def __init_subclass__(
        cls, *, kind: str, schema: int = 1, builds_on: tuple[type["Fact"], ...] = ()
    ) -> None:
        if kind in KINDS:
            raise TypeError(f"two facts of the kind {kind}")
        cls.kind, cls.schema, cls.builds_on = kind, schema, builds_on
        KINDS[kind] = cls

    def stands_on(self, earlier: "Fact") -> bool:
        mine, other = getattr(self, "part", None), getattr(earlier, "part", None)
        if mine is not None and other is not None and mine != other:
            return False
        return isinstance(earlier, self.builds_on)


@dataclass(frozen=True, kw_only=True)
class EntryStruck(Fact, kind="entry-struck"):
    """An entry of the same stream was a mistake. It stays readable and no longer counts."""

    struck_number: int
    reason: str


@dataclass(frozen=True, kw_only=True)
class Line:
    """One entry of the book as read: the fact and who, when and where it was written."""

    number: int
    stream: str
    version: int
    fact: Fact
    happened_at: datetime
    recorded_at: datetime
    by: str
    command_id: str


@dataclass(frozen=True, kw_only=True)
class State:
    """What must be known of one stream, folded from its standing entries by `evolve`."""

    stream: ClassVar[str]
    number: str

    def evolve(self, line: Line) -> Self:
        raise NotImplementedError

    @classmethod
    def fold(cls, number: str, lines: Sequence[Line]) -> Self:
        state = cls(number=number)
        for line in lines:
            state = state.evolve(line)
        return state


StateT = TypeVar("StateT", bound=State)


class Look(Protocol):
    """The book, open for reading: `look(Donor, number)` is that donor as it stands now."""

    @property
    def serial(self) -> int:
        """The number that the next entry will have; new codes are made from it."""

    def __call__(self, state: type[StateT], number: str) -> StateT: ...


class Command:
    """What a person asks the book to record."""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        """Every reason against it, each a plain sentence that says what to do."""
        raise NotImplementedError

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        """The stream and the fact of each entry, when there is no reason against it."""
        raise NotImplementedError


class Refused(Exception):
    """The command was not recorded; nothing has changed. Carries every reason."""

    def __init__(self, *reasons: str) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


def fields_of(fact: "Fact | Command") -> dict[str, Any]:
    """The fact as plain JSON values."""
    fields: dict[str, Any] = msgspec.to_builtins(fact)
    return fields


def fact_from(kind: str, schema: int, fields: dict[str, Any]) -> Fact:
    """The fact of a stored line. A kind or schema that this release does not know is an error, never skipped."""
    known = KINDS.get(kind)
    if known is None or schema != known.schema:
        raise ValueError(
            f"this release cannot read {kind} of schema {schema}: install the release that wrote it"
        )
    return msgspec.convert(fields, known)
