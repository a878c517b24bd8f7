"""Storage: a labelled unit goes into a place that suits it, in time, and leaves it only on record."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from buffycoat.draws.rules import stream_of, why_not_at_work
from buffycoat.equipment.rules import why_not_served
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.labels.facts import LabelPrinted, UnitDiscarded, UnitNamed, UnitPutAway, UnitTakenOut
from buffycoat.labels.products import FREEZER, PRODUCTS, storage_range
from buffycoat.labels.rules import Labelling, UnitName, due_now
from buffycoat.problems.rules import why_held
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import Separation, freezer_due_at
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.out_of_fridge import why_not_back
from buffycoat.storage.places import Place
from buffycoat.storage.shelf import Shelf, all_done
from buffycoat.storage.states import (
    BEING_MADE,
    GONE,
    READY,
    STOP,
    USE_FIRST,
    WAITING,
    row_of,
    seen_at,
)

__all__ = [
    "BEING_MADE",
    "CHANGED",
    "GONE",
    "READY",
    "STOP",
    "USE_FIRST",
    "WAITING",
    "DiscardUnit",
    "PutAway",
    "Shelf",
    "TakeOut",
    "UnitDiscarded",
    "UnitPutAway",
    "all_done",
    "status",
    "what_to_do_when_expired",
    "why_not_unit",
]


CHANGED = "It was changed since its label was printed: print its label again first."


def status(**seen: Any) -> str:
    """The one word for a unit at a moment."""
    return row_of(seen_at(**seen)).state


def why_not_unit(look: Look, unit: str, at: datetime) -> Iterator[str]:
    named = look(UnitName, unit).named
    if named is None:
        yield f"No unit has the number {show_code(unit)}: scan its label again."
        return
    yield from why_not_at_work(look(Separation, named.donation).draw, at, limits(look))
    shelf = look(Shelf, named.donation)
    if gone := shelf.gone(named.part):
        how = "was discarded" if named.part in shelf.discarded else "is no unit any more"
        yield f"{show_code(unit)} {how}: {gone}"


@dataclass(frozen=True, kw_only=True)
class PutAway(Command):
    """Puts a unit into its place, moves it, or brings it back.

    `looks_well`: no clot, no leak, colour as it should be, looked at once more before the door. `surface_c` is asked
    where the site decides by it whether a unit that was out goes back.
    """

    unit: str
    place: str
    looks_well: bool
    surface_c: int | None = None

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_unit(look, self.unit, at)
        place, named = look(Place, self.place).opened, look(UnitName, self.unit).named
        if place is None:
            yield f"No place has the number {show_code(self.place)}: scan the card on the door."
        yield from why_not_served(look, Place.stream, self.place, at)
        if not self.looks_well:
            yield (
                "Look at it once more: clot, leak, colour. "
                "A unit that does not look right is discarded, not put away."
            )
        if named is None:
            return
        if place and place.quarantine and not any(why_held(look, named.donation, named.part)):
            yield f"{place.name} is for what waits, and nothing holds {show_code(self.unit)}."
        labels = look(Labelling, named.donation)
        label = labels.printed[named.part]
        if named.part in labels.untrue:
            yield CHANGED
            return
        if named.part not in labels.labelled_at:
            yield "Its label was not scanned back from the bag yet: do that first."
        product, site = PRODUCTS[label.product], limits(look)
        if place and place.appliance != product.kept_in:
            yield (
                f"{product.name} belongs in a {product.kept_in} ({storage_range(product, site)}); "
                f"{place.name} is a {place.appliance}."
            )
        if at > label.expires_at:
            ended = f"{show_code(self.unit)} expired on {label.expires_at.astimezone(site.zone):%d %b %Y}"
            yield f"{ended}: {what_to_do_when_expired(look, named, at)}."
        yield from self._why_too_late(look, named.donation, label, at, site)
        shelf = look(Shelf, named.donation)
        yield from why_not_back(shelf.out_of(named.part), at, self.surface_c, site)
        here = shelf.put_away.get(named.part)
        if place and here and here.place == self.place:
            yield f"It is in {place.name} already."

    def _why_too_late(
        self, look: Look, donation: str, label: LabelPrinted, at: datetime, site: Limits
    ) -> Iterator[str]:
        due_at = freezer_due_at(look(Separation, donation).draw, site)
        first_time = label.part not in look(Shelf, donation).put_away_at
        if label.product == "fresh-frozen-plasma" and first_time and due_at and at > due_at:
            yield (
                "Too late for fresh frozen plasma: it had to be in the freezer by "
                f"{due_at.astimezone(site.zone):%H:%M}. Print its label again: it is frozen plasma now."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        named = look(UnitName, self.unit).named
        assert named
        outings = look(Shelf, named.donation).out_of(named.part)
        yield (
            stream_of(named.donation),
            UnitPutAway(
                part=named.part,
                unit=self.unit,
                place=self.place,
                out_s=outings.now_s(at),
                surface_c=self.surface_c,
            ),
        )


def what_to_do_when_expired(look: Look, named: UnitNamed, at: datetime) -> str:
    now = due_now(look, named.donation, named.part, at)
    if at > now.expires_at:
        return "discard it"
    return f"it is {PRODUCTS[now.product].name.lower()} now, print its label again"


@dataclass(frozen=True, kw_only=True)
class TakeOut(Command):
    """Takes a unit out of its fridge: from now on its time out runs, until it is given or put away again."""

    unit: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_unit(look, self.unit, at)
        named = look(UnitName, self.unit).named
        if named is None:
            return
        shelf, product = (
            look(Shelf, named.donation),
            look(Labelling, named.donation).printed[named.part].product,
        )
        if not shelf.gone(named.part) and named.part not in shelf.put_away:
            out = "is out already" if shelf.out_of(named.part).since else "stands in no place yet"
            yield f"{show_code(self.unit)} {out}: put it away first."
        elif PRODUCTS[product].kept_in == FREEZER:
            yield f"{PRODUCTS[product].name} leaves the freezer to be thawed, or to be moved into another one."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        named = look(UnitName, self.unit).named
        assert named
        place = look(Shelf, named.donation).put_away[named.part].place
        yield stream_of(named.donation), UnitTakenOut(part=named.part, unit=self.unit, place=place)


@dataclass(frozen=True, kw_only=True)
class DiscardUnit(Command):
    unit: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_unit(look, self.unit, at)
        if not self.reason.strip():
            yield (
                "Say why it is discarded: expired, broken, leaking, clotted, haemolysed, warm too long, "
                "or what you saw."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        named = look(UnitName, self.unit).named
        assert named
        yield (
            stream_of(named.donation),
            UnitDiscarded(part=named.part, unit=self.unit, reason=self.reason.strip()),
        )
