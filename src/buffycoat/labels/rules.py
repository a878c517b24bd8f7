"""The label: printed for one bag at a time, and counted only when it is scanned back from the bag."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.donors.rules import TYPE_UNKNOWN, Donor
from buffycoat.draws.rules import LOW, stream_of
from buffycoat.draws.spares import why_not_spare
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.labels.products import expires_at, product_of
from buffycoat.science.numbering import make_code, show_code
from buffycoat.separation.rules import ClotsLookedFor, SegmentsSealed, Separation, why_not_separable
from buffycoat.separation.weighings import ProductWeighed, Weighings
from buffycoat.site.rules import limits

LABELLED = (
    "a labelled bag is there. Discard that unit on record, or take its label off and strike this entry: "
    "voided, its label would lead nowhere."
)


@dataclass(frozen=True, kw_only=True)
class LabelPrinted(Fact, kind="label-printed", builds_on=(ProductWeighed, SegmentsSealed, ClotsLookedFor)):
    """`copy` counts from 1; a copy above 1 has a reason."""

    part: str
    unit: str
    product: str
    blood_type: str
    volume_ml: int
    low_volume: bool
    expires_at: datetime
    copy: int
    reason: str


@dataclass(frozen=True, kw_only=True)
class LabelScannedBack(Fact, kind="label-scanned-back", builds_on=(LabelPrinted,), leaves_behind=LABELLED):
    part: str
    unit: str


@dataclass(frozen=True, kw_only=True)
class UnitPutAway(Fact, kind="unit-put-away", builds_on=(LabelScannedBack,)):
    """Written by the storage; what a later copy of the label says depends on it. A move stands on what it leaves."""

    part: str
    unit: str
    place: str

    def stands_on(self, earlier: Fact) -> bool:
        moved = isinstance(earlier, UnitPutAway) and earlier.part == self.part
        return moved or super().stands_on(earlier)


@dataclass(frozen=True, kw_only=True)
class UnitDiscarded(Fact, kind="unit-discarded", builds_on=(LabelPrinted,)):
    """Written by the storage; a unit that is gone gets no more labels."""

    part: str
    unit: str
    reason: str


@dataclass(frozen=True, kw_only=True)
class UnitNamed(Fact, kind="unit-named"):
    """In the unit's own stream: which donation's stream tells its story."""

    unit: str
    donation: str
    part: str


@dataclass(frozen=True, kw_only=True)
class UnitName(State):
    stream: ClassVar[str] = "unit"
    named: UnitNamed | None = None

    def evolve(self, line: Line) -> Self:
        return replace(self, named=line.fact) if isinstance(line.fact, UnitNamed) else self


@dataclass(frozen=True, kw_only=True)
class Labelling(State):
    """By part: the label as printed last, when it was scanned back, first put away, and why it is gone."""

    stream: ClassVar[str] = "donation"
    printed: dict[str, LabelPrinted] = field(default_factory=dict)
    printed_at: dict[str, datetime] = field(default_factory=dict)
    labelled_at: dict[str, datetime] = field(default_factory=dict)
    put_away_at: dict[str, datetime] = field(default_factory=dict)
    discarded: dict[str, str] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case LabelPrinted(part=part) as fact:
                labelled = {key: at for key, at in self.labelled_at.items() if key != part}
                return replace(
                    self,
                    printed={**self.printed, part: fact},
                    printed_at={**self.printed_at, part: line.happened_at},
                    labelled_at=labelled,
                )
            case LabelScannedBack(part=part):
                return replace(self, labelled_at={**self.labelled_at, part: line.happened_at})
            case UnitPutAway(part=part):
                return replace(self, put_away_at={part: line.happened_at, **self.put_away_at})
            case UnitDiscarded(part=part, reason=reason):
                return replace(self, discarded={**self.discarded, part: reason})
        return self

    def frozen_or(self, part: str, at: datetime) -> datetime:
        """The moment that decides what a part is: when it was first put away, else now."""
        return min(self.put_away_at.get(part, at), at)

    @property
    def awaited(self) -> LabelPrinted | None:
        """The label that was printed and not yet scanned back; a unit that is gone waits for nothing."""
        done = {*self.labelled_at, *self.discarded}
        return next((label for part, label in self.printed.items() if part not in done), None)


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
        if self.part not in state.parts:
            yield f"This donation gives no {self.part.replace('-', ' ')}."
            return
        words = self.part.replace("-", " ")
        if self.part not in look(Weighings, self.donation).weighed:
            yield f"Weigh the {words} first: the label carries the volume."
        if state.clots is None or state.segments is None:
            yield "Look for clots and seal the segments first."
        assert state.draw.started
        donor = look(Donor, state.draw.started.donor)
        if donor.blood_type == TYPE_UNKNOWN:
            yield "The donor's blood type is not known: type the donor before any label is printed."
        if self.part in labels.discarded:
            yield f"This unit was discarded: {labels.discarded[self.part]}"
        product = product_of(state, self.part, labels.frozen_or(self.part, at), site)
        if at > expires_at(product, state, site):
            yield "Its date is over: discard it, do not label it."
        awaited, printed = labels.awaited, labels.printed.get(self.part)
        if awaited and awaited.part != self.part:
            yield f"Scan back {show_code(awaited.unit)} first: one label at a time, so that none can be swapped."
        the_same = (product.key, donor.blood_type)
        if printed and (printed.product, printed.blood_type) == the_same and not self.reason.strip():
            yield "This label was printed already: say why you need another, and destroy the old one."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        site, state = limits(look), look(Separation, self.donation)
        assert state.draw.started and state.draw.finished
        labels = look(Labelling, self.donation)
        before = labels.printed.get(self.part)
        product = product_of(state, self.part, labels.frozen_or(self.part, at), site)
        new = self.number or make_code("U", site.text("site_code"), look.serial)
        unit = before.unit if before else new
        yield (
            stream_of(self.donation),
            LabelPrinted(
                part=self.part,
                unit=unit,
                product=product.key,
                blood_type=look(Donor, state.draw.started.donor).blood_type,
                volume_ml=look(Weighings, self.donation).weighed[self.part].volume_ml,
                low_volume=state.draw.finished.filling == LOW,
                expires_at=expires_at(product, state, site),
                copy=before.copy + 1 if before else 1,
                reason=self.reason.strip(),
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
