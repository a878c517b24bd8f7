"""The demo, told once for each end that a test asks for, read out, and taken back again."""

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import TypeVar

from django.db import transaction

from buffycoat.demo.story import tell_story
from buffycoat.donors.models import DonorRow
from buffycoat.journal.book import Book, line_of, standing
from buffycoat.journal.facts import Fact, Line
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.journal.verify import Verdict, verify
from buffycoat.labels.models import UnitRow
from buffycoat.people.models import OwnerContact
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.stock import StockedUnit, stock
from buffycoat.trace.jobs import Job, jobs

UNTIL = datetime(2025, 6, 12, 14, 20, tzinfo=UTC)  # a Thursday

FactT = TypeVar("FactT", bound=Fact)


@dataclass(frozen=True, kw_only=True)
class Told:
    until: datetime
    site: Limits
    verdict: Verdict
    streams_rebuilt: int
    lines: tuple[Line, ...]
    standing: tuple[Line, ...]
    donors: tuple[DonorRow, ...]
    contacts: tuple[OwnerContact, ...]
    units: tuple[UnitRow, ...]
    shelves: tuple[StockedUnit, ...]
    jobs: tuple[Job, ...]

    def facts(self, kind: type[FactT]) -> list[FactT]:
        """The standing facts of a kind."""
        return [line.fact for line in self.standing if isinstance(line.fact, kind)]

    def of(self, stream: str) -> list[Fact]:
        return [line.fact for line in self.standing if line.stream == stream]

    def donor(self, name: str) -> DonorRow:
        return next(row for row in self.donors if row.name == name)

    @property
    def steps(self) -> Counter[str]:
        return Counter(job.step.words for job in self.jobs)


def tell(until: datetime) -> Told:
    with transaction.atomic():
        tell_story(until=until)
        told = _read(until)
        transaction.set_rollback(True)
    return told


told = cache(tell)


def _read(until: datetime) -> Told:
    site = limits(Book())
    entries = tuple(Entry.objects.order_by("number"))
    streams = dict.fromkeys(entry.stream for entry in entries)
    return Told(
        until=until,
        site=site,
        verdict=verify(),
        streams_rebuilt=rebuild(check=True),
        lines=tuple(line_of(entry) for entry in entries),
        standing=tuple(line for stream in streams for line in standing(stream)),
        donors=tuple(DonorRow.objects.all()),
        contacts=tuple(OwnerContact.objects.all()),
        units=tuple(UnitRow.objects.select_related("shelf")),
        shelves=tuple(stock(until, site)),
        jobs=tuple(jobs()),
    )
