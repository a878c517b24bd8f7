"""The separation: press off the plasma, add the additive, look for clots, seal segments, weigh what came of it."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import ClassVar, Self

from buffycoat.draws.rules import LOW, DonationDiscarded, Draw, KeptWhole, stream_of, why_not_at_work
from buffycoat.draws.stickers import MAIN_BAG, PLASMA_BAG, sticker
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.separation.contents import predict
from buffycoat.site.rules import Limits, limits
from buffycoat.spins.rules import POOR, WELL, BagSpun, SpunBag

RED_CELLS, PLASMA, WHOLE_BLOOD = "red-cells", "plasma", "whole-blood"


def bag_code(donation: str, part: str) -> str:
    """The sticker on the bag that holds that part: plasma is in the first satellite bag, the rest in the main bag."""
    return sticker(donation, PLASMA_BAG if part == PLASMA else MAIN_BAG)


@dataclass(frozen=True, kw_only=True)
class PlasmaExpressed(Fact, kind="plasma-expressed", builds_on=(BagSpun,)):
    plasma_g: int
    planned_g: int
    scale: str = ""  # how the mass came in; empty: typed


@dataclass(frozen=True, kw_only=True)
class AdditiveAdded(Fact, kind="additive-added", builds_on=(PlasmaExpressed,)):
    additive: str
    additive_ml: int


@dataclass(frozen=True, kw_only=True)
class AdditiveLost(Fact, kind="additive-lost", builds_on=(PlasmaExpressed,)):
    reason: str


@dataclass(frozen=True, kw_only=True)
class ClotsLookedFor(
    Fact, kind="clots-looked-for", builds_on=(PlasmaExpressed, AdditiveAdded, AdditiveLost, KeptWhole)
):
    clots: bool


@dataclass(frozen=True, kw_only=True)
class SegmentsSealed(Fact, kind="segments-sealed", builds_on=(ClotsLookedFor,)):
    segments: int


@dataclass(frozen=True, kw_only=True)
class Separation(State):
    """All that was done to a donation since it was drawn."""

    stream: ClassVar[str] = "donation"
    draw: Draw = field(default_factory=lambda: Draw(number=""))
    spun: SpunBag = field(default_factory=lambda: SpunBag(number=""))
    expressed: PlasmaExpressed | None = None
    additive: AdditiveAdded | None = None
    additive_lost: AdditiveLost | None = None
    clots: ClotsLookedFor | None = None
    segments: SegmentsSealed | None = None

    def evolve(self, line: Line) -> Self:
        draw = replace(self.draw, number=self.number).evolve(line)
        state = replace(self, draw=draw, spun=self.spun.evolve(line))
        match line.fact:
            case PlasmaExpressed() as fact:
                return replace(state, expressed=fact)
            case AdditiveAdded() as fact:
                return replace(state, additive=fact)
            case AdditiveLost() as fact:
                return replace(state, additive_lost=fact)
            case ClotsLookedFor() as fact:
                return replace(state, clots=fact)
            case SegmentsSealed() as fact:
                return replace(state, segments=fact)
        return state

    @property
    def kept_whole(self) -> bool:
        return self.draw.kept_whole

    @property
    def additive_due(self) -> bool:
        """The set has an additive and nobody has said yet what became of it."""
        in_set = self.draw.started is not None and self.draw.started.bag_set.additive_ml > 0
        return in_set and not self.kept_whole and self.additive is None and self.additive_lost is None

    @property
    def additive_ml(self) -> int:
        return self.additive.additive_ml if self.additive else 0

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts that become products."""
        if self.draw.brought_in and not self.draw.discarded:
            return (self.draw.brought_in.part,)
        if self.draw.finished is None or not self.draw.finished.usable or self.draw.discarded:
            return ()
        if self.kept_whole:
            return (WHOLE_BLOOD,)
        if self.expressed is None:
            return ()
        return (PLASMA, RED_CELLS) if self.draw.finished.gives_plasma else (RED_CELLS,)


def freezer_due_at(draw: Draw, site: Limits) -> datetime | None:
    """When plasma must be in the freezer to be fresh frozen: elapsed hours from the end of the draw, if it is ours."""
    if draw.finished_at is None or draw.brought_in:
        return None
    return draw.finished_at + timedelta(hours=site.whole("freezer_clock_h"))


def why_not_separable(state: Separation, at: datetime, site: Limits) -> Iterator[str]:
    """Why no step of separation can be done with this donation."""
    yield from why_not_at_work(replace(state.draw, number=state.number), at, site)
    finished = state.draw.finished
    if state.draw.started and finished is None:
        yield "The draw is not finished: weigh the full bag first."
    if finished and not finished.usable:
        yield f"This bag is not for use: {' '.join(finished.because)}"


def why_not_at_the_bench(state: Separation, at: datetime, site: Limits) -> Iterator[str]:
    """Why no step that makes something of the donation can be done."""
    yield from why_not_separable(state, at, site)
    if state.draw.brought_in:
        yield "This bag was made before this book: nothing is left to do with it at the bench."


@dataclass(frozen=True, kw_only=True)
class KeepWhole(Command):
    donation: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        state = look(Separation, self.donation)
        yield from why_not_at_the_bench(state, at, limits(look))
        if state.kept_whole:
            yield "This donation is kept whole already."
        if state.expressed:
            yield "The plasma is off already: it cannot be whole blood any more."
        if state.spun.in_spin:
            yield "The bag is in a spin: finish the spin first."
        if state.draw.finished and state.draw.finished.filling == LOW:
            yield "An under-filled bag gives red cells only: too much anticoagulant for whole blood."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donation), KeptWhole()


@dataclass(frozen=True, kw_only=True)
class ExpressPlasma(Command):
    """The plasma that went over, as the scale shows it with the empty plasma bag taken off."""

    donation: str
    plasma_g: int
    scale: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        site, state = limits(look), look(Separation, self.donation)
        yield from why_not_at_the_bench(state, at, site)
        if state.kept_whole:
            yield "This donation is kept whole: its plasma stays in."
        if state.expressed:
            yield f"The plasma was weighed already: {state.expressed.plasma_g} g."
        elif state.spun.in_spin:
            yield "The bag is in a spin: finish the spin first."
        elif state.spun.outcome == POOR:
            yield "The last spin separated this bag poorly: spin it again before you press."
        elif state.spun.outcome != WELL:
            yield "This bag was not spun yet: spin it first."
        if state.draw.finished and not state.draw.brought_in:
            yield from self._why_not_so_much(state.draw, site)

    def _why_not_so_much(self, draw: Draw, site: Limits) -> Iterator[str]:
        assert draw.started
        held = predict(draw, site)
        if self.plasma_g <= 0:
            yield f"{self.plasma_g} g: weigh the plasma bag with the plasma in it."
        elif self.plasma_g > held.bag_g:
            yield f"{self.plasma_g} g of plasma cannot come out of {held.bag_g} g of blood with its anticoagulant."
        elif self.plasma_g > held.plasma_ceiling_g:
            yield (
                f"{self.plasma_g} g is more plasma than this bag held: {held.plasma_ceiling_g} g with its "
                f"anticoagulant, at a PCV of {draw.started.pcv_permille / 10:g} %. "
                "Was the empty plasma bag taken off the weight?"
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        planned_g = predict(look(Draw, self.donation), limits(look)).express_g
        fact = PlasmaExpressed(plasma_g=self.plasma_g, planned_g=planned_g, scale=self.scale)
        yield stream_of(self.donation), fact


def _why_no_additive(state: Separation) -> Iterator[str]:
    bag_set = state.draw.started.bag_set if state.draw.started else None
    if bag_set and bag_set.additive_ml == 0:
        yield "This bag set has no additive."
    if state.expressed is None:
        yield "Press off the plasma first."
    if state.additive or state.additive_lost:
        yield "What became of the additive was recorded already."


@dataclass(frozen=True, kw_only=True)
class AddAdditive(Command):
    donation: str
    additive_ml: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        state = look(Separation, self.donation)
        yield from why_not_at_the_bench(state, at, limits(look))
        yield from _why_no_additive(state)
        in_set_ml = state.draw.started.bag_set.additive_ml if state.draw.started else 0
        if in_set_ml and not in_set_ml * 8 <= self.additive_ml * 10 <= in_set_ml * 11:
            yield (
                f"{self.additive_ml} mL: this set holds {in_set_ml} mL of additive. "
                "If it did not all run in, record it as lost: the red cells then keep the shorter date."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        started = look(Draw, self.donation).started
        assert started
        yield (
            stream_of(self.donation),
            AdditiveAdded(additive=started.bag_set.additive, additive_ml=self.additive_ml),
        )


@dataclass(frozen=True, kw_only=True)
class LoseAdditive(Command):
    """The additive did not run in; the red cells keep the anticoagulant's shorter date."""

    donation: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        state = look(Separation, self.donation)
        yield from why_not_at_the_bench(state, at, limits(look))
        yield from _why_no_additive(state)
        if not self.reason.strip():
            yield "Say what happened to the additive: leaked, not run in, or what you saw."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donation), AdditiveLost(reason=self.reason.strip())


@dataclass(frozen=True, kw_only=True)
class LookForClots(Command):
    donation: str
    clots: bool

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        state = look(Separation, self.donation)
        yield from why_not_at_the_bench(state, at, limits(look))
        if not state.kept_whole and state.expressed is None:
            yield "Press off the plasma first."
        elif state.additive_due:
            yield "Say first what became of the additive: clots are looked for while it is mixed in."
        if state.clots:
            yield "Clots were looked for already, and none was seen."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donation), ClotsLookedFor(clots=self.clots)
        if self.clots:
            yield stream_of(self.donation), DonationDiscarded(reason="Clots were seen in the red cells.")


@dataclass(frozen=True, kw_only=True)
class SealSegments(Command):
    donation: str
    segments: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        site, state = limits(look), look(Separation, self.donation)
        yield from why_not_at_the_bench(state, at, site)
        if state.clots is None:
            yield "Look for clots first."
        if state.segments:
            yield f"{state.segments.segments} segments were sealed already."
        least = site.whole("least_segments")
        if not least <= self.segments <= 30:
            yield (
                f"{self.segments} segments: this site keeps {least} to 30 on each unit, for crossmatching. "
                "Seal again."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donation), SegmentsSealed(segments=self.segments)
