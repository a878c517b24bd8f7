"""A donor as its lines say: what must be known of it to decide anything."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import ClassVar, Self

from buffycoat.donors.blood_types import ON_THE_LABEL, TYPE_UNKNOWN, Reading, Resolved, resolved, system_of
from buffycoat.donors.facts import (
    BloodTyped,
    ChecksWaived,
    ChipRead,
    ConsentGiven,
    ConsentWithdrawn,
    DeferralLifted,
    DonorBroughtIn,
    DonorDeferred,
    DonorExamined,
    DonorGave,
    DonorGaveBefore,
    DonorReacted,
    DonorRegistered,
    DonorRetired,
    DonorSedated,
    DonorTravelled,
    InfectionTested,
    MedicineGiven,
    OwnerCalled,
    PositiveCleared,
    QuestionnaireAnswered,
    VaccineGiven,
)
from buffycoat.donors.panel import POSITIVE
from buffycoat.journal.facts import Line, Look, State, replace


@dataclass(frozen=True, kw_only=True)
class Gave:
    donation: str
    at: datetime


@dataclass(frozen=True, kw_only=True)
class Donor(State):
    stream: ClassVar[str] = "donor"
    registered: DonorRegistered | None = None
    chip: ChipRead | None = None
    readings: dict[str, tuple[Reading, ...]] = field(default_factory=dict)
    examined: DonorExamined | None = None
    examined_at: datetime | None = None
    gave: tuple[Gave, ...] = ()
    brought_in: DonorBroughtIn | None = None
    gave_before: tuple[Gave, ...] = ()  # from lists, under the numbers that they had there
    consent: ConsentGiven | None = None
    consent_withdrawn: str = ""
    answered: QuestionnaireAnswered | None = None
    answered_at: datetime | None = None
    vaccines: dict[str, VaccineGiven] = field(default_factory=dict)
    medicines: tuple[MedicineGiven, ...] = ()
    returned_on: date | None = None
    tests: tuple[InfectionTested, ...] = ()
    positive: dict[str, InfectionTested] = field(default_factory=dict)
    deferrals: dict[str, DonorDeferred] = field(default_factory=dict)
    waived: ChecksWaived | None = None
    waived_at: datetime | None = None
    sedated: DonorSedated | None = None
    reactions: dict[str, DonorReacted] = field(default_factory=dict)
    called: dict[str, OwnerCalled] = field(default_factory=dict)
    retired: DonorRetired | None = None

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case DonorRegistered() as fact:
                return replace(self, registered=fact)
            case ChipRead() as fact:
                return replace(self, chip=fact)
            case BloodTyped() as fact:
                return self._read(fact, line)
            case DonorExamined() as fact:
                return replace(self, examined=fact, examined_at=line.happened_at)
            case DonorGave(donation=donation):
                return replace(self, gave=(*self.gave, Gave(donation=donation, at=line.happened_at)))
            case ConsentGiven() as fact:
                return replace(self, consent=fact, consent_withdrawn="")
            case ConsentWithdrawn() as fact:
                return replace(self, consent=None, consent_withdrawn=fact.reason)
            case QuestionnaireAnswered() as fact:
                return replace(self, answered=fact, answered_at=line.happened_at)
            case ChecksWaived() as fact:
                return replace(self, waived=fact, waived_at=line.happened_at)
        return self._of_its_health(line)

    def _of_its_health(self, line: Line) -> Self:
        match line.fact:
            case VaccineGiven() as fact:
                return replace(self, vaccines={**self.vaccines, fact.vaccine.casefold(): fact})
            case MedicineGiven() as fact:
                return replace(self, medicines=(*self.medicines, fact))
            case DonorTravelled() as fact:
                return replace(self, returned_on=max(self.returned_on or fact.returned_on, fact.returned_on))
            case InfectionTested() as fact:
                held = {fact.part: fact} if fact.result == POSITIVE else {}
                return replace(self, tests=(*self.tests, fact), positive={**self.positive, **held})
            case PositiveCleared(part=part):
                return replace(
                    self, positive={key: each for key, each in self.positive.items() if key != part}
                )
            case DonorDeferred() as fact:
                return replace(self, deferrals={**self.deferrals, fact.part: fact})
            case DeferralLifted(part=part):
                left = {key: each for key, each in self.deferrals.items() if key != part}
                return replace(self, deferrals=left)
        return self._of_its_draws(line)

    def _of_its_draws(self, line: Line) -> Self:
        match line.fact:
            case DonorSedated() as fact:
                return replace(self, sedated=fact)
            case DonorReacted() as fact:
                return replace(self, reactions={**self.reactions, fact.donation: fact})
            case OwnerCalled() as fact:
                return replace(self, called={**self.called, fact.donation: fact})
            case DonorRetired() as fact:
                return replace(self, retired=fact)
            case DonorBroughtIn() as fact:
                return replace(self, brought_in=fact)
            case DonorGaveBefore(old_number=number):
                before = Gave(donation=number, at=line.happened_at)
                return replace(self, gave_before=(*self.gave_before, before))
        return self

    def _read(self, fact: BloodTyped, line: Line) -> Self:
        reading = Reading(blood_type=fact.blood_type, method=fact.method, by=line.by, at=line.happened_at)
        system = system_of(self.registered.species, fact.blood_type) if self.registered else ""
        return replace(self, readings={**self.readings, system: (*self.readings.get(system, ()), reading)})

    def type_in(self, system: str) -> Resolved:
        return resolved(self.readings.get(system, ()))

    @property
    def typed(self) -> Resolved | None:
        """The type on the label, if something was read and the readings do not contradict each other."""
        found = self.type_in(ON_THE_LABEL[self.registered.species]) if self.registered else resolved(())
        return found if found.blood_type else None

    @property
    def blood_type(self) -> str:
        return self.typed.blood_type if self.typed else TYPE_UNKNOWN

    @property
    def all_gave(self) -> tuple[Gave, ...]:
        """Here and, by the lists brought in, before."""
        return (*self.gave_before, *self.gave)

    @property
    def last_drawn_at(self) -> datetime | None:
        return max((each.at for each in self.all_gave), default=None)

    @property
    def held(self) -> str:
        """Why everything of this donor that is in date waits; empty if nothing stands against it."""
        return "; ".join(
            f"its donor was positive for {fact.part}, sample of {fact.taken_on:%d %b %Y}"
            for fact in self.positive.values()
        )


def stream_of(donor: str) -> str:
    return f"{Donor.stream}/{donor}"


def why_not_known(look: Look, donor: str) -> Iterator[str]:
    if look(Donor, donor).registered is None:
        yield f"No donor has the number {donor}: scan the donor's card again, or register the donor."


def why_held(look: Look, donor: str) -> str:
    """Asked by whoever gives units out or shows them: why the products of this donor wait."""
    return look(Donor, donor).held
