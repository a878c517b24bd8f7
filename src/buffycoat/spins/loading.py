"""A spin while it is put together: carried in the address, so that reload and Back lose nothing."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from urllib.parse import urlencode

from django.http import QueryDict

from buffycoat.benches.weighing import Window, reading_of
from buffycoat.journal.book import Book
from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.spins.rotors import Rotor
from buffycoat.spins.rules import SpinBag, SpinFiller, StartSpin, filler_window_g, propose


@dataclass(frozen=True)
class Plan:
    """`pending` is a bag that was scanned and not weighed yet. Filler is weighed anew when the bags change."""

    rotor: str = ""
    programme: str = ""
    bags: tuple[SpinBag, ...] = ()
    pending: str = ""
    readings: Mapping[str, str] = field(default_factory=dict)  # as the scale's page signed them, by donation
    fillers: Mapping[int, tuple[int, str]] = field(default_factory=dict)  # mass and reading, by place

    @classmethod
    def from_address(cls, query: QueryDict) -> "Plan":
        """What is no code or no mass in the address is left out."""
        triples = [_three(each) for each in query.getlist("with")]
        found = {
            donation: (int(mass), reading)
            for text, mass, reading in triples
            if (donation := _code(text, "G")) and _figures(mass)
        }
        bags = tuple(_bag(donation, *each) for donation, each in found.items())
        readings = {donation: reading for donation, (_, reading) in found.items() if reading}
        rotor, pending = _code(query.get("rotor", ""), "T"), _code(query.get("bag", ""), "G")
        fillers = {
            int(place): (int(mass), reading)
            for place, mass, reading in map(_three, query.getlist("filler"))
            if _figures(place) and _figures(mass)
        }
        return cls(rotor, query.get("programme", "").replace("\0", ""), bags, pending, readings, fillers)

    @property
    def address(self) -> str:
        return "?" + urlencode(self.pairs)

    @property
    def pairs(self) -> list[tuple[str, str]]:
        pairs = [("rotor", self.rotor), ("programme", self.programme), ("bag", self.pending)]
        for bag in self.bags:
            reading = self.readings.get(bag.donation)
            pairs.append(("with", f"{bag.donation}={bag.mass_g}" + (f"={reading}" if reading else "")))
        for place, (mass_g, reading) in self.fillers.items():
            pairs.append(("filler", f"{place}={mass_g}" + (f"={reading}" if reading else "")))
        return [pair for pair in pairs if pair[1]]

    def on(self, rotor: str, programme: str) -> "Plan":
        return replace(self, rotor=rotor, programme=programme)

    def scanned(self, donation: str) -> "Plan":
        return replace(self, pending=donation)

    def weighed(self, mass_g: int, reading: str = "") -> "Plan":
        bag = _bag(self.pending, mass_g, reading)
        others = tuple(each for each in self.bags if each.donation != self.pending)
        readings = {**self.readings, self.pending: reading}
        return replace(self, pending="", bags=(*others, bag), readings=readings, fillers={})

    def without(self, donation: str) -> "Plan":
        bags = tuple(bag for bag in self.bags if bag.donation != donation)
        return replace(self, pending="", bags=bags, fillers=self.fillers if bags == self.bags else {})

    def filled(self, place: int, mass_g: int, reading: str = "") -> "Plan":
        return replace(self, fillers={**self.fillers, place: (mass_g, reading)})

    @property
    def command(self) -> StartSpin:
        fillers = tuple(
            SpinFiller(place=place, mass_g=mass_g, scale=_scale(mass_g, reading))
            for place, (mass_g, reading) in self.fillers.items()
        )
        return StartSpin(rotor=self.rotor, programme=self.programme, bags=self.bags, fillers=fillers)


@dataclass(frozen=True, kw_only=True)
class Filling:
    """The next filler to weigh, and what it may weigh."""

    place: int
    wanted_g: int
    window: Window


def next_filling(plan: Plan) -> Filling | None:
    """The first place that takes filler and has none weighed; None when all have, or nothing can be loaded."""
    rotor = Book()(Rotor, plan.rotor)
    command = plan.command
    try:
        loading = propose(command.bags, rotor) if command.bags else None
    except OutOfRange:
        return None  # the page of the plan says why
    lacking = [
        place
        for place in (loading.places if loading else ())
        if place.filler_g and place.number not in plan.fillers
    ]
    if not lacking or rotor.registered is None or loading is None:
        return None
    place = lacking[0]
    least_g, most_g = filler_window_g(loading, command.fillers, place.number, rotor.registered.pair_limit_g)
    window = Window(field="filler_g", least_g=least_g, most_g=most_g, auto=True)
    return Filling(place=place.number, wanted_g=round(place.filler_g), window=window)


def _bag(donation: str, mass_g: int, reading: str) -> SpinBag:
    return SpinBag(donation=donation, mass_g=mass_g, scale=_scale(mass_g, reading))


def _scale(mass_g: int, reading: str) -> str:
    read = reading_of(reading)
    return read[1] if read and read[0] == mass_g else ""


def _three(text: str) -> tuple[str, str, str]:
    first, second, third = (*text.split("=", 2), "", "")[:3]
    return first, second, third


def _figures(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 6


def _code(text: str, kind: str) -> str:
    try:
        return read_code(text, kind).text
    except BadCode:
        return ""
