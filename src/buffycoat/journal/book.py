"""Reading the book, and the one place that adds to it. Only `record` and `strike` may import `append`."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils.dateparse import parse_datetime

from buffycoat.journal.chain import canonical, seal
from buffycoat.journal.facts import EntryStruck, Fact, Line, StateT, fact_from, fields_of
from buffycoat.journal.models import Entry, Head

COLUMNS = ("number", "stream", "version", "kind", "by", "command_id")
MOMENTS = ("happened_at", "recorded_at")


def lock_head() -> Head:
    """The head row, held until the transaction ends: one writer at a time, on both databases."""
    return Head.objects.select_for_update().get(id=1)


def line_of(entry: Entry) -> Line:
    values = json.loads(entry.line)
    return Line(
        number=values["number"],
        stream=values["stream"],
        version=values["version"],
        fact=fact_from(values["kind"], values["schema"], values["fields"]),
        happened_at=_moment(values["happened_at"]),
        recorded_at=_moment(values["recorded_at"]),
        by=values["by"],
        command_id=values["command_id"],
    )


def entry_of(line: str, its_hash: str) -> Entry:
    """The row for a sealed line: its columns repeat what the line says, for the database to search by."""
    values = json.loads(line)
    beside = {column: values[column] for column in COLUMNS} | {
        each: _moment(values[each]) for each in MOMENTS
    }
    return Entry(**beside, line=line, hash=its_hash)


def _moment(text: str) -> datetime:
    moment = parse_datetime(text)
    assert moment is not None and moment.tzinfo is not None, text
    return moment


@dataclass(frozen=True)
class Told:
    """A line as a page tells it: with the strike that took it out, if one did."""

    line: Line
    struck: Line | None

    @property
    def struck_reason(self) -> str:
        return self.struck.fact.reason if self.struck and isinstance(self.struck.fact, EntryStruck) else ""


def story(stream: str) -> list[Told]:
    """Every line of a stream in order, struck ones marked, the strikes themselves left out."""
    lines = [line_of(entry) for entry in Entry.objects.filter(stream=stream).order_by("version")]
    strikes = {line.fact.struck_number: line for line in lines if isinstance(line.fact, EntryStruck)}
    return [Told(line, strikes.get(line.number)) for line in lines if not isinstance(line.fact, EntryStruck)]


def standing(stream: str) -> list[Line]:
    """The lines of a stream that count."""
    return [told.line for told in story(stream) if told.struck is None]


def version_of(stream: str) -> int:
    last = Entry.objects.filter(stream=stream).order_by("-version").values_list("version", flat=True).first()
    return last or 0


class Book:
    """The book open for reading: `book(Donor, number)` folds that donor's standing entries."""

    @property
    def serial(self) -> int:
        return Head.objects.values_list("number", flat=True).get(id=1) + 1

    def __call__(self, state: type[StateT], number: str) -> StateT:
        return state.fold(number, standing(f"{state.stream}/{number}"))


def append(
    facts: Iterable[tuple[str, Fact]],
    *,
    head: Head,
    by: str,
    happened_at: datetime,
    recorded_at: datetime,
    command_id: str,
    command_digest: str,
) -> list[Line]:
    """Adds one sealed entry a fact, in order. The head must be locked."""
    added = []
    for stream, fact in facts:
        values = {
            "number": head.number + 1,
            "stream": stream,
            "version": version_of(stream) + 1,
            "kind": fact.kind,
            "schema": fact.schema,
            "happened_at": happened_at.isoformat(),
            "recorded_at": recorded_at.isoformat(),
            "by": by,
            "command_id": command_id,
            "command_digest": command_digest,
            "fields": fields_of(fact),
        }
        line = canonical(values)
        entry = entry_of(line, seal(head.hash, line))
        entry.save(force_insert=True)
        head.number, head.hash = entry.number, entry.hash
        added.append(line_of(entry))
    head.save(update_fields=["number", "hash"])
    return added
