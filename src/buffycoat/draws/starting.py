"""A draw that is not recorded yet: what was answered so far, what is in its way, what would come of it."""

from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property

from buffycoat.donors.rules import (
    Donor,
    DonorExamined,
    DonorRegistered,
    LargestDraw,
    largest_draw,
    may_give,
    waived_in_words,
    why_not_known,
    why_not_today,
)
from buffycoat.draws.bag_sets import BagSet, BagSetLot, why_not_usable
from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import Draw, StartDraw, target_g, usual_range_ml
from buffycoat.journal.book import Book
from buffycoat.site.rules import Limits, limits


@dataclass(frozen=True, kw_only=True)
class Target:
    """What the scale shows at the end, and what the wanted volume is to this donor."""

    wanted_ml: int
    target_g: int
    ml_per_kg: float
    percent: float


@dataclass(frozen=True, kw_only=True)
class Draft:
    """The answers in the order of the questions; one that is not given yet is None."""

    look: Book
    at: datetime
    donor: Donor | None = None
    lot: BagSetLot | None = None
    tare_g: int | None = None

    @classmethod
    def empty(cls, at: datetime) -> "Draft":
        return cls(look=Book(), at=at)

    def with_donor(self, number: str) -> "Draft":
        return replace(self, donor=self.look(Donor, number))

    def with_lot(self, number: str) -> "Draft":
        return replace(self, lot=self.look(BagSetLot, number))

    @cached_property
    def site(self) -> Limits:
        return limits(self.look)

    @property
    def registered(self) -> DonorRegistered:
        assert self.donor and self.donor.registered
        return self.donor.registered

    @property
    def examined(self) -> DonorExamined:
        assert self.donor and self.donor.examined
        return self.donor.examined

    @property
    def bag_set(self) -> BagSet:
        assert self.lot and self.lot.received
        return self.lot.received.bag_set

    @property
    def cautions(self) -> list[str]:
        if self.donor is None:
            return []
        told = [each.cautions for each in (self.donor.registered, self.donor.examined) if each]
        answer = may_give(self.look, self.donor.number, self.at)
        if answer.to_mind:
            told.append(f"To mind: {' '.join(answer.to_mind)}")
        if answer.waived:
            told.append(f"Emergency donor, checks waived: {waived_in_words(answer.waived)}.")
        return [each for each in told if each]

    @property
    def examined_today(self) -> bool:
        at = self.donor.examined_at if self.donor else None
        return (
            at is not None
            and at.astimezone(self.site.zone).date() == self.at.astimezone(self.site.zone).date()
        )

    @property
    def most(self) -> LargestDraw:
        return largest_draw(self.registered.species, self.examined.weight_g, self.site)

    @property
    def most_ml_per_kg(self) -> float:
        return self.most.ml_per_kg(self.examined.weight_g, self.most.volume_ml)

    @property
    def most_percent(self) -> float:
        return self.most.percent(self.most.volume_ml)

    @property
    def range_ml(self) -> tuple[int, int]:
        """What the set is made for, as far as this donor can give it."""
        low_ml, high_ml = usual_range_ml(self.bag_set.nominal_ml, self.site)
        return low_ml, min(high_ml, self.most.volume_ml)

    @property
    def default_ml(self) -> int:
        return min(self.bag_set.nominal_ml, self.most.volume_ml)

    def why_not_donor(self) -> list[str]:
        assert self.donor
        unknown = list(why_not_known(self.look, self.donor.number))
        return unknown or list(why_not_today(self.look, self.donor.number, self.at))

    def why_not_set(self) -> list[str]:
        assert self.donor and self.lot
        unusable = list(why_not_usable(self.lot, self.at.astimezone(self.site.zone).date()))
        if self.lot.received is None:
            return unusable
        low_ml, high_ml = self.range_ml
        if low_ml > high_ml and self.bag_set.species == self.registered.species:
            too_large = (
                f"This set needs at least {low_ml} mL, and {self.registered.name} can give at most {high_ml} mL: "
                "take a smaller set."
            )
            return [*unusable, too_large]
        return unusable or self._why_not(self.bag_set.main_bag_empty_g)

    def why_not_tare(self, tare_g: int) -> list[str]:
        return self._why_not(tare_g)

    def _why_not(self, tare_g: int) -> list[str]:
        """The reasons of the command itself; the volume, not asked yet, is taken at its easiest."""
        assert self.donor and self.lot
        command = StartDraw(
            donor=self.donor.number, lot=self.lot.number, tare_g=tare_g, wanted_ml=self.default_ml
        )
        return list(dict.fromkeys(command.why_not(self.look, self.at)))

    def command(self, wanted_ml: int) -> StartDraw:
        assert self.donor and self.lot and self.tare_g is not None
        return StartDraw(
            donor=self.donor.number, lot=self.lot.number, tare_g=self.tare_g, wanted_ml=wanted_ml
        )

    def target(self, wanted_ml: int) -> Target:
        assert self.tare_g is not None
        return Target(
            wanted_ml=wanted_ml,
            target_g=target_g(self.registered.species, wanted_ml, self.tare_g, self.site),
            ml_per_kg=self.most.ml_per_kg(self.examined.weight_g, wanted_ml),
            percent=self.most.percent(wanted_ml),
        )

    @property
    def known_parts_g(self) -> int:
        """The dry bags and the solutions in them, by the lot's card."""
        liquids_mg = self.bag_set.anticoagulant_ml * self.site.whole("anticoagulant_density_mg_per_ml")
        liquids_mg += self.bag_set.additive_ml * self.site.whole("additive_density_mg_per_ml")
        return self._dry_g + round(liquids_mg / 1000)

    @property
    def _dry_g(self) -> int:
        return self.bag_set.main_bag_empty_g + self.bag_set.plasma_bag_empty_g

    @property
    def usual_tare_g(self) -> tuple[int, int]:
        """Tubing, needle and labels come on top of the known parts; they seldom weigh more than the dry bags."""
        return self.known_parts_g, self.known_parts_g + self._dry_g

    @property
    def tare_is_usual(self) -> bool:
        low_g, high_g = self.usual_tare_g
        return self.tare_g is not None and low_g <= self.tare_g <= high_g

    @property
    def tare_before_g(self) -> int | None:
        """What the last set of this lot weighed."""
        assert self.lot
        last = DonationRow.objects.filter(lot=self.lot.number).order_by("-started_at").first()
        started = self.look(Draw, last.donation).started if last else None
        return started.tare_g if started else None
