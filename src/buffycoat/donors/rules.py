"""Donors: who may give, what type they are, and how they are on the day."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import Limits, limits

SPECIES = {"dog": "dog", "cat": "cat"}
SEXES = {"female": "female", "male": "male"}
BLOOD_TYPES = {"dog": ("DEA 1 positive", "DEA 1 negative"), "cat": ("A", "B", "AB")}
TYPE_UNKNOWN = "type not known"
WEIGHTS_G = {"dog": (1_000, 120_000), "cat": (1_000, 15_000)}  # outside it, the scale or the hand has slipped
PCV_PERMILLE = (50, 750)


@dataclass(frozen=True, kw_only=True)
class DonorRegistered(Fact, kind="donor-registered"):
    donor: str
    name: str
    species: str
    sex: str
    born_on: date
    breed: str
    cautions: str


@dataclass(frozen=True, kw_only=True)
class BloodTyped(Fact, kind="blood-typed", builds_on=(DonorRegistered,)):
    blood_type: str
    method: str


@dataclass(frozen=True, kw_only=True)
class DonorExamined(Fact, kind="donor-examined", builds_on=(DonorRegistered,)):
    """Weight and PCV of the day, with what the examiner wants the next person to know."""

    weight_g: int
    pcv_permille: int
    cautions: str


@dataclass(frozen=True, kw_only=True)
class DonorGave(Fact, kind="donor-gave", builds_on=(DonorRegistered, DonorExamined)):
    """Written by the draw, so that the donor's own stream knows when it last gave."""

    donation: str


@dataclass(frozen=True, kw_only=True)
class Donor(State):
    stream: ClassVar[str] = "donor"
    registered: DonorRegistered | None = None
    typed: BloodTyped | None = None
    examined: DonorExamined | None = None
    examined_at: datetime | None = None
    last_drawn_at: datetime | None = None

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case DonorRegistered() as fact:
                return replace(self, registered=fact)
            case BloodTyped() as fact:
                return replace(self, typed=fact)
            case DonorExamined() as fact:
                return replace(self, examined=fact, examined_at=line.happened_at)
            case DonorGave():
                return replace(self, last_drawn_at=line.happened_at)
        return self

    @property
    def blood_type(self) -> str:
        return self.typed.blood_type if self.typed else TYPE_UNKNOWN


def stream_of(donor: str) -> str:
    return f"{Donor.stream}/{donor}"


def age_months(born_on: date, on: date) -> int:
    """Whole months lived on that day."""
    return (on.year - born_on.year) * 12 + on.month - born_on.month - (on.day < born_on.day)


def why_not_known(look: Look, donor: str) -> Iterator[str]:
    if look(Donor, donor).registered is None:
        yield f"No donor has the number {donor}: scan the donor's card again, or register the donor."


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
        if self.born_on > _day(at, limits(look)):
            yield f"{self.born_on:%d %b %Y} is still to come: give the day of birth."
        elif age_months(self.born_on, _day(at, limits(look))) > 30 * 12:
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
class TypeBlood(Command):
    donor: str
    blood_type: str
    method: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        donor = look(Donor, self.donor)
        if donor.registered and self.blood_type not in BLOOD_TYPES[donor.registered.species]:
            types = ", ".join(BLOOD_TYPES[donor.registered.species])
            yield f"{self.blood_type} is no blood type of a {donor.registered.species}: choose {types}."
        if donor.typed and donor.typed.blood_type != self.blood_type:
            yield (
                f"{donor.typed.blood_type} stands in the book. Two readings that differ are never both right: "
                "type again, then strike the wrong one."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.donor), BloodTyped(blood_type=self.blood_type, method=self.method.strip())


@dataclass(frozen=True, kw_only=True)
class ExamineDonor(Command):
    donor: str
    weight_g: int
    pcv_permille: int
    cautions: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        registered = look(Donor, self.donor).registered
        if registered is None:
            return
        least_g, most_g = WEIGHTS_G[registered.species]
        if not least_g <= self.weight_g <= most_g:
            yield (
                f"{self.weight_g / 1000:g} kg is no weight of a donor {registered.species} "
                f"({least_g / 1000:g} to {most_g / 1000:g} kg): weigh again."
            )
        if not PCV_PERMILLE[0] <= self.pcv_permille <= PCV_PERMILLE[1]:
            yield f"A PCV of {self.pcv_permille / 10:g} % is not read in a living animal (5 to 75 %): read it again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            stream_of(self.donor),
            DonorExamined(
                weight_g=self.weight_g, pcv_permille=self.pcv_permille, cautions=self.cautions.strip()
            ),
        )


def why_not_today(donor: Donor, at: datetime, site: Limits) -> Iterator[str]:
    """Every reason why this animal should not give today, by the site's limits."""
    registered, examined = donor.registered, donor.examined
    if registered is None:
        return
    species, name = registered.species, registered.name
    months = age_months(registered.born_on, _day(at, site))
    least_months, most_months = (
        site.whole(f"{species}_least_age_months"),
        site.whole(f"{species}_most_age_months"),
    )
    if months < least_months:
        yield f"{name} is {months} months old; this site draws from {least_months} months on."
    if months > most_months:
        yield f"{name} is {months} months old; this site draws up to {most_months} months."
    if donor.last_drawn_at is not None:
        gave_on, due_on = (
            _day(donor.last_drawn_at, site),
            may_give_again_on(species, donor.last_drawn_at, site),
        )
        if _day(at, site) < due_on:
            yield f"{name} gave on {gave_on:%d %b %Y} and may give again from {due_on:%d %b %Y}."
    if examined is None or donor.examined_at is None or _day(donor.examined_at, site) != _day(at, site):
        yield f"Weigh {name} and read the PCV first: both must be of today."
        return
    least_g, least_pcv = site.whole(f"{species}_least_weight_g"), site.whole(f"{species}_least_pcv_permille")
    if examined.weight_g < least_g:
        yield f"{name} weighs {examined.weight_g / 1000:g} kg; this site draws from {least_g / 1000:g} kg on."
    if examined.pcv_permille < least_pcv:
        yield f"PCV {examined.pcv_permille / 10:g} %; this site draws from {least_pcv / 10:g} % on."


def may_give_again_on(species: str, gave_at: datetime, site: Limits) -> date:
    return _day(gave_at, site) + timedelta(days=site.whole(f"{species}_draw_interval_days"))


def _day(moment: datetime, site: Limits) -> date:
    return moment.astimezone(site.zone).date()
