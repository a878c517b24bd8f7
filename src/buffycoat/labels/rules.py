"""The label: printed for one bag at a time, and counted only when it is scanned back from the bag."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.donors.rules import TYPE_UNKNOWN, Donor
from buffycoat.draws.rules import LOW, stream_of
from buffycoat.draws.spares import why_not_spare
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.labels.changes import Changes, due, parts_of, weighed_parts
from buffycoat.labels.facts import (
    CHANGES,
    Becomes,
    LabelPrinted,
    LabelScannedBack,
    UnitDiscarded,
    UnitDivided,
    UnitIssued,
    UnitNamed,
    UnitPutAway,
    UnitReturned,
)
from buffycoat.science.numbering import make_code, show_code
from buffycoat.separation.rules import Separation, why_not_separable
from buffycoat.site.rules import limits

__all__ = [
    "LabelPrinted",
    "LabelScannedBack",
    "Labelling",
    "PrintLabel",
    "ScanLabelBack",
    "UnitDiscarded",
    "UnitName",
    "UnitNamed",
    "UnitPutAway",
    "due_now",
]


@dataclass(frozen=True, kw_only=True)
class UnitName(State):
    stream: ClassVar[str] = "unit"
    named: UnitNamed | None = None

    def evolve(self, line: Line) -> Self:
        return replace(self, named=line.fact) if isinstance(line.fact, UnitNamed) else self


@dataclass(frozen=True, kw_only=True)
class Labelling(State):
    """By part: the label as printed last, when it was scanned back, first put away, and why it is gone.

    `untrue` are the parts whose label was overtaken by a change and not printed again yet.
    """

    stream: ClassVar[str] = "donation"
    printed: dict[str, LabelPrinted] = field(default_factory=dict)
    printed_at: dict[str, datetime] = field(default_factory=dict)
    labelled_at: dict[str, datetime] = field(default_factory=dict)
    put_away_at: dict[str, datetime] = field(default_factory=dict)
    discarded: dict[str, str] = field(default_factory=dict)
    divided: frozenset[str] = frozenset()
    untrue: frozenset[str] = frozenset()

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case LabelPrinted(part=part) as fact:
                return replace(
                    self,
                    printed={**self.printed, part: fact},
                    printed_at={**self.printed_at, part: line.happened_at},
                    labelled_at=self._labelled_but(part),
                    untrue=self.untrue - {part},
                )
            case LabelScannedBack(part=part):
                return replace(self, labelled_at={**self.labelled_at, part: line.happened_at})
            case UnitPutAway(part=part):
                return replace(self, put_away_at={part: line.happened_at, **self.put_away_at})
            case UnitDiscarded(part=part, reason=reason):
                return replace(self, discarded={**self.discarded, part: reason})
            case UnitIssued(part=part):
                return replace(self, discarded={**self.discarded, part: "it was given to a patient"})
            case UnitReturned(part=part):
                left = {key: each for key, each in self.discarded.items() if key != part}
                return replace(self, discarded=left)
            case UnitDivided(part=part):
                return replace(self, divided=self.divided | {part}, labelled_at=self._labelled_but(part))
            case fact if isinstance(fact, CHANGES):
                return replace(
                    self, untrue=self.untrue | {fact.part}, labelled_at=self._labelled_but(fact.part)
                )
        return self

    def _labelled_but(self, part: str) -> dict[str, datetime]:
        return {key: at for key, at in self.labelled_at.items() if key != part}

    def frozen_or(self, part: str, at: datetime) -> datetime:
        """The moment that decides what a part is: when it was first put away, else now."""
        return min(self.put_away_at.get(part, at), at)

    @property
    def awaited(self) -> LabelPrinted | None:
        """The label that was printed and not yet scanned back; a unit that is gone waits for nothing."""
        done = {*self.labelled_at, *self.discarded, *self.divided, *self.untrue}
        return next((label for part, label in self.printed.items() if part not in done), None)


def due_now(look: Look, donation: str, part: str, at: datetime) -> Becomes:
    """What a part is now and until when, as its label has to say."""
    frozen_at = look(Labelling, donation).frozen_or(part, at)
    state, changes, site = look(Separation, donation), look(Changes, donation), limits(look)
    return due(state, changes, part, frozen_at=frozen_at, at=at, site=site)


@dataclass(frozen=True, kw_only=True)
class PrintLabel(Command):
    """`reason` is asked for a second copy of the same label only. `number` is a spare one that the bag already has."""

    donation: str
    part: str
    reason: str = ""
    number: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        site, state, labels = limits(look), look(Separation, self.donation), look(Labelling, self.donation)
        if self.number:
            yield from why_not_spare(
                look, self.number, "U", used=look(UnitName, self.number).named is not None
            )
        yield from why_not_separable(state, at, site)
        if self.part in labels.divided:
            yield "This unit was divided: each of its parts has a label of its own."
            return
        if self.part not in parts_of(look, self.donation):
            yield f"This donation gives no {self.part.replace('-', ' ')}."
            return
        words = self.part.replace("-", " ")
        if self.part not in weighed_parts(look, self.donation):
            yield f"Weigh the {words} first: the label carries the volume."
        if not state.draw.brought_in and (state.clots is None or state.segments is None):
            yield "Look for clots and seal the segments first."
        assert state.draw.started
        donor = look(Donor, state.draw.started.donor)
        if donor.blood_type == TYPE_UNKNOWN:
            yield "The donor's blood type is not known: type the donor before any label is printed."
        if self.part in labels.discarded:
            yield f"This unit was discarded: {labels.discarded[self.part]}"
        yield from self._why_not_this_label(look, labels, donor.blood_type, at)

    def _why_not_this_label(
        self, look: Look, labels: Labelling, blood_type: str, at: datetime
    ) -> Iterator[str]:
        now, printed = due_now(look, self.donation, self.part, at), labels.printed.get(self.part)
        if at > now.expires_at:
            yield "Its date is over: discard it, do not label it."
        if (awaited := labels.awaited) and awaited.part != self.part:
            yield f"Scan back {show_code(awaited.unit)} first: one label at a time, so that none can be swapped."
        the_same = printed and (printed.product, printed.blood_type) == (now.product, blood_type)
        if the_same and self.part not in labels.untrue and not self.reason.strip():
            yield "This label was printed already: say why you need another, and destroy the old one."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        site, state = limits(look), look(Separation, self.donation)
        assert state.draw.started and state.draw.finished
        before = look(Labelling, self.donation).printed.get(self.part)
        now = due_now(look, self.donation, self.part, at)
        new = self.number or make_code("U", site.text("site_code"), look.serial)
        unit = before.unit if before else new
        yield (
            stream_of(self.donation),
            LabelPrinted(
                part=self.part,
                unit=unit,
                product=now.product,
                blood_type=look(Donor, state.draw.started.donor).blood_type,
                volume_ml=weighed_parts(look, self.donation)[self.part].volume_ml,
                low_volume=state.draw.finished.filling == LOW,
                expires_at=now.expires_at,
                copy=before.copy + 1 if before else 1,
                reason=self.reason.strip(),
                changed=look(Changes, self.donation).words(self.part),
            ),
        )
        if before is None:
            yield f"{UnitName.stream}/{unit}", UnitNamed(unit=unit, donation=self.donation, part=self.part)


@dataclass(frozen=True, kw_only=True)
class ScanLabelBack(Command):
    """The label as scanned from the bag, and the donation as scanned from the same bag."""

    donation: str
    unit: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_separable(look(Separation, self.donation), at, limits(look))
        labels = look(Labelling, self.donation)
        awaited = labels.awaited
        if awaited is None:
            yield "No label of this donation waits to be scanned back: print it first."
        elif awaited.unit != self.unit:
            yield (
                f"{show_code(self.unit)} is not the label just printed for this bag ({show_code(awaited.unit)}). "
                "Take it off: it belongs to another bag."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        awaited = look(Labelling, self.donation).awaited
        assert awaited
        yield stream_of(self.donation), LabelScannedBack(part=awaited.part, unit=self.unit)
