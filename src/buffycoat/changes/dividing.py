"""One unit becomes several: parts for small animals, or cryoprecipitate and what is left of the plasma."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from buffycoat.changes.in_hand import InHand, why_not_in_hand
from buffycoat.changes.states import becoming
from buffycoat.draws.rules import Draw, stream_of
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.labels.facts import Becomes, Child, UnitDivided
from buffycoat.labels.products import CRYO, CRYO_POOR, FRESH, PRODUCTS, dating_key
from buffycoat.science.shelf_life import after_years

MOST_PARTS = 6
HEAVIEST_EMPTY_G = 200
LONGEST_NAME = 20  # of a part, as the registers have it


def _why_not_so_heavy(what: str, empty_g: int) -> Iterator[str]:
    if not 1 <= empty_g <= HEAVIEST_EMPTY_G:
        yield f"{empty_g} g for {what}: weigh it empty, with its tubing."


@dataclass(frozen=True, kw_only=True)
class DivideUnit(Command):
    """Divides a unit into parts, each in an empty bag of that mass. `closed`: welded or in the set's own bags."""

    unit: str
    parts: int
    empty_g: int
    closed: bool

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_in_hand(look, self.unit, at)
        in_hand = InHand.of(look, self.unit, at)
        if in_hand and in_hand.frozen:
            yield "It is frozen: thaw it before it is divided."
        if not 2 <= self.parts <= MOST_PARTS:
            yield f"{self.parts} parts: a unit is divided into 2 to {MOST_PARTS}."
        if in_hand and len(in_hand.part) > LONGEST_NAME - 2:
            yield "It was divided too often: take a larger part, or another unit."
        yield from _why_not_so_heavy("an empty bag", self.empty_g)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        in_hand = InHand.of(look, self.unit, at)
        assert in_hand
        becomes = None if self.closed else self._opened(in_hand, at)
        children = tuple(
            Child(part=f"{in_hand.part}-{number}", empty_g=self.empty_g, becomes=becomes)
            for number in range(1, self.parts + 1)
        )
        yield (
            stream_of(in_hand.donation),
            UnitDivided(part=in_hand.part, unit=self.unit, closed=self.closed, children=children),
        )

    def _opened(self, in_hand: InHand, at: datetime) -> Becomes:
        hours = in_hand.site.whole("opened_h")
        return becoming(in_hand, in_hand.due.product, opened_at=at, opened_hours=hours)


@dataclass(frozen=True, kw_only=True)
class SeparateCryo(Command):
    """Fresh frozen plasma, thawed in the cold and spun: the cryo-poor plasma is pressed off the cryoprecipitate."""

    unit: str
    cryo_empty_g: int
    poor_empty_g: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_in_hand(look, self.unit, at)
        in_hand = InHand.of(look, self.unit, at)
        if in_hand and (in_hand.due.product != FRESH or not in_hand.frozen):
            yield f"Cryoprecipitate is made of fresh frozen plasma out of the freezer; this is {_named(in_hand)}."
        yield from _why_not_so_heavy("the plasma bag, where the cryoprecipitate stays", self.cryo_empty_g)
        yield from _why_not_so_heavy("the bag that the plasma goes into", self.poor_empty_g)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        in_hand = InHand.of(look, self.unit, at)
        assert in_hand
        drawn_at = look(Draw, in_hand.donation).finished_at
        assert drawn_at
        made = ((CRYO, self.cryo_empty_g), (CRYO_POOR, self.poor_empty_g))
        children = tuple(
            Child(
                part=f"{in_hand.part}-{number}",
                empty_g=empty_g,
                becomes=_dated(in_hand, product, drawn_at),
            )
            for number, (product, empty_g) in enumerate(made, start=1)
        )
        yield (
            stream_of(in_hand.donation),
            UnitDivided(part=in_hand.part, unit=self.unit, closed=True, children=children),
        )


def _named(in_hand: InHand) -> str:
    name = in_hand.product.name
    return f"{name[0].lower()}{name[1:]}{'' if in_hand.frozen else ', not frozen'}"


def _dated(in_hand: InHand, product: str, drawn_at: datetime) -> Becomes:
    """From the draw, and never later than the plasma that it was made of."""
    years = in_hand.site.whole(dating_key(PRODUCTS[product], "", ""))
    end = after_years(drawn_at, years, in_hand.site.zone)
    if in_hand.due.expires_at < end:
        return Becomes(product=product, expires_at=in_hand.due.expires_at, because="the date of its plasma")
    return Becomes(product=product, expires_at=end, because=f"{years} y from the draw")
