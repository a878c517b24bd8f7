"""One bench for tests. Each step does what comes before it, with usual values of which a test changes what it is about.

`Walk()` goes through the journal and needs `db`; `pure_walk()` stays in memory. All values are invented.

    walk = pure_walk()
    donation = walk.labelled("cat")
    walk.units(donation)["plasma"]
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

from buffycoat.donors.rules import DonorRegistered, ExamineDonor, RegisterDonor, TypeBlood
from buffycoat.draws.bag_sets import BagSetLotReceived, ReceiveBagSetLot
from buffycoat.draws.rules import DrawStarted, FinishDraw, StartDraw
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command, Look
from buffycoat.journal.record import Recorded, record
from buffycoat.labels.rules import Labelling, LabelPrinted, PrintLabel, ScanLabelBack
from buffycoat.science.numbering import LARGEST_SERIAL, make_code
from buffycoat.separation.contents import predict
from buffycoat.separation.rules import (
    AddAdditive,
    ExpressPlasma,
    KeepWhole,
    LookForClots,
    SealSegments,
    Separation,
)
from buffycoat.separation.weighings import WeighProduct, empty_g, expected_g
from buffycoat.site.rules import limits
from buffycoat.spins.rotors import RegisterRotor, RotorRegistered, WriteProgramme
from buffycoat.spins.rules import WELL, BagOutcome, FinishSpin, Spin, SpinBag, SpinStarted, StartSpin
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import PutAway
from tests.pure_book import PureBook

START = datetime(2025, 3, 10, 9, 0, tzinfo=UTC)
DONORS = {
    "dog": {"name": "Bramble", "species": "dog", "sex": "female", "born_on": date(2021, 5, 1)},
    "cat": {"name": "Sorrel", "species": "cat", "sex": "male", "born_on": date(2022, 2, 1)},
}
TYPES = {"dog": "DEA 1 negative", "cat": "A"}
OF_TODAY = {"dog": {"weight_g": 32_000, "pcv_permille": 450}, "cat": {"weight_g": 5_200, "pcv_permille": 380}}
BAG_SETS = {
    "dog": {
        "maker_lot": "INV-450",
        "title": "Invented set 450",
        "species": "dog",
        "nominal_ml": 450,
        "anticoagulant": "CPD",
        "anticoagulant_ml": 63,
        "main_bag_empty_g": 32,
        "plasma_bag_empty_g": 28,
        "additive": "Invented additive",
        "additive_ml": 100,
    },
    "cat": {
        "maker_lot": "INV-50",
        "title": "Invented set 50",
        "species": "cat",
        "nominal_ml": 50,
        "anticoagulant": "CPDA-1",
        "anticoagulant_ml": 7,
        "main_bag_empty_g": 14,
        "plasma_bag_empty_g": 10,
    },
}
TARE_G = {"dog": 260, "cat": 40}
WANTED_ML = {"dog": 450, "cat": 50}
FULL_G = {"dog": 734, "cat": 93}  # 450 and 50 mL of blood at 1.053 g/mL in the set
ROTOR = {
    "name": "4 × 750",
    "centrifuge": "C1",
    "places": 4,
    "radius_mm": 250,
    "most_rpm": 4_200,
    "pair_limit_g": 2,
}
PROGRAMME = {"rpm": 4_200, "duration_s": 600, "temperature_c": 4, "brake": "3", "validated": "Invented, 2025"}


@dataclass
class Walk:
    """`at` is the time of the next step; a minute passes with each."""

    record: Callable[..., Recorded] = record
    look: Look = field(default_factory=Book)
    by: str = "robin"
    at: datetime = START
    made: dict[str, str] = field(default_factory=dict)

    def do(self, command: Command, at: datetime | None = None) -> Recorded:
        done = self.record(command, by=self.by, happened_at=at or self.at)
        self.at = max(self.at, at or self.at) + timedelta(minutes=1)
        return done

    def why_not(self, command: Command, at: datetime | None = None) -> list[str]:
        """Every reason against a command now, each once; nothing is recorded."""
        return list(dict.fromkeys(command.why_not(self.look, at or self.at)))

    def wait(self, **duration: float) -> None:
        self.at += timedelta(**duration)

    def a_donor(self, species: str = "dog", *, typed: bool = True, examined: bool = True, **but: Any) -> str:
        donor = self.do(RegisterDonor(**{**DONORS[species], **but})).the(DonorRegistered).donor
        if typed:
            self.do(TypeBlood(donor=donor, blood_type=TYPES[species], method="card"))
        if examined:
            self.do(ExamineDonor(donor=donor, **OF_TODAY[species]))
        return donor

    def a_lot(self, species: str = "dog", **but: Any) -> str:
        """A new lot with changed values, else the one lot that this bench has for the species."""
        if not but and f"lot {species}" in self.made:
            return self.made[f"lot {species}"]
        values = {"expires_on": self.at.date() + timedelta(days=365), **BAG_SETS[species], **but}
        lot = self.do(ReceiveBagSetLot(**values)).the(BagSetLotReceived).lot
        return lot if but else self.made.setdefault(f"lot {species}", lot)

    def a_rotor(self) -> str:
        if "rotor" not in self.made:
            self.made["rotor"] = self.do(RegisterRotor(**ROTOR)).the(RotorRegistered).rotor
            for species in DONORS:
                named = {"rotor": self.made["rotor"], "name": f"Hard {species}", "species": species}
                self.do(WriteProgramme(**named, **PROGRAMME))
        return self.made["rotor"]

    def a_place(self, appliance: str) -> str:
        if appliance not in self.made:
            opened = self.do(OpenPlace(name=f"{appliance.title()} 1", appliance=appliance))
            self.made[appliance] = opened.the(PlaceOpened).place
        return self.made[appliance]

    def draw_started(self, species: str = "dog", *, donor: str = "", lot: str = "", **but: Any) -> str:
        values = {"tare_g": TARE_G[species], "wanted_ml": WANTED_ML[species], **but}
        start = StartDraw(donor=donor or self.a_donor(species), lot=lot or self.a_lot(species), **values)
        return self.do(start).the(DrawStarted).donation

    def drawn(self, species: str = "dog", *, gross_g: int = 0, minutes: float = 8, **but: Any) -> str:
        """The number of a donation whose bag hangs full on the scale `minutes` after its start."""
        donation = self.draw_started(species, **but)
        self.wait(minutes=minutes - 1)
        self.do(FinishDraw(donation=donation, gross_g=gross_g or FULL_G[species]))
        return donation

    def in_spin(self, *donations: str) -> str:
        """The number of the spin that these donations are in."""
        rotor = self.a_rotor()
        states = [self.look(Separation, donation).draw for donation in donations]
        bags = tuple(SpinBag(donation=each.number, mass_g=each.finished.gross_g) for each in states)
        programme = f"Hard {states[0].started.species}"
        return self.do(StartSpin(rotor=rotor, programme=programme, bags=bags)).the(SpinStarted).spin

    def spin(self, *donations: str, outcome: str = WELL) -> str:
        spin = self.in_spin(*donations)
        self.wait(minutes=11)
        outcomes = tuple(
            BagOutcome(donation=each, outcome=outcome) for each in self.look(Spin, spin).donations
        )
        self.do(FinishSpin(spin=spin, outcomes=outcomes))
        return spin

    def spun(self, species: str = "dog", **but: Any) -> str:
        donation = self.drawn(species, **but)
        self.spin(donation)
        return donation

    def press(self, donation: str, plasma_g: int = 0) -> None:
        planned = predict(self.look(Separation, donation).draw, limits(self.look)).express_g
        self.do(ExpressPlasma(donation=donation, plasma_g=plasma_g or planned))

    def expressed(self, species: str = "dog", **but: Any) -> str:
        donation = self.spun(species, **but)
        self.press(donation)
        return donation

    def finish_cells(self, donation: str) -> None:
        """The additive, if the set has one, the look for clots and the segments."""
        state = self.look(Separation, donation)
        if state.additive_due:
            self.do(AddAdditive(donation=donation, additive_ml=state.draw.started.bag_set.additive_ml))
        self.do(LookForClots(donation=donation, clots=False))
        self.do(SealSegments(donation=donation, segments=4))

    def separated(self, species: str = "dog", **but: Any) -> str:
        donation = self.expressed(species, **but)
        self.finish_cells(donation)
        return donation

    def kept_whole(self, species: str = "dog", **but: Any) -> str:
        donation = self.drawn(species, **but)
        self.do(KeepWhole(donation=donation))
        self.finish_cells(donation)
        return donation

    def weigh(self, donation: str, *, off_g: int = 0) -> None:
        """Every product as heavy as expected, or off by so much."""
        state = self.look(Separation, donation)
        for part in state.parts:
            gross_g = expected_g(state, part, limits(self.look)) + empty_g(state, part) + off_g
            self.do(WeighProduct(donation=donation, part=part, gross_g=gross_g))

    def weighed(self, species: str = "dog", **but: Any) -> str:
        donation = self.separated(species, **but)
        self.weigh(donation)
        return donation

    def label(self, donation: str) -> None:
        for part in self.look(Separation, donation).parts:
            unit = self.do(PrintLabel(donation=donation, part=part)).the(LabelPrinted).unit
            self.do(ScanLabelBack(donation=donation, unit=unit))

    def labelled(self, species: str = "dog", **but: Any) -> str:
        donation = self.weighed(species, **but)
        self.label(donation)
        return donation

    def units(self, donation: str) -> dict[str, str]:
        """The unit of each part that was labelled."""
        return {part: label.unit for part, label in self.look(Labelling, donation).printed.items()}

    def put_away(self, donation: str) -> None:
        for part, unit in self.units(donation).items():
            place = self.a_place("freezer" if part == "plasma" else "fridge")
            self.do(PutAway(unit=unit, place=place, looks_well=True))

    def on_the_shelf(self, species: str = "dog", **but: Any) -> str:
        donation = self.labelled(species, **but)
        self.put_away(donation)
        return donation


def unknown(kind: str) -> str:
    """A code of that kind which nothing has."""
    return make_code(kind, "HAVN", LARGEST_SERIAL)


def pure_walk() -> Walk:
    book = PureBook()
    return Walk(record=book.record, look=book)
