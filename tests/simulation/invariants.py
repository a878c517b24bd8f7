"""What holds of every book, whatever was asked of it. Each function yields what does not hold, in words.

The arithmetic is done a second time here, from the constants, and not asked of the rules that are on trial.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any
from zoneinfo import ZoneInfo

from buffycoat.donors.rules import BloodTyped, DonorExamined, DonorGave, DonorRegistered
from buffycoat.draws.bag_sets import BagSetLotReceived
from buffycoat.draws.rules import DonationDiscarded, Draw, DrawFinished, DrawStarted, KeptWhole
from buffycoat.journal.facts import EntryStruck, Fact, Line
from buffycoat.labels.rules import (
    Labelling,
    LabelPrinted,
    LabelScannedBack,
    UnitDiscarded,
    UnitNamed,
    UnitPutAway,
)
from buffycoat.separation.rules import (
    AdditiveAdded,
    AdditiveLost,
    ClotsLookedFor,
    PlasmaExpressed,
    SegmentsSealed,
    Separation,
)
from buffycoat.separation.weighings import ProductWeighed, Weighings
from buffycoat.spins.rotors import ProgrammeWritten, RotorRegistered
from buffycoat.spins.rules import BagPutInSpin, BagSpun, SpinFinished, SpinStarted, SpunBag
from buffycoat.storage.places import PlaceOpened
from buffycoat.storage.rules import Shelf
from tests.simulation.asking import day_of, density_at, limit_at, the
from tests.simulation.unit_invariants import of_units

STATES = (Draw, SpunBag, Separation, Weighings, Labelling, Shelf)
NEEDS: dict[type[Fact], tuple[type[Fact] | tuple[type[Fact], ...], ...]] = {
    BloodTyped: (DonorRegistered,),
    DonorExamined: (DonorRegistered,),
    DonorGave: (DonorRegistered, DonorExamined),
    DrawFinished: (DrawStarted,),
    DonationDiscarded: (DrawStarted,),
    KeptWhole: (DrawFinished,),
    ProgrammeWritten: (RotorRegistered,),
    SpinFinished: (SpinStarted,),
    BagPutInSpin: (DrawFinished,),
    BagSpun: (BagPutInSpin,),
    PlasmaExpressed: (BagSpun,),
    AdditiveAdded: (PlasmaExpressed,),
    AdditiveLost: (PlasmaExpressed,),
    ClotsLookedFor: ((PlasmaExpressed, KeptWhole),),
    SegmentsSealed: (ClotsLookedFor,),
    ProductWeighed: (DrawFinished, (PlasmaExpressed, KeptWhole)),
    LabelPrinted: (ProductWeighed, SegmentsSealed, ClotsLookedFor),
    LabelScannedBack: (LabelPrinted,),
    UnitPutAway: (LabelScannedBack,),
    UnitDiscarded: (LabelPrinted,),
}
ONCE = (
    DonorRegistered,
    DrawStarted,
    DrawFinished,
    KeptWhole,
    PlasmaExpressed,
    ClotsLookedFor,
    SegmentsSealed,
    ProductWeighed,
    UnitDiscarded,
    UnitNamed,
    SpinStarted,
    SpinFinished,
    BagSetLotReceived,
    RotorRegistered,
    PlaceOpened,
)
AFTER_DISCARD = (BagSpun, DonationDiscarded)


def broken(bank: Any) -> Iterator[str]:
    """Everything, of the whole book."""
    lines = bank.lines
    for expected, line in enumerate(lines, 1):
        if line.number != expected:
            yield f"entry {expected} is missing: the next is {line.number}"
            break
    yield from broken_in(bank, dict.fromkeys(line.stream for line in lines))
    yield from bank.whole()
    units = Counter(
        line.fact.unit for line in lines if isinstance(line.fact, LabelPrinted) and line.fact.copy == 1
    )
    named = Counter(line.fact.unit for line in lines if isinstance(line.fact, UnitNamed))
    if units != named:
        yield f"first labels and names of units differ: {sorted((units - named) + (named - units))}"


def broken_in(bank: Any, streams: Iterable[str]) -> Iterator[str]:
    """Whatever can be seen in these streams and in those that they name."""
    for stream in streams:
        lines, standing = bank.of(stream), bank.standing(stream)
        for wrong in (*_of_lines(lines), *_of_ground(standing), *_of_folds(bank, stream, standing)):
            yield f"{stream}: {wrong}"
        if stream.startswith("donation/"):
            for wrong in _of_donation(bank, stream, standing):
                yield f"{stream}: {wrong}"
        elif stream.startswith("spin/"):
            yield from (f"{stream}: {wrong}" for wrong in _of_spin(bank, standing))
        elif stream.startswith("donor/"):
            yield from (f"{stream}: {wrong}" for wrong in _of_donor(bank, standing))


def _of_lines(lines: list[Line]) -> Iterator[str]:
    """Versions without a gap, numbers rising, strikes that hit an earlier entry of the same stream, once."""
    struck: set[int] = set()
    for expected, line in enumerate(lines, 1):
        if line.version != expected:
            yield f"version {expected} is missing"
        if expected > 1 and line.number <= lines[expected - 2].number:
            yield f"entry {line.number} stands after entry {lines[expected - 2].number}"
        if isinstance(line.fact, EntryStruck):
            hit = [each for each in lines[: expected - 1] if each.number == line.fact.struck_number]
            if not hit or isinstance(hit[0].fact, EntryStruck) or hit[0].number in struck:
                yield f"entry {line.number} strikes {line.fact.struck_number}, which cannot be struck here"
            struck.add(line.fact.struck_number)


def _of_ground(standing: list[Line]) -> Iterator[str]:
    """Nothing stands on what does not, and what happens once happened once."""
    before: list[Fact] = []
    for line in standing:
        for ground in NEEDS.get(type(line.fact), ()):
            if not any(isinstance(each, ground) and _same_part(each, line.fact) for each in before):
                yield f"{line.fact.kind} ({line.number}) stands on nothing"
        alike = [each for each in before if type(each) is type(line.fact) and _same_part(each, line.fact)]
        if alike and isinstance(line.fact, ONCE):
            yield f"{line.fact.kind} ({line.number}) stands twice"
        before.append(line.fact)


def _same_part(one: Fact, other: Fact) -> bool:
    mine, theirs = getattr(one, "part", None), getattr(other, "part", None)
    return mine is None or theirs is None or mine == theirs


def _of_folds(bank: Any, stream: str, standing: list[Line]) -> Iterator[str]:
    """What the book says of a thing is what its standing entries say."""
    chapter, _, number = stream.partition("/")
    for state in STATES:
        if state.stream == chapter and bank(state, number) != state.fold(number, list(standing)):
            yield f"{state.__name__} is not what the standing entries say"


def _of_donor(bank: Any, standing: list[Line]) -> Iterator[str]:
    species, last = "", None
    for line in standing:
        if isinstance(line.fact, DonorRegistered):
            species = line.fact.species
        if isinstance(line.fact, DonorGave):
            days = limit_at(bank, f"{species}_draw_interval_days", line.number)
            zone = ZoneInfo(limit_at(bank, "time_zone", line.number))
            if last and (day_of(line.happened_at, zone) - day_of(last, zone)).days < days:
                yield f"gave again too soon ({line.number})"
            last = line.happened_at
            draw = the(bank.standing(f"donation/{line.fact.donation}"), DrawStarted)
            if draw is None or f"donor/{draw.fact.donor}" != line.stream:
                yield f"the draw of {line.fact.donation} does not say that this donor gave"


def _of_spin(bank: Any, standing: list[Line]) -> Iterator[str]:
    started, finished = the(standing, SpinStarted), the(standing, SpinFinished)
    if started is None:
        return
    places = [place for place in started.fact.places if place.donation]
    if len({place.donation for place in places}) != len(places) or not places:
        yield "a bag is in it twice, or none is"
    masses = [place.mass_g + place.filler_g for place in started.fact.places]
    rotor = the(bank.standing(f"rotor/{started.fact.rotor}"), RotorRegistered)
    if rotor is None:
        yield "it names a rotor that is not there"
    else:
        half = len(masses) // 2
        if any(
            abs(one - other) > rotor.fact.pair_limit_g
            for one, other in zip(masses[:half], masses[half:], strict=True)
        ):
            yield f"opposite buckets differ too much: {masses}"
    for place in places:
        draw = the(bank.standing(f"donation/{place.donation}"), DrawStarted)
        if draw is None or draw.fact.species != started.fact.programme.species:
            yield f"{place.donation} is of another species than the programme"
    if finished and sorted(each.donation for each in finished.fact.outcomes) != sorted(
        place.donation for place in places
    ):
        yield "another bag came out than went in"


def _of_donation(bank: Any, stream: str, standing: list[Line]) -> Iterator[str]:
    started = the(standing, DrawStarted)
    if started is None:
        if standing:
            yield "it stands without a draw"
        return
    yield from _of_beginning(bank, stream, started)
    yield from _of_times(standing)
    yield from _of_mass(bank, standing, started.fact)
    yield from _of_spins(bank, standing)
    yield from of_units(bank, stream, standing, started.fact)


def _of_beginning(bank: Any, stream: str, started: Line) -> Iterator[str]:
    fact = started.fact
    donor = the(bank.standing(f"donor/{fact.donor}"), DonorRegistered)
    lot = the(bank.standing(f"lot/{fact.lot}"), BagSetLotReceived)
    gave = [
        each
        for each in bank.standing(f"donor/{fact.donor}")
        if isinstance(each.fact, DonorGave) and f"donation/{each.fact.donation}" == stream
    ]
    if donor is None or len(gave) != 1:
        yield "it cannot be traced to one donor"
    elif donor.fact.species != fact.species or (lot and lot.fact.bag_set.species != fact.species):
        yield "donor, set and draw are not of one species"
    zone = ZoneInfo(limit_at(bank, "time_zone", started.number))
    if lot is None or day_of(started.happened_at, zone) > lot.fact.expires_on:
        yield "its bag set is unknown or had expired"
    if fact.pcv_permille < limit_at(bank, f"{fact.species}_least_pcv_permille", started.number):
        yield "the donor's PCV was too low"


def _of_times(standing: list[Line]) -> Iterator[str]:
    """A later step is not earlier; people tell a time to the minute."""
    latest, gone = standing[0].happened_at, False
    for line in standing:
        if line.happened_at < latest.replace(second=0, microsecond=0):
            yield f"{line.fact.kind} ({line.number}) was done before the step before it"
        latest = max(latest, line.happened_at)
        if gone and not isinstance(line.fact, AFTER_DISCARD):
            yield f"{line.fact.kind} ({line.number}) was done to a discarded donation"
        gone = gone or isinstance(line.fact, DonationDiscarded)


def _of_mass(bank: Any, standing: list[Line], started: DrawStarted) -> Iterator[str]:
    """Mass in is mass out and accounted loss."""
    finished, pressed = the(standing, DrawFinished), the(standing, PlasmaExpressed)
    if finished is None:
        return
    drawn_g = finished.fact.gross_g - started.tare_g
    if finished.fact.blood_g != drawn_g or drawn_g <= 0:
        yield f"{finished.fact.blood_g} g of blood from {drawn_g} g on the scale"
    plasma_g, added_g = 0.0, 0.0
    main_g = drawn_g + started.bag_set.anticoagulant_ml * density_at(bank, "anticoagulant", finished.number)
    if pressed:
        plasma_g = pressed.fact.plasma_g
        volume_ml = round(drawn_g * 1000 / started.blood_density_mg_per_ml)
        held_g = volume_ml * (1 - started.pcv_permille / 1000) * density_at(bank, "plasma", pressed.number)
        held_g += started.bag_set.anticoagulant_ml * density_at(bank, "anticoagulant", pressed.number)
        if not 0 < plasma_g <= held_g:
            yield f"{plasma_g} g of plasma out of {held_g:.1f} g"
    if added := the(standing, AdditiveAdded):
        added_g = added.fact.additive_ml * density_at(bank, "additive", added.number)
    should_g = {"plasma": plasma_g, "red-cells": main_g - plasma_g + added_g, "whole-blood": main_g}
    for line in standing:
        if isinstance(fact := line.fact, ProductWeighed):
            lost_g = should_g[fact.part] - fact.content_g
            if (
                fact.content_g != fact.gross_g - fact.empty_g
                or abs(fact.expected_g - should_g[fact.part]) > 0.51
            ):
                yield f"the {fact.part} should have {should_g[fact.part]:.1f} g and is expected at {fact.expected_g} g"
            if (
                abs(lost_g) > limit_at(bank, "weighing_tolerance_g", line.number) + 0.51
                and not fact.explained
            ):
                yield f"{lost_g:.1f} g of {fact.part} are lost and nobody says where"


def _of_spins(bank: Any, standing: list[Line]) -> Iterator[str]:
    spin, outcome = None, None
    for line in standing:
        if isinstance(line.fact, BagPutInSpin):
            if spin:
                yield f"it is in two spins at once ({line.number})"
            spin, outcome = line.fact.spin, None
            begun = the(bank.standing(f"spin/{spin}"), SpinStarted)
            if begun is None or line.stream[9:] not in {place.donation for place in begun.fact.places}:
                yield f"spin {spin} does not know of it"
        elif isinstance(line.fact, BagSpun):
            if line.fact.spin != spin:
                yield f"it came out of spin {line.fact.spin} and was in {spin}"
            spin, outcome = None, line.fact.outcome
        elif isinstance(line.fact, PlasmaExpressed) and outcome != "well separated":
            yield "plasma was pressed from a bag that was not well separated"
