"""Where the units of a donation stand, how long they were out, and which of them are gone."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Line, State, replace
from buffycoat.labels.changes import Changes
from buffycoat.labels.facts import (
    Child,
    UnitDiscarded,
    UnitDivided,
    UnitFrozen,
    UnitIrradiated,
    UnitIssued,
    UnitOpened,
    UnitPutAway,
    UnitReturned,
    UnitTakenOut,
    UnitThawed,
)
from buffycoat.labels.products import FREEZER, PRODUCTS
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import Separation
from buffycoat.storage.out_of_fridge import Outings


@dataclass(frozen=True, kw_only=True)
class Shelf(State):
    """By part: where its unit is, since when it was first put away, how long it was out, or why it is gone."""

    stream: ClassVar[str] = "donation"
    put_away: dict[str, UnitPutAway] = field(default_factory=dict)
    put_away_at: dict[str, datetime] = field(default_factory=dict)
    outings: dict[str, Outings] = field(default_factory=dict)
    discarded: dict[str, UnitDiscarded] = field(default_factory=dict)
    issued: dict[str, UnitIssued] = field(default_factory=dict)
    left_at: dict[str, datetime] = field(default_factory=dict)
    changes: Changes = field(default_factory=lambda: Changes(number=""))

    def evolve(self, line: Line) -> Self:
        changes = self.changes.evolve(line)
        state = self if changes is self.changes else replace(self, changes=changes)
        match line.fact:
            case UnitPutAway(part=part) as fact:
                before_s = self.out_of(part).before_s + fact.out_s
                return replace(
                    state,
                    put_away={**self.put_away, part: fact},
                    put_away_at={part: line.happened_at, **self.put_away_at},
                    outings={**self.outings, part: Outings(before_s=before_s)},
                )
            case UnitTakenOut() | UnitOpened() | UnitIrradiated() as fact:
                return state._out(fact.part, self._out_from(fact.part, line.happened_at))
            case UnitThawed(part=part):
                return state._out(part, Outings(since=line.happened_at))
            case UnitFrozen(part=part):
                return state._out(part, Outings())
            case UnitDivided() as fact:
                outings = self._out_from(fact.part, line.happened_at)
                parts = {child.part: Outings() if _frozen(child) else outings for child in fact.children}
                left_at = {**self.left_at, fact.part: line.happened_at}
                return replace(state._out(fact.part, Outings(), **parts), left_at=left_at)
            case UnitIssued(part=part) as fact:
                out = state._out(part, self._out_from(part, line.happened_at))
                left_at = {**self.left_at, part: line.happened_at}
                return replace(out, issued={**self.issued, part: fact}, left_at=left_at)
            case UnitReturned(part=part):
                return replace(
                    state,
                    issued={key: each for key, each in self.issued.items() if key != part},
                    left_at={key: at for key, at in self.left_at.items() if key != part},
                )
            case UnitDiscarded(part=part) as fact:
                left_at = {**self.left_at, part: line.happened_at}
                return replace(state, discarded={**self.discarded, part: fact}, left_at=left_at)
        return state

    def _out(self, part: str, outings: Outings, **parts: Outings) -> Self:
        put_away = {key: place for key, place in self.put_away.items() if key != part}
        return replace(self, put_away=put_away, outings={**self.outings, **parts, part: outings})

    def _out_from(self, part: str, at: datetime) -> Outings:
        """Its outings once it leaves its place; what never stood in one, or is out already, goes on as it was."""
        outings = self.out_of(part)
        return replace(outings, since=at) if part in self.put_away else outings

    def out_of(self, part: str) -> Outings:
        return self.outings.get(part, Outings())

    def gone(self, part: str) -> str:
        """Why there is no such unit any more, or nothing."""
        if part in self.discarded:
            return self.discarded[part].reason
        if part in self.issued:
            return f"Given to {show_code(self.issued[part].patient)}"
        if divided := self.changes.divided.get(part):
            return f"Divided into {len(divided.children)} parts"
        return ""


def _frozen(child: Child) -> bool:
    return child.becomes is not None and PRODUCTS[child.becomes.product].kept_in == FREEZER


def all_done(state: Separation, shelf: Shelf) -> bool:
    """Nothing is left to do with a donation: each part stands in its place, or is gone."""
    if state.draw.discarded:
        return True
    parts = shelf.changes.ends_of(state.parts)
    return bool(parts) and all(
        part in shelf.put_away or part in shelf.discarded or part in shelf.issued for part in parts
    )
