"""Who a donor is: registered once, its chip read, its blood typed by two, and one day retired."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from buffycoat.donors.blood_types import BLOOD_TYPES, IN_DOUBT, SYSTEMS, Reading, system_of
from buffycoat.donors.donor import Donor, stream_of, why_not_known
from buffycoat.donors.facts import BloodTyped, ChipRead, DonorRegistered, DonorRetired
from buffycoat.donors.may_give import age_months, day_of
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import limits

SPECIES = {"dog": "dog", "cat": "cat"}
SEXES = {"female": "female", "male": "male"}
CHIP_TYPES = {15: "ISO 11784", 10: "older, 10 characters", 9: "older, 9 characters"}


@dataclass(frozen=True, kw_only=True)
class RegisterDonor(Command):
    name: str
    species: str
    sex: str
    born_on: date
    breed: str = ""
    cautions: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.name.strip():
            yield "Give the donor's name."
        if self.species not in SPECIES:
            yield f"{self.species or 'Nothing'} is no species that we draw: choose dog or cat."
        if self.sex not in SEXES:
            yield "Choose female or male."
        today = day_of(at, limits(look))
        if self.born_on > today:
            yield f"{self.born_on:%d %b %Y} is still to come: give the day of birth."
        elif age_months(self.born_on, today) > 30 * 12:
            yield f"Born {self.born_on:%d %b %Y} is more than 30 years ago: check the year."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        donor = make_code("D", limits(look).text("site_code"), look.serial)
        yield (
            stream_of(donor),
            DonorRegistered(
                donor=donor,
                name=self.name.strip(),
                species=self.species,
                sex=self.sex,
                born_on=self.born_on,
                breed=self.breed.strip(),
                cautions=self.cautions.strip(),
            ),
        )


@dataclass(frozen=True, kw_only=True)
class ReadChip(Command):
    """15 figures by ISO 11784; older chips have 9 or 10 characters and are kept as they are read."""

    donor: str
    chip: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        yield from why_no_chip(self.chip)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donor), chip_read(self.chip)


def as_read(chip: str) -> str:
    return "".join(chip.split()).replace("-", "").upper()


def chip_read(chip: str) -> ChipRead:
    return ChipRead(chip=as_read(chip), chip_type=CHIP_TYPES[len(as_read(chip))])


def why_no_chip(typed: str) -> Iterator[str]:
    chip = as_read(typed)
    if len(chip) not in CHIP_TYPES or not (chip.isascii() and chip.isalnum()):
        yield f"“{typed}” is no chip number: 15 figures, or 9 or 10 characters of an older chip. Read it again."
    elif len(chip) == 15 and not chip.isdigit():
        yield f"“{typed}” has letters in it; a chip of 15 has figures only. Read it again."


@dataclass(frozen=True, kw_only=True)
class TypeBlood(Command):
    """One reading of one test. `reader` is who reads: the second reading is another person's."""

    donor: str
    blood_type: str
    method: str = ""
    reader: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        donor = look(Donor, self.donor)
        if donor.registered is None:
            return
        species = donor.registered.species
        system = system_of(species, self.blood_type)
        yield from why_no_type(species, self.blood_type)
        if not system:
            return
        after_min = limits(look).whole("second_reading_alone_after_min")
        yield from why_not_read_again(donor.readings.get(system, ()), self.reader, at, after_min)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donor), BloodTyped(blood_type=self.blood_type, method=self.method.strip())


def why_no_type(species: str, blood_type: str) -> Iterator[str]:
    if not system_of(species, blood_type):
        types = ", ".join(BLOOD_TYPES[species])
        others = ", ".join(list(SYSTEMS[species])[1:])
        yield (
            f"{blood_type or 'Nothing'} is no blood type of a {species}: choose {types}"
            f"{'' if not others else f', or positive or negative of {others}'}."
        )


def why_not_read_again(
    readings: tuple[Reading, ...], reader: str, at: datetime, after_min: int
) -> Iterator[str]:
    """Nobody confirms a reading of their own while the eye still remembers it."""
    if readings and not reader.strip():
        yield "This was read before: say who reads it now, for the second reading is another person's."
        return
    own = [each for each in readings if each.by.casefold() == reader.strip().casefold()]
    if own and at < own[-1].at + timedelta(minutes=after_min):
        yield (
            f"{reader} read this already: another person reads it now. "
            f"If nobody else is there, read it again after {after_min} minutes."
        )


def read_back(donor: Donor, blood_type: str) -> str:
    """What is said after a reading. While two contradict each other, neither is told."""
    assert donor.registered
    name, found = donor.registered.name, donor.type_in(system_of(donor.registered.species, blood_type))
    times = len(donor.readings[system_of(donor.registered.species, blood_type)])
    if found.how == IN_DOUBT:
        return (
            f"The readings of {name} do not agree, and neither is shown: have it read a third time, "
            "by another test if there is one."
        )
    if times == 1:
        return f"{name} is {found.blood_type}. Another person reads it a second time, without seeing this."
    agree = "Both readings agree." if times == 2 else f"Most of {times} readings say so."
    return f"{name} is {found.blood_type}. {agree}"


@dataclass(frozen=True, kw_only=True)
class RetireDonor(Command):
    """It gives no more. A donor that was retired by mistake comes back when the entry is struck."""

    donor: str
    reason: str
    died: bool = False

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        donor = look(Donor, self.donor)
        if donor.retired:
            yield f"It is retired already: {donor.retired.reason}"
        if not self.reason.strip():
            yield "Say why it gives no more: age, health, the owner's wish, or what you know."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donor), DonorRetired(reason=self.reason.strip(), died=self.died)
