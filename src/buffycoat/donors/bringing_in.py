"""Donors and their earlier donations from a list that the bank kept before this book."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from buffycoat.donors.donor import Donor, stream_of, why_not_known
from buffycoat.donors.facts import BloodTyped, DonorBroughtIn, DonorGaveBefore
from buffycoat.donors.may_give import day_of
from buffycoat.donors.registering import SPECIES, RegisterDonor, chip_read, why_no_chip, why_no_type
from buffycoat.donors.visits import why_no_pcv, why_not_weighed
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.site.rules import limits

MOST_BAG_ML = 1_000  # no donor gives a litre at once
BY_THE_LIST = "the list brought in"


@dataclass(frozen=True, kw_only=True)
class BringInDonor(Command):
    """Registers a donor as a list has it. Its type counts as one reading; weight and PCV are kept as old ones."""

    name: str
    species: str
    sex: str
    born_on: date
    row: str = ""
    old_number: str = ""
    breed: str = ""
    cautions: str = ""
    chip: str = ""
    blood_type: str = ""
    weight_g: int | None = None
    pcv_permille: int | None = None
    measured_on: date | None = None

    @property
    def _register(self) -> RegisterDonor:
        return RegisterDonor(
            name=self.name,
            species=self.species,
            sex=self.sex,
            born_on=self.born_on,
            breed=self.breed,
            cautions=self.cautions,
        )

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from self._register.why_not(look, at)
        if self.chip:
            yield from why_no_chip(self.chip)
        if self.blood_type and self.species in SPECIES:
            yield from why_no_type(self.species, self.blood_type)
        yield from _why_not_measured(self.species, self.weight_g, self.pcv_permille)
        if self.measured_on and not self.born_on <= self.measured_on <= day_of(at, limits(look)):
            yield f"It cannot have been weighed on {self.measured_on:%d %b %Y}: look at the day again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        for stream, registered in self._register.facts(look, at):
            yield stream, registered
            if self.chip:
                yield stream, chip_read(self.chip)
            if self.blood_type:
                yield stream, BloodTyped(blood_type=self.blood_type, method=BY_THE_LIST)
            yield (
                stream,
                DonorBroughtIn(
                    old_number=self.old_number,
                    row=self.row,
                    weight_g=self.weight_g,
                    pcv_permille=self.pcv_permille,
                    measured_on=self.measured_on,
                ),
            )


@dataclass(frozen=True, kw_only=True)
class BringInDonation(Command):
    """A donation from before this book. The time at which it is recorded as done is the day on which it was drawn."""

    donor: str
    row: str = ""
    old_number: str = ""
    volume_ml: int | None = None
    weight_g: int | None = None
    pcv_permille: int | None = None

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        donor, site = look(Donor, self.donor), limits(look)
        if donor.registered is None:
            return
        name, on = donor.registered.name, day_of(at, site)
        if on <= donor.registered.born_on:
            born_on = donor.registered.born_on
            yield f"{name} was born on {born_on:%d %b %Y} and cannot have given on {on:%d %b %Y}."
        if on in {day_of(each.at, site) for each in donor.all_gave}:
            yield f"{name} gave on {on:%d %b %Y} already: that donation is in the book."
        if self.volume_ml is not None and not 1 <= self.volume_ml <= MOST_BAG_ML:
            yield f"{self.volume_ml} mL is not drawn from a donor (1 to {MOST_BAG_ML} mL): look again."
        yield from _why_not_measured(donor.registered.species, self.weight_g, self.pcv_permille)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            stream_of(self.donor),
            DonorGaveBefore(
                old_number=self.old_number,
                row=self.row,
                volume_ml=self.volume_ml,
                weight_g=self.weight_g,
                pcv_permille=self.pcv_permille,
            ),
        )


def _why_not_measured(species: str, weight_g: int | None, pcv_permille: int | None) -> Iterator[str]:
    if weight_g is not None and species in SPECIES:
        yield from why_not_weighed(species, weight_g)
    if pcv_permille is not None:
        yield from why_no_pcv(pcv_permille)
