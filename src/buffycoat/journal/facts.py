"""Facts: what happened, as frozen data. Commands: what a person asks for. States: what we must know to decide.

Nothing here knows Django, the clock, the disk or chance, so every rule of the trade can be read and tested alone.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from itertools import chain
from typing import TYPE_CHECKING, Any, ClassVar, Protocol, Self, TypeVar

import msgspec

KINDS: dict[str, type["Fact"]] = {}
Upcast = Callable[[dict[str, Any]], dict[str, Any]]


class Fact:
    """Something that happened. Its `kind` is written in the book for ever and never renamed.

    `builds_on` names the facts of the same stream that this one stands on: while it stands, they cannot be
    struck. Two facts that both name a `part` and name different ones do not stand on each other.

    A field whose meaning changes raises `schema`, and `upcasts` gets one pure function: the fields of the old
    schema in, those of the next one out. Lines in the book stay as they were written.

    `leaves_behind` says why a job that has this fact is not voided: something of it is out in the world.
    """

    kind: ClassVar[str]
    schema: ClassVar[int]
    builds_on: ClassVar[tuple[type["Fact"], ...]]
    upcasts: ClassVar[Mapping[int, Upcast]]
    leaves_behind: ClassVar[str]

    def __init_subclass__(
        cls,
        *,
        kind: str,
        schema: int = 1,
        builds_on: tuple[type["Fact"], ...] = (),
        upcasts: Mapping[int, Upcast] | None = None,
        leaves_behind: str = "",
    ) -> None:
        if kind in KINDS:
            raise TypeError(f"two facts of the kind {kind}")
        cls.kind, cls.schema, cls.builds_on, cls.upcasts = kind, schema, builds_on, upcasts or {}
        cls.leaves_behind = leaves_behind
        if sorted(cls.upcasts) != list(range(1, schema)):
            raise TypeError(f"{kind} of schema {schema} needs one upcast from each schema before it")
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


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """One entry of the book as read: the fact and who, when and where it was written."""

    number: int
    stream: str
    version: int
    fact: Fact
    happened_at: datetime
    recorded_at: datetime
    by: str
    command_id: str


class Lines(list[Line]):
    """The standing lines of one stream, never added to. Several chapters fold the same ones: each state is folded once.

    `version` is that of the last line, struck or not.
    """

    def __init__(self, lines: Iterable[Line] = (), version: int = 0) -> None:
        super().__init__(lines)
        self.version = version
        self.folded: dict[type[State], State] = {}

    def followed_by(self, added: Sequence[Line]) -> "Lines":
        """What stands when these are added. What was folded goes on from where it stood, unless something is struck."""
        version = added[-1].version if added else self.version
        strikes = strikes_among(added)
        if strikes:
            lines = (line for line in chain(self, added) if not isinstance(line.fact, EntryStruck))
            return Lines((line for line in lines if line.number not in strikes), version)
        after = Lines(chain(self, added), version)
        after.folded = {kind: reduce(kind.evolve, added, state) for kind, state in self.folded.items()}
        return after


def strikes_among(lines: Iterable[Line]) -> dict[int, Line]:
    """The strikes by the number that each took out."""
    return {line.fact.struck_number: line for line in lines if isinstance(line.fact, EntryStruck)}


if TYPE_CHECKING:
    from dataclasses import replace
else:

    def replace(state, **changed):
        """`dataclasses.replace` at a fifth of its cost, for each line of a book may need it several times."""
        made = object.__new__(type(state))
        made.__dict__.update(state.__dict__, **changed)
        return made


@dataclass(frozen=True, kw_only=True)
class State:
    """What must be known of one stream, folded from its standing entries by `evolve`."""

    stream: ClassVar[str]
    number: str

    def evolve(self, line: Line) -> Self:
        raise NotImplementedError

    @classmethod
    def fold(cls, number: str, lines: Sequence[Line]) -> Self:
        folded: dict[Any, Any] = lines.folded if isinstance(lines, Lines) else {}
        if cls not in folded:
            folded[cls] = reduce(cls.evolve, lines, cls(number=number))
        state: Self = folded[cls]
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


def fact_of(kind: str, schema: int, fields: msgspec.Raw) -> Fact:
    """The fact of a stored line, read at once into what it is."""
    known = KINDS.get(kind)
    if known is None or known.schema != schema:
        return fact_from(kind, schema, msgspec.json.decode(fields))
    return msgspec.json.decode(fields, type=known)


def fact_from(kind: str, schema: int, fields: dict[str, Any]) -> Fact:
    """The fact of a stored line. A kind or schema that this release does not know is an error, never skipped."""
    known = KINDS.get(kind)
    if known is None or not 1 <= schema <= known.schema:
        raise ValueError(
            f"this release cannot read {kind} of schema {schema}: install the release that wrote it"
        )
    for old in range(schema, known.schema):
        fields = known.upcasts[old](fields)
    return msgspec.convert(fields, known)
