"""Storage: a labelled unit goes into a place that suits it, in time, and leaves it only on record."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import ClassVar, Self

from buffycoat.draws.rules import stream_of, why_not_at_work
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.labels.products import PRODUCTS, storage_range
from buffycoat.labels.rules import Labelling, LabelPrinted, UnitDiscarded, UnitName, UnitPutAway
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import Separation, freezer_due_at
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.places import Place

BEING_MADE, WAITING, READY, USE_FIRST, STOP, GONE = (
    "being made",
    "waiting",
    "ready",
    "use first",
    "stop",
    "gone",
)


@dataclass(frozen=True, kw_only=True)
class Shelf(State):
    """By part of a donation: where its unit is since when, or why it is gone."""

    stream: ClassVar[str] = "donation"
    put_away: dict[str, UnitPutAway] = field(default_factory=dict)
    put_away_at: dict[str, datetime] = field(default_factory=dict)
    discarded: dict[str, UnitDiscarded] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case UnitPutAway(part=part) as fact:
                first_at = self.put_away_at.get(part, line.happened_at)
                return replace(
                    self,
                    put_away={**self.put_away, part: fact},
                    put_away_at={**self.put_away_at, part: first_at},
                )
            case UnitDiscarded(part=part) as fact:
                return replace(self, discarded={**self.discarded, part: fact})
        return self


def status(
    *,
    labelled: bool,
    put_away: bool,
    gone: bool,
    wrong_type: bool,
    held: bool,
    expires_at: datetime,
    at: datetime,
    site: Limits,
) -> str:
    """The one word for a unit at a moment. `wrong_type`: the donor's type is not the one on the label any more;
    `held`: something is wrong with it that nobody has settled."""
    if gone:
        return GONE
    if at > expires_at or wrong_type or (put_away and not labelled):
        return STOP
    if held:
        return WAITING
    if not put_away:
        return BEING_MADE
    return USE_FIRST if expires_at - at <= timedelta(days=site.whole("use_first_days")) else READY


def all_done(state: Separation, shelf: Shelf) -> bool:
    """Nothing is left to do with a donation: each part stands in its place, or is gone."""
    if state.draw.discarded:
        return True
    return bool(state.parts) and all(
        part in shelf.put_away or part in shelf.discarded for part in state.parts
    )


def _why_not_unit(look: Look, unit: str, at: datetime) -> Iterator[str]:
    named = look(UnitName, unit).named
    if named is None:
        yield f"No unit has the number {show_code(unit)}: scan its label again."
        return
    yield from why_not_at_work(look(Separation, named.donation).draw, at, limits(look))
    if gone := look(Shelf, named.donation).discarded.get(named.part):
        yield f"{show_code(unit)} was discarded: {gone.reason}"


@dataclass(frozen=True, kw_only=True)
class PutAway(Command):
    """`looks_well`: no clot, no leak, colour as it should be, looked at once more before the door."""

    unit: str
    place: str
    looks_well: bool

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_not_unit(look, self.unit, at)
        place, named = look(Place, self.place).opened, look(UnitName, self.unit).named
        if place is None:
            yield f"No place has the number {show_code(self.place)}: scan the card on the door."
        if not self.looks_well:
            yield (
                "Look at it once more: clot, leak, colour. "
                "A unit that does not look right is discarded, not put away."
            )
        if named is None:
            return
        labels = look(Labelling, named.donation)
        label = labels.printed[named.part]
        if named.part not in labels.labelled_at:
            yield "Its label was not scanned back from the bag yet: do that first."
        product, site = PRODUCTS[label.product], limits(look)
        if place and place.appliance != product.kept_in:
            yield (
                f"{product.name} belongs in a {product.kept_in} ({storage_range(product, site)}); "
                f"{place.name} is a {place.appliance}."
            )
        if at > label.expires_at:
            yield f"{show_code(self.unit)} expired on {label.expires_at.astimezone(site.zone):%d %b %Y}: discard it."
        yield from self._why_too_late(look, named.donation, label, at, site)
        here = look(Shelf, named.donation).put_away.get(named.part)
        if place and here and here.place == self.place:
            yield f"It is in {place.name} already."

    def _why_too_late(
        self, look: Look, donation: str, label: LabelPrinted, at: datetime, site: Limits
    ) -> Iterator[str]:
        due_at = freezer_due_at(look(Separation, donation).draw, site)
        first_time = label.part not in look(Shelf, donation).put_away
        if label.product == "fresh-frozen-plasma" and first_time and due_at and at > due_at:
            yield (
                "Too late for fresh frozen plasma: it had to be in the freezer by "
                f"{due_at.astimezone(site.zone):%H:%M}. Print its label again: it is frozen plasma now."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        named = look(UnitName, self.unit).named
        assert named
        yield stream_of(named.donation), UnitPutAway(part=named.part, unit=self.unit, place=self.place)


@dataclass(frozen=True, kw_only=True)
class DiscardUnit(Command):
    unit: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_not_unit(look, self.unit, at)
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
