"""Edits past the triggers, as somebody with the database in hand could make them, and what must be said of each.

An edit changes the bank that Django is connected to and says which entry is the first that is not what it was.
"""

import json
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import connection

from buffycoat.journal.book import entry_of
from buffycoat.journal.chain import canonical, seal
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.registers import tables

VERIFY, AGAINST, REBUILD = "verify", "verify --against", "rebuild --check"
WORDS = ("stream", "kind", "by", "command_id")
MOMENTS = ("happened_at", "recorded_at")
AWAY = 10**6  # added to numbers and versions that must be out of the way


@dataclass(frozen=True)
class Edit:
    """`first`: the first entry that is not what it was (None: none of the book). `by`: the check that must find it.

    `guard`: a trigger that stays away; the others are put back, so that they cannot give the edit away.
    """

    first: int | None
    by: str = VERIFY
    guard: str = ""


Book = list[Entry]
Editor = Callable[[random.Random, Book], Edit]
EDITORS: dict[str, Editor] = {}


def editor(name: str) -> Callable[[Editor], Editor]:
    def keep(function: Editor) -> Editor:
        EDITORS[name] = function
        return function

    return keep


def change(where: int, /, **values: Any) -> None:
    assert 1 == Entry.objects.filter(number=where).update(**values), (where, values)


def other_letter(rng: random.Random, text: str) -> str:
    """The text with one character of it changed into another that could stand there."""
    place = rng.randrange(len(text))
    letters = "0123456789" if text[place].isdigit() else "abcdefghijklmnopqrstuvwxyz"
    other = rng.choice(letters.replace(text[place], ""))
    return text[:place] + other + text[place + 1 :]


def later(rng: random.Random, moment: datetime) -> datetime:
    """Another moment: a microsecond to a year away."""
    return moment + rng.choice((-1, 1)) * timedelta(microseconds=10 ** rng.uniform(0, 13.5))


@editor("a word changed")
def a_word(rng: random.Random, book: Book) -> Edit:
    entry, column = rng.choice(book), rng.choice(WORDS)
    change(entry.number, **{column: other_letter(rng, getattr(entry, column))})
    return Edit(entry.number)


@editor("a time changed")
def a_time(rng: random.Random, book: Book) -> Edit:
    entry, column = rng.choice(book), rng.choice(MOMENTS)
    change(entry.number, **{column: later(rng, getattr(entry, column))})
    return Edit(entry.number)


@editor("a number or version changed")
def a_number(rng: random.Random, book: Book) -> Edit:
    entry, column = rng.choice(book), rng.choice(("number", "version"))
    change(entry.number, **{column: getattr(entry, column) + AWAY + rng.randrange(1000)})
    return Edit(entry.number)


@editor("a line changed")
def a_line(rng: random.Random, book: Book) -> Edit:
    entry = rng.choice(book)
    change(entry.number, line=other_letter(rng, entry.line))
    return Edit(entry.number)


@editor("a seal changed")
def a_seal(rng: random.Random, book: Book) -> Edit:
    entry = rng.choice(book)
    change(entry.number, hash=other_letter(rng, entry.hash))
    return Edit(entry.number)


@editor("a line and its columns changed")
def a_line_and_columns(rng: random.Random, book: Book) -> Edit:
    entry = rng.choice(book)
    by = other_letter(rng, entry.by)
    change(entry.number, by=by, line=_with(entry, by=by))
    return Edit(entry.number)


@editor("a line sealed anew, the rest not")
def a_line_sealed(rng: random.Random, book: Book) -> Edit:
    """It fits its own seal now: what shows is the next entry, and for the last one the head."""
    entry = rng.choice(book)
    by = other_letter(rng, entry.by)
    line = _with(entry, by=by)
    change(entry.number, by=by, line=line, hash=seal(_before(book, entry.number), line))
    return Edit(min(entry.number + 1, len(book)))


@editor("a row deleted")
def deleted(rng: random.Random, book: Book) -> Edit:
    first = rng.randint(1, len(book))
    last = min(len(book), first + rng.choice((0, 0, 0, 1, 5)))
    Entry.objects.filter(number__range=(first, last)).delete()
    return Edit(first)


@editor("a row deleted, the rest moved up")
def moved_up(rng: random.Random, book: Book) -> Edit:
    number = rng.randint(1, len(book) - 1)
    Entry.objects.filter(number=number).delete()
    _shift(number, -1)
    return Edit(number)


@editor("a row put in")
def put_in(rng: random.Random, book: Book) -> Edit:
    number = rng.randint(1, len(book))
    _shift(number - 1, +1)
    _copy_of(rng.choice(book), number, f"{rng.getrandbits(256):064x}")
    return Edit(number)


@editor("a row put on at the end")
def put_on(rng: random.Random, book: Book) -> Edit:
    """Well sealed, but the head does not know it."""
    last = book[-1]
    forged = _copy_of(rng.choice(book), last.number + 1, "")
    change(forged.number, hash=seal(last.hash, forged.line))
    return Edit(forged.number)


@editor("two rows swapped")
def swapped(rng: random.Random, book: Book) -> Edit:
    one, two = rng.sample(book, 2)
    change(one.number, number=AWAY)
    change(two.number, number=one.number)
    change(AWAY, number=two.number)
    return Edit(min(one.number, two.number))


@editor("two lines swapped")
def lines_swapped(rng: random.Random, book: Book) -> Edit:
    one, two = rng.sample(book, 2)
    change(one.number, line=two.line)
    change(two.number, line=one.line)
    return Edit(min(one.number, two.number))


@editor("tail cut")
def tail_cut(rng: random.Random, book: Book) -> Edit:
    left = len(book) - rng.randint(1, len(book))
    Entry.objects.filter(number__gt=left).delete()
    return Edit(left + 1)


@editor("tail cut, head made to fit")
def tail_cut_with_head(rng: random.Random, book: Book) -> Edit:
    left = rng.randint(1, len(book) - 1)
    Entry.objects.filter(number__gt=left).delete()
    _head(left, book[left - 1].hash)
    return Edit(left + 1, AGAINST)


@editor("a line changed, all after it sealed anew, head made to fit")
def sealed_anew(rng: random.Random, book: Book) -> Edit:
    entry = rng.choice(book)
    by = other_letter(rng, entry.by)
    change(entry.number, by=by, line=_with(entry, by=by))
    _seal_from(book, entry.number)
    return Edit(entry.number, AGAINST)


@editor("a row deleted, all after it sealed anew, head made to fit")
def taken_out(rng: random.Random, book: Book) -> Edit:
    number = rng.randint(1, len(book) - 1)
    Entry.objects.filter(number=number).delete()
    _shift(number, -1, write=True)
    _seal_from(book, number)
    return Edit(number, AGAINST)


@editor("a row put in, all after it sealed anew, head made to fit")
def worked_in(rng: random.Random, book: Book) -> Edit:
    number = rng.randint(1, len(book))
    _shift(number - 1, +1, write=True)
    _copy_of(rng.choice(book), number, f"{rng.getrandbits(256):064x}")
    _seal_from(book, number)
    return Edit(number, AGAINST)


@editor("nonsense well sealed")
def nonsense(rng: random.Random, book: Book) -> Edit:
    """Where the line should stand, something that is no entry; with its seal and the head made to fit."""
    last = book[-1]
    line = rng.choice(("", "null", "[]", "{}", '{"number":1', last.line.replace('"by"', '"bx"')))
    its_seal = seal(_before(book, last.number), line)
    change(last.number, line=line, hash=its_seal)
    _head(last.number, its_seal)
    return Edit(last.number)


@editor("the head changed")
def head_changed(rng: random.Random, book: Book) -> Edit:
    if rng.random() < 0.5:
        _head(rng.choice((0, len(book) - 1, len(book) + 1)), book[-1].hash)
    else:
        _head(len(book), other_letter(rng, book[-1].hash))
    return Edit(None)


@editor("the head deleted")
def head_deleted(rng: random.Random, book: Book) -> Edit:
    Head.objects.all().delete()
    return Edit(None)


@editor("a register changed")
def register_changed(rng: random.Random, book: Book) -> Edit:
    fields: list[Any] = []
    while not fields:  # some tables have nothing but their key
        row = _a_register_row(rng)
        plain = [each for each in row._meta.concrete_fields if not each.primary_key and not each.is_relation]
        fields = [each for each in plain if getattr(row, each.attname) not in (None, "")]
    field = rng.choice(fields)
    type(row)._base_manager.filter(pk=row.pk).update(
        **{field.attname: _another(rng, getattr(row, field.attname))}
    )
    return Edit(None, REBUILD)


@editor("a register row deleted")
def register_deleted(rng: random.Random, book: Book) -> Edit:
    row = _a_register_row(rng)
    with connection.cursor() as cursor:
        cursor.execute(f'DELETE FROM "{row._meta.db_table}" WHERE "{row._meta.pk.column}" = %s', [row.pk])
    return Edit(None, REBUILD)


@editor("a guard taken away")
def unguarded(rng: random.Random, book: Book) -> Edit:
    if connection.vendor == "sqlite":
        return Edit(None, guard=rng.choice(GUARDS))
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {rng.choice(sorted(guards()))} ON journal_entry")
    return Edit(None)


GUARDS = ("entry_is_never_updated", "entry_is_never_deleted", "entry_has_the_next_number")


def guards() -> dict[str, str]:
    """The triggers on the book, with the words that make them."""
    sqlite = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
    postgresql = (
        "SELECT tgname, pg_get_triggerdef(oid) FROM pg_trigger "
        "WHERE tgrelid = 'journal_entry'::regclass AND NOT tgisinternal"
    )
    with connection.cursor() as cursor:
        cursor.execute(sqlite if connection.vendor == "sqlite" else postgresql)
        return dict(cursor.fetchall())


def _with(entry: Entry, **values: Any) -> str:
    return canonical(json.loads(entry.line) | values)


def _before(book: Book, number: int) -> str:
    return book[number - 2].hash if number > 1 else "0" * 64


def _head(number: int, its_hash: str) -> None:
    Head.objects.update(number=number, hash=its_hash)


def _shift(after: int, by: int, *, write: bool = False) -> None:
    """Numbers of all later rows moved; with `write` their lines say so too."""
    rows = Entry.objects.filter(number__gt=after).order_by("number" if by < 0 else "-number")
    for row in list(rows):
        lines = {"line": _with(row, number=row.number + by)} if write else {}
        change(row.number, number=row.number + by, **lines)


def _copy_of(entry: Entry, number: int, its_hash: str) -> Entry:
    line = _with(entry, number=number, version=entry.version + AWAY)
    forged = entry_of(line, its_hash)
    forged.save(force_insert=True)
    return forged


def _seal_from(book: Book, number: int) -> None:
    previous = _before(book, number)
    for row in list(Entry.objects.filter(number__gte=number).order_by("number")):
        previous = seal(previous, row.line)
        change(row.number, hash=previous)
    _head(Entry.objects.count(), previous)


def _a_register_row(rng: random.Random) -> Any:
    filled = [model for model in tables() if model._base_manager.exists()]
    return rng.choice(list(rng.choice(filled)._base_manager.order_by("pk")))


def _another(rng: random.Random, value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, str):
        return other_letter(rng, value)
    return value + timedelta(days=1) if not isinstance(value, int | float) else value + 1


def kept_heads(book: Book) -> Iterator[str]:
    """The heads of four evenings, as `buffycoat head --to` keeps them."""
    for part in (1, 2, 3, 4):
        entry = book[len(book) * part // 4 - 1]
        yield f"2025-03-1{part}T18:00:00+00:00 {entry.number} {entry.hash}\n"
