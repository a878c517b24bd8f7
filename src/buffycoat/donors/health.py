"""A donor's health between visits: vaccines, medicines, journeys, infectious tests, deferrals."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from buffycoat.donors.donor import Donor, stream_of, why_not_known
from buffycoat.donors.facts import (
    DeferralLifted,
    DonorDeferred,
    DonorTravelled,
    InfectionTested,
    MedicineGiven,
    PositiveCleared,
    VaccineGiven,
)
from buffycoat.donors.may_give import day_of
from buffycoat.donors.panel import METHODS, RESULTS
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.site.rules import limits


def _why_to_come(look: Look, at: datetime, day: date) -> Iterator[str]:
    if day > day_of(at, limits(look)):
        yield f"{day:%d %b %Y} is still to come: give the day on which it was."


@dataclass(frozen=True, kw_only=True)
class Vaccinate(Command):
    """A vaccine that the donor was given, here or elsewhere."""

    donor: str
    vaccine: str
    given_on: date
    valid_until: date

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        yield from _why_to_come(look, at, self.given_on)
        if not self.vaccine.strip():
            yield "Name the vaccine."
        if self.valid_until <= self.given_on:
            yield "A vaccination is valid for longer than its own day: check both days."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        vaccine, given_on = self.vaccine.strip(), self.given_on
        yield (
            stream_of(self.donor),
            VaccineGiven(vaccine=vaccine, given_on=given_on, valid_until=self.valid_until),
        )


@dataclass(frozen=True, kw_only=True)
class GiveMedicine(Command):
    """A medicine that the donor was given; without a day it never stands against a draw."""

    donor: str
    medicine: str
    given_on: date
    no_draw_before: date | None = None

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        yield from _why_to_come(look, at, self.given_on)
        if not self.medicine.strip():
            yield "Name the medicine."
        if self.no_draw_before and self.no_draw_before <= self.given_on:
            yield "The first day of a draw comes after the day of the medicine: check both days."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        medicine, given_on = self.medicine.strip(), self.given_on
        yield (
            stream_of(self.donor),
            MedicineGiven(medicine=medicine, given_on=given_on, no_draw_before=self.no_draw_before),
        )


@dataclass(frozen=True, kw_only=True)
class RecordJourney(Command):
    """Samples of the panel from before the return do not count any more."""

    donor: str
    region: str
    returned_on: date

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        yield from _why_to_come(look, at, self.returned_on)
        if not self.region.strip():
            yield "Say where it was."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        travelled = DonorTravelled(region=self.region.strip(), returned_on=self.returned_on)
        yield stream_of(self.donor), travelled


@dataclass(frozen=True, kw_only=True)
class RecordTest(Command):
    """The result of one infectious test. A positive one holds all that this donor gave and that is in date."""

    donor: str
    agent: str
    method: str
    result: str
    taken_on: date
    laboratory: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        yield from _why_to_come(look, at, self.taken_on)
        if not self.agent.strip():
            yield "Name the agent that was looked for."
        if self.method not in METHODS:
            yield f"Choose the method: {', '.join(METHODS)}."
        if self.result not in RESULTS:
            yield f"Choose the result: {', '.join(RESULTS)}."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            stream_of(self.donor),
            InfectionTested(
                agent=self.agent.strip(),
                method=self.method,
                result=self.result,
                taken_on=self.taken_on,
                laboratory=self.laboratory.strip(),
            ),
        )


@dataclass(frozen=True, kw_only=True)
class ClearPositive(Command):
    """The veterinarian named decides, after another test, that a positive result stands against nothing."""

    donor: str
    test: str
    decided_by: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        positive = look(Donor, self.donor).positive
        if self.test not in positive:
            named = ", ".join(positive) or "none"
            yield f"No positive result stands for “{self.test}”. Standing: {named}."
        if not self.decided_by.strip():
            yield "Name the veterinarian who decided it."
        if not self.reason.strip():
            yield "Say on what it was decided: which test was done again, where, with which result."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        stands = look(Donor, self.donor).positive[self.test]
        yield (
            stream_of(self.donor),
            PositiveCleared(
                agent=stands.agent,
                method=stands.method,
                decided_by=self.decided_by.strip(),
                reason=self.reason.strip(),
            ),
        )


@dataclass(frozen=True, kw_only=True)
class DeferDonor(Command):
    """Not to be drawn before a day, or until it is lifted."""

    donor: str
    reason: str
    no_draw_before: date | None = None

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        if not self.reason.strip():
            yield "Say why it is deferred."
        today = day_of(at, limits(look))
        if self.no_draw_before and self.no_draw_before <= today:
            yield f"{self.no_draw_before:%d %b %Y} is not to come: give the first day on which it may be drawn again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        reason, before = self.reason.strip(), self.no_draw_before
        yield (
            stream_of(self.donor),
            DonorDeferred(part=str(look.serial), reason=reason, no_draw_before=before),
        )


@dataclass(frozen=True, kw_only=True)
class LiftDeferral(Command):
    """`deferral` is the number of its entry."""

    donor: str
    deferral: str
    decided_by: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_known(look, self.donor)
        if self.deferral not in look(Donor, self.donor).deferrals:
            yield f"No deferral {self.deferral} stands for this donor: it was lifted, or is another's."
        if not self.decided_by.strip():
            yield "Name the veterinarian who decided it."
        if not self.reason.strip():
            yield "Say why it is lifted."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        said = {"decided_by": self.decided_by.strip(), "reason": self.reason.strip()}
        yield stream_of(self.donor), DeferralLifted(part=self.deferral, **said)
