"""What is done to one unit that stays one unit: thaw, open, irradiate, freeze again."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from buffycoat.changes.in_hand import InHand, why_not_in_hand
from buffycoat.draws.rules import Draw, stream_of
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.labels.changes import OWN_END
from buffycoat.labels.facts import Becomes, UnitFrozen, UnitIrradiated, UnitOpened, UnitThawed
from buffycoat.labels.products import CRYO, LATE, PRODUCTS, THAWED
from buffycoat.science.changes_of_state import end_after_changes
from buffycoat.science.shelf_life import after_years
from buffycoat.separation.rules import PLASMA
from buffycoat.site.change_limits import NEVER

LEAST_GY, MOST_GY = 15, 50


def becoming(in_hand: InHand, product: str, **change: Any) -> Becomes:
    """What it is after a change, until the earlier of its end before and the end that the change sets."""
    end = end_after_changes(in_hand.due.expires_at, in_hand.site.zone, **change)
    because = in_hand.due.because if end.because == OWN_END else end.because
    return Becomes(product=product, expires_at=end.ends_at, because=because)


@dataclass(frozen=True, kw_only=True)
class ThawUnit(Command):
    """Thaws a frozen unit in a water bath. `over_bag`: sealed in a bag of its own. `minutes`: how long it was in."""

    unit: str
    bath_c: int
    minutes: int
    over_bag: bool

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_in_hand(look, self.unit, at)
        in_hand = InHand.of(look, self.unit, at)
        if in_hand is None:
            return
        if in_hand.due.product == CRYO:
            yield "Thawed cryoprecipitate is not kept: it is thawed beside the patient, at the last moment."
        elif not in_hand.frozen:
            yield f"{in_hand.product.name} is not frozen here: there is nothing to thaw."
        site = in_hand.site
        least_c, most_c = site.whole("thaw_bath_least_c"), site.whole("thaw_bath_most_c")
        if not least_c <= self.bath_c <= most_c:
            yield f"A bath of {self.bath_c} °C: this site thaws at {least_c} to {most_c} °C."
        most_min = site.whole("thaw_most_min")
        if not 1 <= self.minutes <= most_min:
            yield (
                f"{self.minutes} min in the bath: this site allows 1 to {most_min} min. "
                "What lay in warm water for longer is discarded."
            )
        if not self.over_bag:
            yield "Seal it into an over-bag first: bath water carries germs, and they get in at the ports."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        in_hand = InHand.of(look, self.unit, at)
        assert in_hand
        hours = in_hand.site.whole("thawed_plasma_h")
        yield (
            stream_of(in_hand.donation),
            UnitThawed(
                part=in_hand.part,
                unit=self.unit,
                becomes=becoming(in_hand, THAWED[in_hand.due.product], thawed_at=at, thawed_hours=hours),
                bath_c=self.bath_c,
                minutes=self.minutes,
            ),
        )


@dataclass(frozen=True, kw_only=True)
class OpenUnit(Command):
    """Says that air could get into a unit: spiked, sampled through a port, or a port that broke."""

    unit: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_in_hand(look, self.unit, at)
        in_hand = InHand.of(look, self.unit, at)
        if in_hand and in_hand.frozen:
            yield "It is frozen: thaw it before it is opened."
        if in_hand and "opened" in in_hand.said:
            yield "It is opened already: its hours run from the first opening."
        if not self.reason.strip():
            yield "Say how it was opened: spiked, a sample taken, a port that broke."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        in_hand = InHand.of(look, self.unit, at)
        assert in_hand
        hours = in_hand.site.whole("opened_h")
        becomes = becoming(in_hand, in_hand.due.product, opened_at=at, opened_hours=hours)
        yield (
            stream_of(in_hand.donation),
            UnitOpened(part=in_hand.part, unit=self.unit, becomes=becomes, reason=self.reason.strip()),
        )


@dataclass(frozen=True, kw_only=True)
class IrradiateUnit(Command):
    unit: str
    dose_gy: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_in_hand(look, self.unit, at)
        in_hand = InHand.of(look, self.unit, at)
        if in_hand and in_hand.product.part == PLASMA:
            yield "Only red cells and whole blood are irradiated: plasma that was frozen holds no living cells."
        if in_hand and "irradiated" in in_hand.said:
            yield "It is irradiated already: a second time only harms the red cells."
        if not LEAST_GY <= self.dose_gy <= MOST_GY:
            yield (
                f"{self.dose_gy} Gy: every part of the bag gets {LEAST_GY} to {MOST_GY} Gy, 25 at its middle "
                "(human practice, from memory)."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        in_hand = InHand.of(look, self.unit, at)
        assert in_hand
        days = in_hand.site.whole("irradiated_days")
        becomes = becoming(in_hand, in_hand.due.product, irradiated_at=at, irradiated_days=days)
        yield (
            stream_of(in_hand.donation),
            UnitIrradiated(part=in_hand.part, unit=self.unit, becomes=becomes, dose_gy=self.dose_gy),
        )


@dataclass(frozen=True, kw_only=True)
class FreezeUnit(Command):
    """Freezes thawed plasma again while it is cold, where the site allows it. It is frozen plasma from then on."""

    unit: str
    surface_c: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_in_hand(look, self.unit, at)
        in_hand = InHand.of(look, self.unit, at)
        if in_hand is None:
            return
        if in_hand.due.product not in THAWED.values():
            yield f"{in_hand.product.name} was not thawed: there is nothing to freeze again."
        if in_hand.site.text("refreeze") == NEVER:
            yield "This site never freezes thawed plasma again; who decides it sets the limit."
        most_c = in_hand.site.whole("refreeze_most_c")
        if not 0 <= self.surface_c <= most_c:
            yield f"Its surface is at {self.surface_c} °C: it is frozen again only at 0 to {most_c} °C."
        if in_hand.said:
            yield f"It is {in_hand.said}: only what stayed closed is frozen again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        in_hand = InHand.of(look, self.unit, at)
        assert in_hand
        drawn_at = look(Draw, in_hand.donation).finished_at
        assert drawn_at
        years = in_hand.site.whole("frozen_plasma_years")
        becomes = Becomes(
            product=PRODUCTS[LATE].key,
            expires_at=after_years(drawn_at, years, in_hand.site.zone),
            because=f"frozen plasma, {years} years from the draw",
        )
        yield stream_of(in_hand.donation), UnitFrozen(part=in_hand.part, unit=self.unit, becomes=becomes)
