"""Bag sets by lot: what the maker printed on the box, weighed once when it came."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import limits

ANTICOAGULANTS = ("CPDA-1", "CPD", "CP2D", "ACD")


@dataclass(frozen=True, kw_only=True)
class BagSet:
    """One design of bag set. `additive_ml` is 0 when the set has no additive; empty masses are of the dry plastic."""

    title: str
    species: str
    nominal_ml: int
    anticoagulant: str
    anticoagulant_ml: int
    additive: str
    additive_ml: int
    main_bag_empty_g: int
    plasma_bag_empty_g: int


@dataclass(frozen=True, kw_only=True)
class BagSetLotReceived(Fact, kind="bag-set-lot-received"):
    lot: str
    maker_lot: str
    expires_on: date
    bag_set: BagSet


@dataclass(frozen=True, kw_only=True)
class LotPutOnHold(Fact, kind="lot-put-on-hold", builds_on=(BagSetLotReceived,)):
    """Nothing more is drawn into it, and all that was made with it waits."""

    reason: str


@dataclass(frozen=True, kw_only=True)
class LotReleased(Fact, kind="lot-released", builds_on=(LotPutOnHold,)):
    """By somebody else than who put it on hold."""

    why: str
    released_by: str = ""


@dataclass(frozen=True, kw_only=True)
class BagSetLot(State):
    stream: ClassVar[str] = "lot"
    received: BagSetLotReceived | None = None
    on_hold: str = ""
    held_by: str = ""

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case BagSetLotReceived() as fact:
                return replace(self, received=fact)
            case LotPutOnHold(reason=reason):
                return replace(self, on_hold=reason, held_by=line.by)
            case LotReleased():
                return replace(self, on_hold="", held_by="")
        return self


def why_lot_held(maker_lot: str, reason: str) -> str:
    """Why all that was made with a lot waits; empty if it does not."""
    return f"Bag set lot {maker_lot} is on hold: {reason.rstrip('.')}" if reason else ""


def why_not_usable(lot: BagSetLot, on: date) -> Iterator[str]:
    if lot.received is None:
        yield f"No bag set lot has the number {lot.number}: scan the lot's card again, or receive the lot."
    elif on > lot.received.expires_on:
        yield (
            f"Bag set lot {lot.received.maker_lot} expired on {lot.received.expires_on:%d %b %Y}: "
            "take a set of another lot."
        )
    if lot.received and lot.on_hold:
        yield f"{why_lot_held(lot.received.maker_lot, lot.on_hold)}. Take a set of another lot."


@dataclass(frozen=True, kw_only=True)
class ReceiveBagSetLot(Command):
    maker_lot: str
    expires_on: date
    title: str
    species: str
    nominal_ml: int
    anticoagulant: str
    anticoagulant_ml: int
    main_bag_empty_g: int
    plasma_bag_empty_g: int
    additive: str = ""
    additive_ml: int = 0

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.maker_lot.strip() or not self.title.strip():
            yield "Give the maker's lot number and what the set is called."
        if self.species not in ("dog", "cat"):
            yield "Choose dog or cat."
        if self.anticoagulant not in ANTICOAGULANTS:
            yield f"Choose the anticoagulant: {', '.join(ANTICOAGULANTS)}."
        if not 20 <= self.nominal_ml <= 600:
            yield f"A set for {self.nominal_ml} mL is unknown here: 20 to 600 mL."
        if not 0.08 <= self.anticoagulant_ml / max(self.nominal_ml, 1) <= 0.25:
            yield (
                f"{self.anticoagulant_ml} mL of anticoagulant does not suit {self.nominal_ml} mL of blood "
                "(usual: 14 mL for 100 mL): read the label again."
            )
        if bool(self.additive.strip()) != (self.additive_ml > 0) or not 0 <= self.additive_ml <= 150:
            yield "Give the additive's name and its volume (1 to 150 mL), or neither."
        if not 5 <= self.main_bag_empty_g <= 200 or not 2 <= self.plasma_bag_empty_g <= 100:
            yield "Give what the dry bags weigh: main bag 5 to 200 g, plasma bag 2 to 100 g."
        today = at.astimezone(limits(look).zone).date()
        if self.expires_on < today:
            yield f"This lot expired on {self.expires_on:%d %b %Y}: send it back, do not shelve it."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        lot = make_code("L", limits(look).text("site_code"), look.serial)
        bag_set = BagSet(
            title=self.title.strip(),
            species=self.species,
            nominal_ml=self.nominal_ml,
            anticoagulant=self.anticoagulant,
            anticoagulant_ml=self.anticoagulant_ml,
            additive=self.additive.strip(),
            additive_ml=self.additive_ml,
            main_bag_empty_g=self.main_bag_empty_g,
            plasma_bag_empty_g=self.plasma_bag_empty_g,
        )
        yield (
            f"{BagSetLot.stream}/{lot}",
            BagSetLotReceived(
                lot=lot, maker_lot=self.maker_lot.strip(), expires_on=self.expires_on, bag_set=bag_set
            ),
        )


@dataclass(frozen=True, kw_only=True)
class HoldLot(Command):
    """Puts a lot on hold: the maker recalls it, or a set of it was found bad."""

    lot: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        lot = look(BagSetLot, self.lot)
        if lot.received is None:
            yield f"No bag set lot has the number {self.lot}: scan the lot's card again."
        if lot.on_hold:
            yield f"It is on hold already: {lot.on_hold}"
        if not self.reason.strip():
            yield "Say why it is held: recalled by its maker, leaking, discoloured, or what was found."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield f"{BagSetLot.stream}/{self.lot}", LotPutOnHold(reason=self.reason.strip())


@dataclass(frozen=True, kw_only=True)
class ReleaseLot(Command):
    """Lets a lot that was on hold be used again, and all that was made with it."""

    lot: str
    why: str
    released_by: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        lot = look(BagSetLot, self.lot)
        if not lot.on_hold:
            yield "This lot is not on hold."
        elif lot.held_by.casefold() == self.released_by.strip().casefold():
            yield f"{lot.held_by} put it on hold: somebody else must look at it and release it."
        if not self.why.strip():
            yield "Say what was found out, and why it may be used again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            f"{BagSetLot.stream}/{self.lot}",
            LotReleased(why=self.why.strip(), released_by=self.released_by.strip()),
        )
