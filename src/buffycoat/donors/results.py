"""Infectious results of several donors from one laboratory, judged row by row and recorded together."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from buffycoat.donors.donor import Donor
from buffycoat.donors.facts import InfectionTested
from buffycoat.donors.health import RecordTest
from buffycoat.donors.panel import POSITIVE, names_of, panel
from buffycoat.journal.facts import Command, Fact, Look

STANDS_ALREADY = "It stands in the book already."


@dataclass(frozen=True, kw_only=True)
class LabResult:
    donor: str
    agent: str
    method: str
    result: str
    taken_on: date
    laboratory: str = ""

    @property
    def of(self) -> tuple[str, str, str, date]:
        return (self.donor, self.agent, self.method, self.taken_on)

    def as_one(self) -> RecordTest:
        return RecordTest(
            donor=self.donor,
            agent=self.agent,
            method=self.method,
            result=self.result,
            taken_on=self.taken_on,
            laboratory=self.laboratory,
        )


@dataclass(frozen=True, kw_only=True)
class RecordResults(Command):
    """What a laboratory found in several donors: all of it is recorded, or nothing."""

    results: tuple[LabResult, ...]

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.results:
            yield "No result is left to be recorded."
        for number, (each, reasons) in enumerate(
            zip(self.results, why_not_each(self.results, look, at), strict=True), 1
        ):
            for reason in reasons:
                yield f"Result {number}, {each.agent} by {each.method}: {reason}"

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        for each in self.results:
            yield from each.as_one().facts(look, at)


def why_not_each(results: Sequence[LabResult], look: Look, at: datetime) -> list[list[str]]:
    """The reasons against each, by itself and beside the others. A positive one is left out for no other's sake."""
    found: list[list[str]] = []
    positive = {each.of for each in results if each.result == POSITIVE}
    for number, each in enumerate(results):
        reasons = list(each.as_one().why_not(look, at))
        donor = look(Donor, each.donor)
        if donor.registered and not reasons:
            reasons += _why_not_beside(
                each, donor, each.of in positive, panel_names(look, donor.registered.species)
            )
        if any((each.of, each.result) == (other.of, other.result) for other in results[:number]):
            reasons.append("It stands in this list twice.")
        found.append(reasons)
    return found


def panel_names(look: Look, species: str) -> list[str]:
    return names_of(panel(look), species)


def _why_not_beside(each: LabResult, donor: Donor, positive: bool, names: Sequence[str]) -> Iterator[str]:
    assert donor.registered
    if each.agent not in names:
        yield f"“{each.agent}” is not looked for in a {donor.registered.species} here: add it to the panel first."
    if each.taken_on < donor.registered.born_on:
        yield f"{donor.registered.name} was not born then ({donor.registered.born_on:%d %b %Y}): is it another animal?"
    same = [test for test in donor.tests if _of(each.donor, test) == each.of]
    if any(test.result == each.result for test in same):
        yield STANDS_ALREADY
    elif each.result != POSITIVE and (positive or any(test.result == POSITIVE for test in same)):
        yield "The same sample is positive as well: ask the laboratory which of them holds."


def _of(donor: str, test: InfectionTested) -> tuple[str, str, str, date]:
    return (donor, test.agent, test.method, test.taken_on)
