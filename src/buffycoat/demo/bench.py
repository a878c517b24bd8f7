"""The hands of the demo: each does one job at the bench through `record`, and the clock goes on with it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from random import Random

from buffycoat.demo.animals import Animal
from buffycoat.donors.questions import NO, asked_of
from buffycoat.donors.rules import Answer, AnswerQuestions, ExamineDonor, SedateDonor
from buffycoat.draws.rules import DrawStarted, FinishDraw, StartDraw
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command, Refused
from buffycoat.journal.record import Recorded, record
from buffycoat.journal.strike import StrikeEntry
from buffycoat.labels.products import PRODUCTS, Product
from buffycoat.labels.rules import LabelPrinted, PrintLabel, ScanLabelBack
from buffycoat.separation.contents import predict
from buffycoat.separation.rules import AddAdditive, ExpressPlasma, LookForClots, SealSegments, Separation
from buffycoat.separation.weighings import WeighProduct, empty_g, expected_g
from buffycoat.site.rules import limits
from buffycoat.spins.rules import WELL, BagOutcome, FinishSpin, SpinBag, SpinStarted, StartSpin
from buffycoat.storage.rules import DiscardUnit, PutAway

PEOPLE = ("robin", "kim")
WANTED_ML = {"dog": 450, "cat": 50}
SET_G = {"dog": 262, "cat": 96}
HAND_OFF = {"dog": 6, "cat": 1}  # by how many g or mL a hand or a scale is off
PCV_PERMILLE = {"dog": (425, 505), "cat": (365, 425)}
BLOOD_G_PER_ML = 1.053


@dataclass(frozen=True, kw_only=True)
class Bag:
    """One donation as the bench holds it; `gross_g` is 0 while it fills."""

    donation: str
    species: str
    tare_g: int
    additive_ml: int
    gross_g: int = 0


@dataclass(frozen=True, kw_only=True)
class Unit:
    number: str
    species: str
    product: Product
    expires_at: datetime


@dataclass(kw_only=True)
class Bench:
    """Who works, when it is, and which units stand on the shelves."""

    chance: Random
    by: str
    at: datetime
    shelf: list[Unit] = field(default_factory=list)

    def does(self, command: Command, *, after_min: int = 0) -> Recorded:
        self.at += timedelta(minutes=after_min)
        return record(command, by=self.by, happened_at=self.at)

    def is_refused(self, command: Command, *, after_min: int = 0) -> None:
        """Tries what the rules must not let through: the story is wrong if they do."""
        try:
            self.does(command, after_min=after_min)
        except Refused:
            return
        raise AssertionError(f"the story needs this to be refused: {command}")

    def strikes(self, wrong: Recorded, *, reason: str, again: Command) -> None:
        """Strikes what was just written and writes it again, at the time of the story and not of today."""
        self.does(StrikeEntry(entry_number=wrong.lines[0].number, reason=reason), after_min=1)
        self.does(again)

    def examines(self, animal: Animal, donor: str, *, pcv_permille: int = 0) -> None:
        off_g = self.chance.randint(-3, 3) * animal.weight_g // 300
        pcv_permille = pcv_permille or self.chance.randrange(*PCV_PERMILLE[animal.species], 5)
        weight_g = round(animal.weight_g + off_g, -2)
        keys = [question.key for question in asked_of(animal.species, animal.sex)]
        self.does(AnswerQuestions(donor=donor, answers=tuple(Answer(key=key, answer=NO) for key in keys)))
        if animal.species == "cat":
            self.does(SedateDonor(donor=donor, protocol="Invented protocol, doses by the veterinarian"))
        self.does(
            ExamineDonor(
                donor=donor,
                weight_g=weight_g,
                pcv_permille=pcv_permille,
                pcv_method="spun tube",
                total_protein_g_per_l=60 + weight_g % 11,
                pulse_per_min=90 if animal.species == "dog" else 180,
                temperature_deci_c=381 + weight_g % 7,
                mucous_membranes="pink",
                murmur=False,
            )
        )

    def draw_of(self, animal: Animal, donor: str, lot: str) -> StartDraw:
        tare_g = SET_G[animal.species] + self._off(animal.species)
        return StartDraw(donor=donor, lot=lot, tare_g=tare_g, wanted_ml=WANTED_ML[animal.species])

    def begins(self, draw: StartDraw, *, after_min: int = 0) -> Bag:
        started = self.does(draw, after_min=after_min).the(DrawStarted)
        return Bag(
            donation=started.donation,
            species=started.species,
            tare_g=started.tare_g,
            additive_ml=started.bag_set.additive_ml,
        )

    def fills(self, bag: Bag, *, volume_ml: int = 0, after_min: int) -> Bag:
        blood_ml = volume_ml or WANTED_ML[bag.species] + self._off(bag.species)
        gross_g = bag.tare_g + round(blood_ml * BLOOD_G_PER_ML)
        self.does(FinishDraw(donation=bag.donation, gross_g=gross_g), after_min=after_min)
        return replace(bag, gross_g=gross_g)

    def loads(self, bags: Sequence[Bag], rotor: str, programme: str, *, after_min: int = 0) -> SpinStarted:
        spin = StartSpin(
            rotor=rotor,
            programme=programme,
            bags=tuple(SpinBag(donation=bag.donation, mass_g=bag.gross_g) for bag in bags),
        )
        return self.does(spin, after_min=after_min).the(SpinStarted)

    def unloads(self, spin: SpinStarted, *, otherwise: Mapping[str, str] | None = None) -> None:
        """All well separated, but for the donations named in `otherwise`."""
        outcomes = tuple(
            BagOutcome(donation=place.donation, outcome=(otherwise or {}).get(place.donation, WELL))
            for place in spin.places
            if place.donation
        )
        minutes = spin.programme.duration_s // 60 + 3
        self.does(FinishSpin(spin=spin.spin, outcomes=outcomes), after_min=minutes)

    def pressing_of(self, bag: Bag) -> ExpressPlasma:
        """About as much as the page proposes."""
        state, site = self._state(bag), limits(Book())
        return ExpressPlasma(
            donation=bag.donation, plasma_g=predict(state.draw, site).express_g + self._off(bag.species)
        )

    def presses(self, bag: Bag, *, after_min: int = 6) -> None:
        self.does(self.pressing_of(bag), after_min=after_min)

    def adds_additive(self, bag: Bag) -> None:
        if bag.additive_ml:
            self.does(AddAdditive(donation=bag.donation, additive_ml=bag.additive_ml), after_min=4)

    def looks_and_seals(self, bag: Bag) -> None:
        self.does(LookForClots(donation=bag.donation, clots=False), after_min=3)
        self.does(SealSegments(donation=bag.donation, segments=self.chance.randint(3, 6)), after_min=3)

    def weighs(self, bag: Bag) -> tuple[str, ...]:
        """Weighs each part and names them."""
        state, site = self._state(bag), limits(Book())
        for part in state.parts:
            gross_g = expected_g(state, part, site) + empty_g(state, part) + self.chance.randint(-1, 1)
            self.does(WeighProduct(donation=bag.donation, part=part, gross_g=gross_g), after_min=2)
        return state.parts

    def prints(self, bag: Bag, part: str, *, reason: str = "") -> LabelPrinted:
        label = PrintLabel(donation=bag.donation, part=part, reason=reason)
        return self.does(label, after_min=2).the(LabelPrinted)

    def labels(self, bag: Bag, part: str, *, reason: str = "") -> Unit:
        label = self.prints(bag, part, reason=reason)
        self.does(ScanLabelBack(donation=bag.donation, unit=label.unit), after_min=1)
        return Unit(
            number=label.unit,
            species=bag.species,
            product=PRODUCTS[label.product],
            expires_at=label.expires_at,
        )

    def shelves(self, unit: Unit, places: Mapping[str, str]) -> None:
        self.does(self.putting_away_of(unit, places), after_min=2)
        self.shelf.append(unit)

    def putting_away_of(self, unit: Unit, places: Mapping[str, str]) -> PutAway:
        place = places[f"{unit.product.kept_in.capitalize()} {unit.species}s"]
        return PutAway(unit=unit.number, place=place, looks_well=True)

    def clears_expired(self) -> None:
        for unit in [unit for unit in self.shelf if unit.expires_at < self.at]:
            self.does(DiscardUnit(unit=unit.number, reason="Expired, and nobody needed it in time."))
            self.shelf.remove(unit)

    def _state(self, bag: Bag) -> Separation:
        return Book()(Separation, bag.donation)

    def _off(self, species: str) -> int:
        return self.chance.randint(-HAND_OFF[species], HAND_OFF[species])
