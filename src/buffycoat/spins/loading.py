"""A spin while it is put together: carried in the address, so that reload and Back lose nothing."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from urllib.parse import urlencode

from django.http import QueryDict

from buffycoat.benches.weighing import reading_of
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.spins.rules import SpinBag, StartSpin


@dataclass(frozen=True)
class Plan:
    """`pending` is a bag that was scanned and not weighed yet."""

    rotor: str = ""
    programme: str = ""
    bags: tuple[SpinBag, ...] = ()
    pending: str = ""
    readings: Mapping[str, str] = field(default_factory=dict)  # as the scale's page signed them, by donation

    @classmethod
    def from_address(cls, query: QueryDict) -> "Plan":
        """What is no code or no mass in the address is left out."""
        triples = [(*each.split("=", 2), "", "")[:3] for each in query.getlist("with")]
        found = {
            donation: (int(mass), reading)
            for text, mass, reading in triples
            if (donation := _code(text, "G")) and mass.isascii() and mass.isdecimal()
        }
        bags = tuple(_bag(donation, *each) for donation, each in found.items())
        readings = {donation: reading for donation, (_, reading) in found.items() if reading}
        rotor, pending = _code(query.get("rotor", ""), "T"), _code(query.get("bag", ""), "G")
        return cls(rotor, query.get("programme", "").replace("\0", ""), bags, pending, readings)

    @property
    def address(self) -> str:
        pairs = [("rotor", self.rotor), ("programme", self.programme), ("bag", self.pending)]
        for bag in self.bags:
            reading = self.readings.get(bag.donation)
            pairs.append(("with", f"{bag.donation}={bag.mass_g}" + (f"={reading}" if reading else "")))
        return "?" + urlencode([pair for pair in pairs if pair[1]])

    def on(self, rotor: str, programme: str) -> "Plan":
        return replace(self, rotor=rotor, programme=programme)

    def scanned(self, donation: str) -> "Plan":
        return replace(self, pending=donation)

    def weighed(self, mass_g: int, reading: str = "") -> "Plan":
        bag = _bag(self.pending, mass_g, reading)
        others = tuple(each for each in self.bags if each.donation != self.pending)
        readings = {**self.readings, self.pending: reading}
        return replace(self, pending="", bags=(*others, bag), readings=readings)

    def without(self, donation: str) -> "Plan":
        return replace(self, pending="", bags=tuple(bag for bag in self.bags if bag.donation != donation))

    @property
    def command(self) -> StartSpin:
        return StartSpin(rotor=self.rotor, programme=self.programme, bags=self.bags)


def _bag(donation: str, mass_g: int, reading: str) -> SpinBag:
    read = reading_of(reading)
    return SpinBag(donation=donation, mass_g=mass_g, scale=read[1] if read and read[0] == mass_g else "")


def _code(text: str, kind: str) -> str:
    try:
        return read_code(text, kind).text
    except BadCode:
        return ""
