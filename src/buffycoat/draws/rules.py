"""The draw: a bag set, a target mass, a time, and what the filled bag may become."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil
from typing import ClassVar, Self

from buffycoat.donors.rules import (
    Donor,
    DonorGave,
    largest_draw,
    may_give,
    why_not_known,
    why_not_today,
)
from buffycoat.draws.bag_sets import BagSet, BagSetLot, why_not_usable
from buffycoat.draws.brought_in import DonationBroughtIn
from buffycoat.draws.spares import why_not_spare
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.science.composition import (
    target_gross_g,
    volume_ml_from_mass,
)
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import Limits, limits

AS_WANTED, LOW, TOO_LOW, OVER = "as wanted", "low", "too low", "over"
HEAVIEST_G = 3_000


@dataclass(frozen=True, kw_only=True)
class DrawStarted(Fact, kind="draw-started"):
    donation: str
    donor: str
    species: str
    weight_g: int
    pcv_permille: int
    lot: str
    bag_set: BagSet
    tare_g: int
    wanted_ml: int
    blood_density_mg_per_ml: int
    target_g: int
    scale: str = ""  # how the tare came in; empty: typed
    waived: tuple[str, ...] = ()  # checks of the donor that were left out in an emergency


@dataclass(frozen=True, kw_only=True)
class DrawFinished(Fact, kind="draw-finished", builds_on=(DrawStarted,)):
    """`because` tells each consequence in words; a draw that gives no plasma may still give red cells."""

    gross_g: int
    blood_g: int
    volume_ml: int
    filling: str
    gives_plasma: bool
    usable: bool
    because: tuple[str, ...]
    scale: str = ""  # how the mass came in; empty: typed


@dataclass(frozen=True, kw_only=True)
class KeptWhole(Fact, kind="kept-whole", builds_on=(DrawFinished,)):
    """The donation is not separated: it stays whole blood. Written by the separation; the spin must know it."""


@dataclass(frozen=True, kw_only=True)
class DonationDiscarded(Fact, kind="donation-discarded", builds_on=(DrawStarted,)):
    reason: str


@dataclass(frozen=True, kw_only=True)
class Draw(State):
    stream: ClassVar[str] = "donation"
    started: DrawStarted | None = None
    started_at: datetime | None = None
    finished: DrawFinished | None = None
    finished_at: datetime | None = None
    kept_whole: bool = False
    discarded: str | None = None
    last_at: datetime | None = None
    brought_in: DonationBroughtIn | None = None

    def evolve(self, line: Line) -> Self:
        state = replace(self, last_at=max(self.last_at or line.happened_at, line.happened_at))
        match line.fact:
            case DrawStarted() as fact:
                return replace(state, started=fact, started_at=line.happened_at)
            case DrawFinished() as fact:
                return replace(state, finished=fact, finished_at=line.happened_at)
            case KeptWhole():
                return replace(state, kept_whole=True)
            case DonationDiscarded() as fact:
                return replace(state, discarded=fact.reason)
            case DonationBroughtIn() as fact:
                at, done = line.happened_at, _finished_before(fact)
                begun = replace(state, brought_in=fact, started=_started_before(fact), started_at=at)
                return replace(begun, finished=done, finished_at=at)
        return state


def _started_before(fact: DonationBroughtIn) -> DrawStarted:
    """Whose blood it is. What nobody knows any more is nought, and no step that would reckon with it is open."""
    no_set = BagSet(
        title="from before this book",
        species=fact.species,
        nominal_ml=0,
        anticoagulant=fact.anticoagulant,
        anticoagulant_ml=0,
        additive="",
        additive_ml=0,
        main_bag_empty_g=0,
        plasma_bag_empty_g=0,
    )
    return DrawStarted(
        donation=fact.donation,
        donor=fact.donor,
        species=fact.species,
        weight_g=0,
        pcv_permille=0,
        lot="",
        bag_set=no_set,
        tare_g=0,
        wanted_ml=0,
        blood_density_mg_per_ml=0,
        target_g=0,
    )


def _finished_before(fact: DonationBroughtIn) -> DrawFinished:
    return DrawFinished(
        gross_g=0,
        blood_g=0,
        volume_ml=0,
        filling="not known",
        gives_plasma=False,
        usable=True,
        because=(),
    )


def stream_of(donation: str) -> str:
    return f"{Draw.stream}/{donation}"


def target_g(species: str, wanted_ml: int, tare_g: int, site: Limits) -> int:
    density = site.whole(f"{species}_blood_density_mg_per_ml") / 1000
    return round(target_gross_g(volume_ml=wanted_ml, density_g_per_ml=density, tare_g=tare_g))


def usual_range_ml(nominal_ml: int, site: Limits) -> tuple[int, int]:
    """The volumes that the anticoagulant of the set is meant for."""
    share = site.whole("usual_range_percent")
    return -(-nominal_ml * (100 - share) // 100), nominal_ml * (100 + share) // 100


def filling(volume_ml: int, nominal_ml: int, site: Limits) -> str:
    low_ml, high_ml = usual_range_ml(nominal_ml, site)
    if volume_ml > high_ml:
        return OVER
    if volume_ml >= low_ml:
        return AS_WANTED
    return LOW if volume_ml * 1000 >= nominal_ml * site.whole("red_cells_only_from_permille") else TOO_LOW


def why_not_at_work(draw: Draw, at: datetime, site: Limits) -> Iterator[str]:
    """Why nothing more can be done with a donation at that time. Every chapter that writes to a donation asks it."""
    if draw.started is None or draw.last_at is None:
        yield f"No donation has the number {draw.number}: scan the bag again."
        return
    if draw.discarded:
        yield f"Donation {draw.number} was discarded: {draw.discarded}"
    if at < draw.last_at.replace(second=0, microsecond=0):  # people tell a time to the minute
        before, now = (f"{moment.astimezone(site.zone):%d %b, %H:%M}" for moment in (draw.last_at, at))
        yield f"The step before was done on {before}: this one cannot be earlier ({now})."


@dataclass(frozen=True, kw_only=True)
class StartDraw(Command):
    """`number` is the spare number of the paper sheet on which the draw was written; else a new one is given."""

    donor: str
    lot: str
    tare_g: int
    wanted_ml: int
    number: str = ""
    scale: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        site = limits(look)
        if self.number:
            yield from why_not_spare(look, self.number, "G", used=look(Draw, self.number).started is not None)
        yield from why_not_known(look, self.donor)
        donor, lot = look(Donor, self.donor), look(BagSetLot, self.lot)
        yield from why_not_today(look, self.donor, at)
        yield from why_not_usable(lot, at.astimezone(site.zone).date())
        if lot.received is None:
            return
        bag_set = lot.received.bag_set
        if donor.registered and bag_set.species != donor.registered.species:
            name, species = donor.registered.name, donor.registered.species
            yield f"This bag set is for a {bag_set.species}, and {name} is a {species}."
        low_ml, high_ml = usual_range_ml(bag_set.nominal_ml, site)
        if not low_ml <= self.wanted_ml <= high_ml:
            yield (
                f"This set holds anticoagulant for {bag_set.nominal_ml} mL: draw {low_ml} to {high_ml} mL, "
                f"or take a set made for {self.wanted_ml} mL."
            )
        yield from self._why_not_tare(bag_set)
        if donor.registered and donor.examined:
            yield from self._why_too_much(donor.registered.species, donor.examined.weight_g, site)

    def _why_not_tare(self, bag_set: BagSet) -> Iterator[str]:
        if not bag_set.main_bag_empty_g <= self.tare_g <= HEAVIEST_G:
            yield (
                f"A tare of {self.tare_g} g cannot be: the empty main bag alone has {bag_set.main_bag_empty_g} g. "
                "Put the whole set on the scale and weigh again."
            )

    def _why_too_much(self, species: str, weight_g: int, site: Limits) -> Iterator[str]:
        most = largest_draw(species, weight_g, site)
        if self.wanted_ml > most.volume_ml:
            yield (
                f"{self.wanted_ml} mL is more than this donor can give: at {weight_g / 1000:g} kg the largest draw is "
                f"{most.volume_ml} mL ({most.percent(most.volume_ml):.0f} % of {most.blood_volume_ml} mL of blood)."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        site, donor, lot = limits(look), look(Donor, self.donor), look(BagSetLot, self.lot)
        assert donor.registered and donor.examined and lot.received
        species = donor.registered.species
        donation = self.number or make_code("G", site.text("site_code"), look.serial)
        yield (
            stream_of(donation),
            DrawStarted(
                donation=donation,
                donor=self.donor,
                species=species,
                weight_g=donor.examined.weight_g,
                pcv_permille=donor.examined.pcv_permille,
                lot=self.lot,
                bag_set=lot.received.bag_set,
                tare_g=self.tare_g,
                wanted_ml=self.wanted_ml,
                blood_density_mg_per_ml=site.whole(f"{species}_blood_density_mg_per_ml"),
                target_g=target_g(species, self.wanted_ml, self.tare_g, site),
                scale=self.scale,
                waived=may_give(look, self.donor, at).waived,
            ),
        )
        yield f"{Donor.stream}/{self.donor}", DonorGave(donation=donation)


@dataclass(frozen=True, kw_only=True)
class FinishDraw(Command):
    """The bag is full, clamped and on the scale; `at` is the end of the draw."""

    donation: str
    gross_g: int
    scale: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        draw = look(Draw, self.donation)
        yield from why_not_at_work(draw, at, limits(look))
        if draw.started is None:
            return
        if draw.finished:
            yield f"This draw was finished already, with {draw.finished.gross_g} g on the scale."
        if self.gross_g <= draw.started.tare_g:
            yield (
                f"{self.gross_g} g on the scale is no more than the empty set ({draw.started.tare_g} g): "
                "is the bag hanging free?"
            )
        elif self.gross_g > HEAVIEST_G:
            yield f"{self.gross_g} g is heavier than any bag: read the scale again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        draw = look(Draw, self.donation)
        assert draw.started and draw.started_at
        done = finished(draw.started, self.gross_g, at - draw.started_at, limits(look))
        yield stream_of(self.donation), replace(done, scale=self.scale)


def finished(started: DrawStarted, gross_g: int, lasted: timedelta, site: Limits) -> DrawFinished:
    """What a draw of that mass and duration may become, with each consequence in words."""
    blood_g = gross_g - started.tare_g
    volume_ml = round(
        volume_ml_from_mass(mass_g=blood_g, density_g_per_ml=started.blood_density_mg_per_ml / 1000)
    )
    fill = filling(volume_ml, started.bag_set.nominal_ml, site)
    low_ml, high_ml = usual_range_ml(started.bag_set.nominal_ml, site)
    because = {
        AS_WANTED: (),
        LOW: (f"Only {volume_ml} mL of {low_ml} mL: red cells only, marked low volume; no plasma product.",),
        TOO_LOW: (f"Only {volume_ml} mL: too much anticoagulant for the blood. Discard.",),
        OVER: (f"{volume_ml} mL is over {high_ml} mL: too little anticoagulant, it may clot. Discard.",),
    }[fill]
    most_min = site.whole("longest_draw_min")
    slow = lasted > timedelta(minutes=most_min)
    if slow:
        because += (
            f"The draw took {ceil(lasted / timedelta(minutes=1))} min, over {most_min} min: no plasma product.",
        )
    most_ml = largest_draw(started.species, started.weight_g, site).volume_ml
    if volume_ml > most_ml:
        because += (
            f"{volume_ml} mL is more than this donor's largest draw of {most_ml} mL: "
            "watch the donor and tell the veterinarian.",
        )
    return DrawFinished(
        gross_g=gross_g,
        blood_g=blood_g,
        volume_ml=volume_ml,
        filling=fill,
        gives_plasma=fill == AS_WANTED and not slow,
        usable=fill in (AS_WANTED, LOW),
        because=because,
    )


@dataclass(frozen=True, kw_only=True)
class DiscardDonation(Command):
    donation: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_at_work(look(Draw, self.donation), at, limits(look))
        if not self.reason.strip():
            yield "Say why it is discarded: clot, leak, too little, too much, broken set, or what you saw."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donation), DonationDiscarded(reason=self.reason.strip())
