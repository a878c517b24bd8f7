"""Problems: anything that is wrong with a thing is said at once, and holds what it concerns until it is settled.

What was found on one unit holds that unit; what was found on a donation holds each of its units, also those that are
labelled later. What was found on anything else holds nothing by itself: it is written down, and shown until settled.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import ClassVar, Self

from buffycoat.donors.rules import why_held as why_donor_held
from buffycoat.draws.bag_sets import BagSetLot, why_lot_held
from buffycoat.draws.rules import Draw
from buffycoat.draws.stickers import KINDS_OF_STICKERS, donation_of
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.labels.facts import lineage
from buffycoat.labels.rules import Labelling, LabelPrinted, UnitName
from buffycoat.science.numbering import KINDS, read_code, show_code
from buffycoat.site.rules import limits

OTHER, MISSING, MISPLACED = "other", "missing", "misplaced"
WHAT = {
    "leak": "Leak",
    "clot": "Clot or fibrin",
    "colour": "Wrong colour",
    "dropped": "Dropped or hit",
    "warm": "Too warm or too long out",
    "label": "Label wrong or lost",
    "weight": "Weight does not fit",
    "mix-up": "Wrong bag or wrong set",
    MISSING: "Not found where it should be",
    MISPLACED: "Found where it should not be",
    "device": "A device does not work",
    OTHER: "Something else",
}
BY_COUNT = (MISSING, MISPLACED)  # found by counting a place; nobody else reports them
# What can be wrong with each kind of thing; with a unit or a donation all of it can.
FITTING = {
    "D": ("label", "mix-up", OTHER),
    "P": ("warm", "label", "device", OTHER),
    "R": ("leak", "mix-up", "device", OTHER),
    "L": ("leak", "colour", "dropped", "warm", "label", "weight", OTHER),
    "T": ("label", "device", OTHER),
    "E": ("label", "device", OTHER),
}
NOTHING_WRONG, PUT_RIGHT, DISCARDED = "nothing-wrong", "put-right", "discarded"
OUTCOMES = {
    NOTHING_WRONG: "Nothing is wrong with it",
    PUT_RIGHT: "It was put right",
    DISCARDED: "It was discarded",
}
MEANING = "I have looked at it myself, and this is what came of it."
STREAMS = {
    "D": "donor",
    "G": "donation",
    "P": "place",
    "R": "spin",
    "L": "lot",
    "T": "rotor",
    "E": "equipment",
}


@dataclass(frozen=True, kw_only=True)
class ProblemReported(Fact, kind="problem-reported", builds_on=(LabelPrinted,)):
    """`problem` is its number. `part` names the part of a donation; empty: all of it, or no donation.

    What is said of a unit stands on its label: struck, the unit that it names would be no more.
    """

    problem: int
    about: str
    part: str
    what: str
    words: str


@dataclass(frozen=True, kw_only=True)
class ProblemSettled(Fact, kind="problem-settled", builds_on=(ProblemReported,)):
    """`alone`: whoever settled it had reported it, and looked a second time after a while. `meaning` is what stood on
    the page when it was signed.
    """

    problem: int
    outcome: str
    why: str
    settled_by: str
    alone: bool
    meaning: str = ""

    def stands_on(self, earlier: Fact) -> bool:
        return isinstance(earlier, ProblemReported) and earlier.problem == self.problem


@dataclass(frozen=True, kw_only=True)
class Problem:
    reported: ProblemReported
    reported_at: datetime
    written_at: datetime
    reported_by: str
    settled: ProblemSettled | None = None
    settled_at: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class Problems(State):
    """All that was ever reported of one thing, by number. `exists`: the book tells of the thing itself."""

    known: dict[int, Problem] = field(default_factory=dict)
    exists: bool = False

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case ProblemReported(problem=number) as fact:
                new = Problem(
                    reported=fact,
                    reported_at=line.happened_at,
                    written_at=line.recorded_at,
                    reported_by=line.by,
                )
                return replace(self, known={**self.known, number: new})
            case ProblemSettled(problem=number) as fact:
                now = replace(self.known[number], settled=fact, settled_at=line.happened_at)
                return replace(self, known={**self.known, number: now})
        return self if self.exists else replace(self, exists=True)

    @property
    def open(self) -> list[Problem]:
        return [problem for problem in self.known.values() if problem.settled is None]

    def holding(self, part: str) -> list[Problem]:
        """The open ones that hold this part of a donation: its own, and those of what it was divided from."""
        held = {"", *lineage(part)}
        return [problem for problem in self.open if problem.reported.part in held]


class OfDonation(Problems):
    stream: ClassVar[str] = "donation"


class OfDonor(Problems):
    stream: ClassVar[str] = "donor"


class OfPlace(Problems):
    stream: ClassVar[str] = "place"


class OfSpin(Problems):
    stream: ClassVar[str] = "spin"


class OfLot(Problems):
    stream: ClassVar[str] = "lot"


class OfRotor(Problems):
    stream: ClassVar[str] = "rotor"


class OfEquipment(Problems):
    stream: ClassVar[str] = "equipment"


STATES: dict[str, type[Problems]] = {
    state.stream: state for state in (OfDonation, OfDonor, OfPlace, OfSpin, OfLot, OfRotor, OfEquipment)
}


@dataclass(frozen=True, kw_only=True)
class Thing:
    """What a problem is about: whose stream tells of it, and which part of a donation it is."""

    stream: str
    number: str
    part: str = ""

    def problems(self, look: Look) -> Problems:
        return look(STATES[self.stream], self.number)


def thing_of(look: Look, about: str) -> Thing | None:
    """The thing that carries this code; None if a problem of it cannot be written down."""
    code = read_code(about)
    if code.kind == "U":
        named = look(UnitName, code.text).named
        return Thing(stream="donation", number=named.donation, part=named.part) if named else None
    if code.kind in KINDS_OF_STICKERS:
        return Thing(stream="donation", number=donation_of(code))
    return Thing(stream=STREAMS[code.kind], number=code.text) if code.kind in STREAMS else None


def why_held(look: Look, donation: str, part: str) -> Iterator[str]:
    """Every reason why this part of a donation waits: whoever wants to use it asks here."""
    for problem in look(OfDonation, donation).holding(part):
        yield told(problem.reported)
    started = look(Draw, donation).started
    if started is None:
        return
    if held := why_donor_held(look, started.donor):
        yield held
    lot = look(BagSetLot, started.lot)
    if lot.received and (held := why_lot_held(lot.received.maker_lot, lot.on_hold)):
        yield held


def told(fact: ProblemReported) -> str:
    what = WHAT.get(fact.what, fact.what)
    return f"{what}: {fact.words}" if fact.words else what


@dataclass(frozen=True, kw_only=True)
class ReportProblem(Command):
    """Writes down that something is wrong. A unit or donation waits from then on until the problem is settled."""

    about: str
    what: str
    words: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        thing = thing_of(look, self.about)
        if thing is None:
            kinds = ", ".join(KINDS[kind] for kind in ("U", *STREAMS))
            yield f"{show_code(self.about)} is nothing that a problem can be written to: scan one of {kinds}."
        elif not thing.problems(look).exists:
            yield f"Nothing in the book has the number {show_code(self.about)}: scan it again."
        if self.what not in WHAT:
            yield f"Say what is wrong: {', '.join(WHAT.values()).lower()}."
        if self.what == OTHER and not self.words.strip():
            yield "Say what is wrong in your own words: “something else” alone helps nobody."
        if thing and any(self._says(problem.reported) for problem in thing.problems(look).open):
            yield "This is reported already and not settled yet. If there is more, report it as something else."

    def _says(self, before: ProblemReported) -> bool:
        about = read_code(self.about).text
        return (before.about, before.what, before.words) == (about, self.what, self.words.strip())

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        thing = thing_of(look, self.about)
        assert thing
        yield (
            f"{thing.stream}/{thing.number}",
            ProblemReported(
                problem=look.serial,
                about=read_code(self.about).text,
                part=thing.part,
                what=self.what,
                words=self.words.strip(),
            ),
        )


@dataclass(frozen=True, kw_only=True)
class SettleProblem(Command):
    """Says what came of a problem. Whoever reported it does not settle it, unless they look again after a while."""

    about: str
    problem: int
    outcome: str
    why: str
    settled_by: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        thing = thing_of(look, self.about)
        problem = thing.problems(look).known.get(self.problem) if thing else None
        if thing is None or problem is None:
            yield f"No problem of {show_code(self.about)} has the number {self.problem}."
            return
        if problem.settled:
            yield f"{problem.settled.settled_by} has settled it already: {problem.settled.why}"
            return
        if self.outcome not in OUTCOMES:
            yield f"Say what came of it: {', '.join(OUTCOMES.values()).lower()}."
        if not self.why.strip():
            yield "Say what was looked at and why this is right."
        if not self.settled_by.strip():
            yield "Say who settles it."
        elif self._alone(problem):
            yield from self._why_not_alone(problem, look, at)
        if self.outcome == DISCARDED and thing.stream == "donation":
            yield from _why_not_gone(look, thing)

    def _alone(self, problem: Problem) -> bool:
        return self.settled_by.strip().casefold() == problem.reported_by.casefold()

    def _why_not_alone(self, problem: Problem, look: Look, at: datetime) -> Iterator[str]:
        """The time is counted from the server's clock: a report said to be of yesterday shortens nothing."""
        wait_min = limits(look).whole("settle_alone_after_min")
        if not wait_min:
            yield f"{self.settled_by} reported it: somebody else must look and settle it."
        elif at < problem.written_at + timedelta(minutes=wait_min):
            yield (
                f"{self.settled_by} reported it: somebody else must look and settle it. Alone on duty, look again "
                f"{wait_min} min after the report."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        thing = thing_of(look, self.about)
        assert thing
        problem = thing.problems(look).known[self.problem]
        yield (
            f"{thing.stream}/{thing.number}",
            ProblemSettled(
                problem=self.problem,
                outcome=self.outcome,
                why=self.why.strip(),
                settled_by=self.settled_by.strip(),
                alone=self._alone(problem),
                meaning=MEANING,
            ),
        )


def _why_not_gone(look: Look, thing: Thing) -> Iterator[str]:
    if look(Draw, thing.number).discarded:
        return
    labels = look(Labelling, thing.number)
    left = [
        label.unit
        for part, label in labels.printed.items()
        if thing.part in ("", part) and part not in labels.discarded
    ]
    if left:
        yield f"{', '.join(map(show_code, left))} is not discarded yet: discard it first, then settle this."
    elif not labels.printed:
        yield "The donation is not discarded yet: discard it first, then settle this."
