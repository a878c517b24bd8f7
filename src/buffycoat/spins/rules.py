"""The spin: which bag in which bucket, what filler makes them equal, and how each bag came out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.draws.rules import DonationDiscarded, Draw, DrawFinished, stream_of, why_not_at_work
from buffycoat.equipment.rules import why_not_served
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.science.balance import Load, Loading, Place, balance
from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import make_code, show_code
from buffycoat.site.rules import limits
from buffycoat.spins.rotors import Programme, Rotor

WELL, POOR, LEAKED = "well separated", "poorly separated", "leaked"
OUTCOMES = (WELL, POOR, LEAKED)
BAG_G = (20, 2_000)


@dataclass(frozen=True, kw_only=True)
class SpinBag:
    """A bag as it goes into the bucket, with all that hangs on it."""

    donation: str
    mass_g: int
    scale: str = ""  # how the mass came in; empty: typed


@dataclass(frozen=True, kw_only=True)
class SpinFiller:
    """What was laid into the bucket at that place, as weighed."""

    place: int
    mass_g: int
    scale: str = ""


@dataclass(frozen=True, kw_only=True)
class SpinPlace:
    """One bucket: places are numbered from 1, and `donation` is empty where only filler lies."""

    place: int
    donation: str
    mass_g: int
    filler_g: int
    scale: str = ""
    filler_scale: str = ""


@dataclass(frozen=True, kw_only=True)
class SpinStarted(Fact, kind="spin-started"):
    spin: str
    rotor: str
    programme: Programme
    rcf: int
    places: tuple[SpinPlace, ...]


@dataclass(frozen=True, kw_only=True)
class BagOutcome:
    donation: str
    outcome: str


@dataclass(frozen=True, kw_only=True)
class SpinFinished(Fact, kind="spin-finished", builds_on=(SpinStarted,)):
    outcomes: tuple[BagOutcome, ...]


@dataclass(frozen=True, kw_only=True)
class BagPutInSpin(Fact, kind="bag-put-in-spin", builds_on=(DrawFinished,)):
    """Put in again, it stands on how it came out before: else it would be in two spins at once."""

    spin: str
    place: int

    def stands_on(self, earlier: Fact) -> bool:
        return isinstance(earlier, BagSpun) or super().stands_on(earlier)


@dataclass(frozen=True, kw_only=True)
class BagSpun(Fact, kind="bag-spun", builds_on=(BagPutInSpin,)):
    spin: str
    outcome: str


@dataclass(frozen=True, kw_only=True)
class Spin(State):
    stream: ClassVar[str] = "spin"
    started: SpinStarted | None = None
    started_at: datetime | None = None
    finished: SpinFinished | None = None
    finished_at: datetime | None = None

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case SpinStarted() as fact:
                return replace(self, started=fact, started_at=line.happened_at)
            case SpinFinished() as fact:
                return replace(self, finished=fact, finished_at=line.happened_at)
        return self

    @property
    def donations(self) -> tuple[str, ...]:
        return (
            tuple(place.donation for place in self.started.places if place.donation) if self.started else ()
        )


@dataclass(frozen=True, kw_only=True)
class SpunBag(State):
    """What a donation's own stream says of its spins."""

    stream: ClassVar[str] = "donation"
    in_spin: str | None = None
    outcome: str | None = None

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case BagPutInSpin(spin=spin):
                return replace(self, in_spin=spin, outcome=None)
            case BagSpun(outcome=outcome):
                return replace(self, in_spin=None, outcome=outcome)
        return self


def propose(bags: Sequence[SpinBag], rotor: Rotor) -> Loading:
    """Which bag in which bucket, with the least filler. Raises `OutOfRange` in words."""
    assert rotor.registered
    loads = [Load(label=bag.donation, mass_g=bag.mass_g) for bag in bags]
    return balance(loads, rotor.registered.places, pair_limit_g=rotor.registered.pair_limit_g)


def bag_g(place: Place) -> int:
    return round(sum(load.mass_g for load in place.loads))


def fillers_g(loading: Loading, weighed: Sequence[SpinFiller]) -> list[int]:
    """What lies beside the bag at each place: as weighed, or as proposed where nothing was weighed yet."""
    known = {each.place: each.mass_g for each in weighed}
    return [known.get(place.number, round(place.filler_g)) for place in loading.places]


def filler_window_g(
    loading: Loading, weighed: Sequence[SpinFiller], place: int, limit_g: int
) -> tuple[int, int]:
    """The masses of filler at that place with which it and the opposite one are within the limit."""
    half, others = len(loading.places) // 2, fillers_g(loading, weighed)
    opposite = (place - 1 + half) % len(loading.places)
    lacking_g = bag_g(loading.places[opposite]) + others[opposite] - bag_g(loading.places[place - 1])
    return max(1, lacking_g - limit_g), max(1, lacking_g + limit_g)


def why_out_of_balance(loading: Loading, weighed: Sequence[SpinFiller], limit_g: int) -> Iterator[str]:
    places = len(loading.places)
    numbers = [each.place for each in weighed]
    if any(not 1 <= number <= places for number in numbers) or len(set(numbers)) < len(numbers):
        yield f"Give the filler of each place once: this rotor has the places 1 to {places}."
    if any(each.mass_g < 0 for each in weighed):
        yield "Filler cannot weigh less than nothing: weigh it again."
    masses_g = [
        bag_g(each) + filler for each, filler in zip(loading.places, fillers_g(loading, weighed), strict=True)
    ]
    half = places // 2
    for near in range(half):
        apart_g = abs(masses_g[near] - masses_g[near + half])
        if apart_g > limit_g:
            yield (
                f"Places {near + 1} and {near + half + 1} are {apart_g} g apart, and this rotor allows {limit_g} g: "
                "weigh their filler again."
            )


def why_not_spun(look: Look, bag: SpinBag, at: datetime) -> Iterator[str]:
    """Why this bag may not go into a spin now."""
    draw, spun = look(Draw, bag.donation), look(SpunBag, bag.donation)
    shown = show_code(bag.donation)
    yield from why_not_at_work(draw, at, limits(look))
    if draw.started and draw.finished is None:
        yield f"The draw of {shown} is not finished: weigh the full bag first."
    if draw.finished and not draw.finished.usable:
        yield f"{shown} is not for use: {' '.join(draw.finished.because)}"
    if draw.brought_in:
        yield f"{shown} was made before this book: it is not spun."
    if draw.kept_whole:
        yield f"{shown} is kept whole: it is not spun."
    if spun.in_spin:
        yield f"{shown} is in spin {show_code(spun.in_spin)} already."
    if spun.outcome == WELL:
        yield f"{shown} was spun and is well separated: express its plasma."
    if not BAG_G[0] <= bag.mass_g <= BAG_G[1]:
        yield f"{bag.mass_g} g is no mass of a bag ({BAG_G[0]} to {BAG_G[1]} g): weigh it again."


@dataclass(frozen=True, kw_only=True)
class StartSpin(Command):
    rotor: str
    programme: str
    bags: tuple[SpinBag, ...]
    fillers: tuple[SpinFiller, ...] = ()

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        rotor = look(Rotor, self.rotor)
        programme = rotor.programmes.get(self.programme)
        if rotor.registered is None:
            yield f"No rotor has the number {self.rotor}: scan its card again."
        elif programme is None:
            yield f"This centrifuge has no programme called {self.programme or '…'}: choose one of its own."
        yield from why_not_served(look, Rotor.stream, self.rotor, at)
        if not self.bags:
            yield "Scan at least one bag."
        donations = [bag.donation for bag in self.bags]
        for donation in dict.fromkeys(donations):
            if donations.count(donation) > 1:
                yield f"{show_code(donation)} is in this spin twice: take it out once."
        for bag in self.bags:
            yield from why_not_spun(look, bag, at)
        yield from self._why_not_one_species(look, programme)
        if rotor.registered and self.bags:
            try:
                loading = propose(self.bags, rotor)
                yield from why_out_of_balance(loading, self.fillers, rotor.registered.pair_limit_g)
            except OutOfRange as reason:
                yield str(reason)

    def _why_not_one_species(self, look: Look, programme: Programme | None) -> Iterator[str]:
        started = [look(Draw, bag.donation).started for bag in self.bags]
        species = sorted({each.species for each in started if each})
        if len(species) > 1:
            yield f"Never two species in one spin: here are {' and '.join(species)}."
        elif species and programme and species[0] != programme.species:
            yield f"{programme.name} is a programme for {programme.species} blood; these bags are from a {species[0]}."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        rotor = look(Rotor, self.rotor)
        programme = rotor.programmes[self.programme]
        spin = make_code("R", limits(look).text("site_code"), look.serial)
        scales = {bag.donation: bag.scale for bag in self.bags}
        filler_scales = {each.place: each.scale for each in self.fillers}
        loading = propose(self.bags, rotor)
        places = tuple(
            SpinPlace(
                place=number,
                donation=place.loads[0].label if place.loads else "",
                mass_g=bag_g(place),
                filler_g=filler_g,
                scale=scales[place.loads[0].label] if place.loads else "",
                filler_scale=filler_scales.get(number, ""),
            )
            for number, (place, filler_g) in enumerate(
                zip(loading.places, fillers_g(loading, self.fillers), strict=True), 1
            )
        )
        yield (
            f"{Spin.stream}/{spin}",
            SpinStarted(
                spin=spin, rotor=self.rotor, programme=programme, rcf=rotor.rcf(programme), places=places
            ),
        )
        for place in places:
            if place.donation:
                yield stream_of(place.donation), BagPutInSpin(spin=spin, place=place.place)


@dataclass(frozen=True, kw_only=True)
class FinishSpin(Command):
    """The rotor stands still and each bag was looked at."""

    spin: str
    outcomes: tuple[BagOutcome, ...]

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        spin = look(Spin, self.spin)
        if spin.started is None or spin.started_at is None:
            yield f"No spin has the number {self.spin}: scan its sheet again."
            return
        if spin.finished:
            yield "This spin was finished already."
        if at < spin.started_at:
            yield "A spin cannot end before it began: give the time when it stopped."
        if sorted(each.donation for each in self.outcomes) != sorted(spin.donations):
            yield "Say of each bag of this spin, once, how it came out."
        if any(each.outcome not in OUTCOMES for each in self.outcomes):
            yield f"Choose for each bag: {', '.join(OUTCOMES)}."
        elapsed_s = (at - spin.started_at).total_seconds()
        if 0 <= elapsed_s < spin.started.programme.duration_s and any(
            each.outcome == WELL for each in self.outcomes
        ):
            yield (
                f"The programme runs {spin.started.programme.duration_s / 60:g} min and only "
                f"{elapsed_s // 60:.0f} have passed: a bag from a spin that was cut short is not well separated."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield f"{Spin.stream}/{self.spin}", SpinFinished(outcomes=self.outcomes)
        for each in self.outcomes:
            yield stream_of(each.donation), BagSpun(spin=self.spin, outcome=each.outcome)
            if each.outcome == LEAKED:
                yield stream_of(each.donation), DonationDiscarded(reason="The bag leaked in the spin.")
