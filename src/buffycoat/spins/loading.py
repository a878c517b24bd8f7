"""A spin while it is put together: carried in the address, so that reload and Back lose nothing."""

from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.http import QueryDict

from buffycoat.science.numbering import BadCode, read_code
from buffycoat.spins.rules import SpinBag, StartSpin


@dataclass(frozen=True)
class Plan:
    """`pending` is a bag that was scanned and not weighed yet."""

    rotor: str = ""
    programme: str = ""
    bags: tuple[SpinBag, ...] = ()
    pending: str = ""

    @classmethod
    def from_address(cls, query: QueryDict) -> "Plan":
        """What is no code or no mass in the address is left out."""
        pairs = [each.partition("=") for each in query.getlist("with")]
        bags = tuple(
            SpinBag(donation=donation, mass_g=int(mass))
            for text, _, mass in pairs
            if (donation := _code(text, "G")) and mass.isascii() and mass.isdecimal()
        )
        rotor, pending = _code(query.get("rotor", ""), "T"), _code(query.get("bag", ""), "G")
        return cls(rotor, query.get("programme", "").replace("\0", ""), bags, pending)

    @property
    def address(self) -> str:
        pairs = [("rotor", self.rotor), ("programme", self.programme), ("bag", self.pending)]
        pairs += [("with", f"{bag.donation}={bag.mass_g}") for bag in self.bags]
        return "?" + urlencode([pair for pair in pairs if pair[1]])

    def on(self, rotor: str, programme: str) -> "Plan":
        return replace(self, rotor=rotor, programme=programme)

    def scanned(self, donation: str) -> "Plan":
        return replace(self, pending=donation)

    def weighed(self, mass_g: int) -> "Plan":
        bag = SpinBag(donation=self.pending, mass_g=mass_g)
        others = tuple(each for each in self.bags if each.donation != self.pending)
        return replace(self, pending="", bags=(*others, bag))

    def without(self, donation: str) -> "Plan":
        return replace(self, pending="", bags=tuple(bag for bag in self.bags if bag.donation != donation))

    @property
    def command(self) -> StartSpin:
        return StartSpin(rotor=self.rotor, programme=self.programme, bags=self.bags)


def _code(text: str, kind: str) -> str:
    try:
        return read_code(text, kind).text
    except BadCode:
        return ""
