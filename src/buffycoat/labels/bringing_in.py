"""Units that stood on the shelf when this book began. Each gets a number and a label of its own like any other."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from buffycoat.donors.rules import (
    TYPE_UNKNOWN,
    BloodTyped,
    Donor,
    DonorGaveBefore,
    why_no_type,
    why_not_known,
)
from buffycoat.donors.rules import stream_of as donor_stream
from buffycoat.draws.bag_sets import ANTICOAGULANTS
from buffycoat.draws.brought_in import DonationBroughtIn
from buffycoat.draws.rules import stream_of
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.labels.products import PRODUCTS, dating_key
from buffycoat.science.numbering import make_code
from buffycoat.separation.rules import PLASMA, RED_CELLS
from buffycoat.site.rules import Limits, limits

MOST_ML = 700  # no bag of a set for 450 mL holds more, with anticoagulant and additive
RED_CELLS_OF_A_UNIT = 0.6  # their usual share of a bag of red cells; from memory
BY_ITS_OLD_LABEL = "its label from before this book"


@dataclass(frozen=True, kw_only=True)
class BringInUnit(Command):
    """A bag by its old label. The time at which it is recorded as done is the end of its draw."""

    donor: str
    product: str
    blood_type: str
    volume_ml: int
    expires_at: datetime
    old_number: str
    row: str = ""
    anticoagulant: str = ""
    place: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        donor = look(Donor, self.donor)
        if self.product not in PRODUCTS:
            yield f"{self.product or 'Nothing'} is no product here: choose {', '.join(PRODUCTS)}."
        if not 1 <= self.volume_ml <= MOST_ML:
            yield f"{self.volume_ml} mL is not in one bag (1 to {MOST_ML} mL): look again."
        if not self.old_number.strip():
            yield "Give the number that stands on the bag: by it the bag is found."
        if self.anticoagulant and self.anticoagulant not in ANTICOAGULANTS:
            yield f"{self.anticoagulant} is no anticoagulant here: choose {', '.join(ANTICOAGULANTS)}, or leave it out."
        if self.expires_at.tzinfo is None:
            yield "Its date has no zone: give it in UTC, or with its offset."
        if donor.registered is None or self.expires_at.tzinfo is None:
            return
        yield from why_no_type(donor.registered.species, self.blood_type)
        if self.blood_type != donor.blood_type != TYPE_UNKNOWN:
            name = donor.registered.name
            yield f"Its label says {self.blood_type}, and {name} is {donor.blood_type} here: find out which is right."
        if self.product in PRODUCTS:
            yield from self._why_not_so_long(donor.registered.species, at, limits(look))

    def _why_not_so_long(self, species: str, at: datetime, site: Limits) -> Iterator[str]:
        if self.expires_at <= at:
            yield "Its date is before its draw: look at both again."
        most = longest(self.product, species, site)
        if self.expires_at > at + most + timedelta(days=1):
            product = PRODUCTS[self.product].name.lower()
            told, allowed = (self.expires_at - at).days, f"this site lets {product} keep for {most.days}"
            yield f"It would keep for {told} days, and {allowed}: look at its label again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        site, donor = limits(look), look(Donor, self.donor)
        assert donor.registered
        species, part = donor.registered.species, PRODUCTS[self.product].part
        donation = make_code("G", site.text("site_code"), look.serial)
        yield (
            stream_of(donation),
            DonationBroughtIn(
                donation=donation,
                donor=self.donor,
                species=species,
                part=part,
                product=self.product,
                volume_ml=self.volume_ml,
                content_g=round(self.volume_ml * _density_mg_per_ml(part, species, site) / 1000),
                expires_at=self.expires_at,
                old_number=self.old_number,
                row=self.row,
                anticoagulant=self.anticoagulant,
                place=self.place,
            ),
        )
        if donor.blood_type == TYPE_UNKNOWN:
            yield donor_stream(self.donor), BloodTyped(blood_type=self.blood_type, method=BY_ITS_OLD_LABEL)
        on = at.astimezone(site.zone).date()
        if on not in {each.at.astimezone(site.zone).date() for each in donor.all_gave}:
            yield donor_stream(self.donor), DonorGaveBefore(old_number=self.old_number, row=self.row)


def longest(product: str, species: str, site: Limits) -> timedelta:
    """The longest that this site lets the product keep, whatever is in the bag with it."""
    keys = {dating_key(PRODUCTS[product], species, each) for each in ANTICOAGULANTS}
    days = {"_days": 1, "_years": 366}
    found = [site.whole(key) * days[end] for key in keys for end in days if key.endswith(end)]
    return timedelta(days=max(found)) if found else timedelta(hours=max(map(site.whole, keys)))


def _density_mg_per_ml(part: str, species: str, site: Limits) -> float:
    plasma, cells = site.whole("plasma_density_mg_per_ml"), site.whole("red_cell_density_mg_per_ml")
    if part == RED_CELLS:
        return plasma + (cells - plasma) * RED_CELLS_OF_A_UNIT
    return plasma if part == PLASMA else site.whole(f"{species}_blood_density_mg_per_ml")
