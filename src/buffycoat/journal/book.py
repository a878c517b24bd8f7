"""Reading the book, and the one place that adds to it. Only `record` and `strike` may import `append`."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, groupby
from operator import itemgetter

import msgspec
from django.db import connection

from buffycoat.journal.chain import canonical, seal
from buffycoat.journal.facts import (
    EntryStruck,
    Fact,
    Line,
    Lines,
    StateT,
    fact_of,
    fields_of,
    strikes_among,
)
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.rows import at_once, insert, update

AT_ONCE = 2_000


class Sealed(msgspec.Struct):
    """A sealed line, read as far as the journal itself must know it."""

    number: int
    stream: str
    version: int
    kind: str
    schema: int
    happened_at: str
    recorded_at: str
    by: str
    command_id: str
    fields: msgspec.Raw


read = msgspec.json.Decoder(Sealed).decode


def lock_head() -> Head:
    """The head row, held until the transaction ends: one writer at a time, on both databases."""
    held = " FOR UPDATE" if connection.features.has_select_for_update else ""
    with at_once(), connection.cursor() as cursor:  # with what begins the transaction
        cursor.execute(f"SELECT id, number, hash FROM journal_head WHERE id = 1{held}")
        return Head(*cursor.fetchone())


def line_from(text: str) -> Line:
    said = read(text)
    return Line(
        number=said.number,
        stream=said.stream,
        version=said.version,
        fact=fact_of(said.kind, said.schema, said.fields),
        happened_at=_moment(said.happened_at),
        recorded_at=_moment(said.recorded_at),
        by=said.by,
        command_id=said.command_id,
    )


def line_of(entry: Entry) -> Line:
    return line_from(entry.line)


def entry_of(line: str, its_hash: str) -> Entry:
    """The row for a sealed line: its columns repeat what the line says, for the database to search by."""
    said = read(line)
    return Entry(
        said.number,
        said.stream,
        said.version,
        said.kind,
        _moment(said.happened_at),
        _moment(said.recorded_at),
        said.by,
        said.command_id,
        line,
        its_hash,
    )


def _moment(text: str) -> datetime:
    moment = datetime.fromisoformat(text)
    assert moment.tzinfo is not None, text
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
    lines = _lines_of(stream)
    strikes = strikes_among(lines)
    return [Told(line, strikes.get(line.number)) for line in lines if not isinstance(line.fact, EntryStruck)]


def standing(stream: str) -> Lines:
    """The lines of a stream that count."""
    return Lines().followed_by(_lines_of(stream))


def all_standing() -> Iterator[tuple[str, Lines]]:
    """Every stream with its lines that count, from one reading of the book. A transaction must be open."""
    with connection.chunked_cursor() as cursor:
        cursor.execute("SELECT stream, line FROM journal_entry ORDER BY stream, version")
        rows_at_once = iter(lambda: cursor.fetchmany(AT_ONCE), [])
        for stream, rows in groupby(chain.from_iterable(rows_at_once), key=itemgetter(0)):
            yield stream, Lines().followed_by([line_from(text) for _, text in rows])


def _lines_of(stream: str) -> list[Line]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT line FROM journal_entry WHERE stream = %s ORDER BY version", [stream])
        return [line_from(text) for (text,) in cursor.fetchall()]


def written_by(command_id: str) -> list[Line]:
    """What one command wrote."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT line FROM journal_entry WHERE command_id = %s ORDER BY number", [command_id])
        return [line_from(text) for (text,) in cursor.fetchall()]


def version_of(stream: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute("SELECT MAX(version) FROM journal_entry WHERE stream = %s", [stream])
        return cursor.fetchone()[0] or 0


class Book:
    """The book open for reading: `book(Donor, number)` folds that donor's standing entries."""

    @property
    def serial(self) -> int:
        return Head.objects.values_list("number", flat=True).get(id=1) + 1

    def __call__(self, state: type[StateT], number: str) -> StateT:
        return state.fold(number, self.standing(f"{state.stream}/{number}"))

    def standing(self, stream: str) -> Lines:
        return standing(stream)


class HeldBook(Book):
    """The book while its head is held: nobody else adds to it, so no stream is read twice."""

    def __init__(self, head: Head) -> None:
        self.head, self._streams = head, dict[str, Lines]()

    @property
    def serial(self) -> int:
        return self.head.number + 1

    def standing(self, stream: str) -> Lines:
        if stream not in self._streams:
            self._streams[stream] = standing(stream)
        return self._streams[stream]

    def add(self, entry: Entry) -> Line:
        line = line_of(entry)
        self.head.number, self.head.hash = entry.number, entry.hash
        self._streams[line.stream] = self.standing(line.stream).followed_by([line])
        return line


def append(
    facts: Iterable[tuple[str, Fact]],
    *,
    book: HeldBook,
    by: str,
    happened_at: datetime,
    recorded_at: datetime,
    command_id: str,
    command_digest: str,
) -> list[Line]:
    """Adds one sealed entry a fact, in order."""
    entries, added = [], []
    for stream, fact in facts:
        values = {
            "number": book.serial,
            "stream": stream,
            "version": book.standing(stream).version + 1,
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
        entries.append(entry_of(line, seal(book.head.hash, line)))
        added.append(book.add(entries[-1]))
    insert(entries)
    update(book.head)
    return added
