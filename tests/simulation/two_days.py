"""A bank with two days of work in it, its file as bytes, and everything that can be read from it."""

import contextlib
import random
import sqlite3
import uuid
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unittest.mock import patch

from tests.simulation.own_bank import one_file


@dataclass
class Bank:
    """The bank as it was before any edit: its file, two old ones, its entries, its rows, its kept heads."""

    path: Path
    file: bytes
    old_file: bytes
    old_went_on: bytes
    old_number: int
    book: list[Any]
    heads: Path
    guards: dict[str, str]
    rows: dict[str, list[Any]] = field(default_factory=dict)
    used: list[int] = field(default_factory=list)


def work_of_two_days(data: Path, *, on_sqlite: bool) -> Bank:
    """The same with every run, but for the times at which it was recorded."""
    chance = random.Random(1)
    with patch("uuid.uuid4", lambda: uuid.UUID(int=chance.getrandbits(128))):
        return _work(data, on_sqlite)


def _work(data: Path, on_sqlite: bool) -> Bank:
    """Dogs and cats drawn, separated, put away; a strike, a person who may sign in, an owner's contact."""
    from django.contrib.auth import get_user_model

    from buffycoat.journal.models import Entry
    from buffycoat.journal.strike import strike
    from buffycoat.people.models import OwnerContact
    from tests.simulation.edits import guards, kept_heads
    from tests.walk import Walk

    get_user_model().objects.create_user("sam", password="invented-for-this-run")
    walk = Walk()
    walk.on_the_shelf("dog")
    old_number = Entry.objects.count()
    old_file = one_file(data) if on_sqlite else b""
    walk.by = "kim"
    walk.on_the_shelf("cat")
    walk.wait(days=1)
    strike(Entry.objects.filter(kind="unit-put-away").last().number, reason="The wrong door", by="kim")
    walk.kept_whole("dog")
    walk.drawn("cat")
    for donor in Entry.objects.filter(kind="donor-registered"):
        OwnerContact.objects.create(donor=donor.stream[6:], name="Zoë O'Hara", phone="0")
    book, heads = list(Entry.objects.order_by("number")), data / "heads.txt"
    heads.write_text("".join(kept_heads(book)))
    made = Bank(
        path=data / "buffycoat.sqlite3",
        file=one_file(data) if on_sqlite else b"",
        old_file=old_file,
        old_went_on=b"",
        old_number=old_number,
        book=book,
        heads=heads,
        guards=guards(),
    )
    if on_sqlite:
        made.rows = all_rows(made.path)
        made.used = [place for place, byte in enumerate(made.file) if byte]
        put_back(made, old_file)
        again = Walk(by="alex", at=walk.at)
        while Entry.objects.count() <= len(book):
            again.drawn("dog")
        made.old_went_on = one_file(data)
    return made


def put_back(bank: Bank, file: bytes) -> None:
    """A new file of these bytes: what a connection that failed still holds is the file before it."""
    from django.db import connection

    connection.close()
    for beside in ("", "-wal", "-shm", "-journal"):
        bank.path.with_name(bank.path.name + beside).unlink(missing_ok=True)
    bank.path.write_bytes(file)


def all_rows(path: Path) -> dict[str, list[Any]]:
    """Every row of every table and the words of the schema, read without an index; and what SQLite says of itself."""
    with contextlib.closing(sqlite3.connect(path)) as file:
        file.text_factory = bytes
        schema = file.execute("SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY rowid").fetchall()
        tables = [name.decode() for kind, name, *_ in schema if kind == b"table"]
        rows = {"schema": schema, "integrity": file.execute("PRAGMA integrity_check(1)").fetchall()}
        for table in tables:
            rows[table] = file.execute(f'SELECT * FROM "{table}" NOT INDEXED ORDER BY rowid').fetchall()
    return rows
