"""What no seal covers is looked at too: the file, its tables, and the guards on the book."""

import sqlite3
from contextlib import closing

import pytest
from django.db import connection

from buffycoat.keeping.whole_file import DAMAGED, guard_trouble, table_trouble, troubles
from tests.harness.server import Bank
from tests.simulation.edits import guards

ON_BOOK = "" if connection.vendor == "sqlite" else " ON journal_entry"


def tell(statement: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement)


def test_nothing_is_wrong_with_what_was_just_made(db):
    assert [] == list(troubles())
    assert len(guards()) == (3 if connection.vendor == "sqlite" else 2)


def test_each_guard_that_is_gone_is_named(db):
    for name, made in guards().items():
        tell(f"DROP TRIGGER {name}{ON_BOOK}")
        assert f"The guard {name} on the book is missing, or not as it was made" in guard_trouble()
        tell(made)
        assert guard_trouble() is None


def test_a_guard_that_lets_everything_pass_is_named(db):
    name, made = sorted(guards().items())[0]
    if connection.vendor == "sqlite":
        tell(f"DROP TRIGGER {name}")
        tell(made.replace("<>", "<"))
    else:
        tell(f"ALTER TABLE journal_entry DISABLE TRIGGER {name}")
    assert f"The guard {name} on the book is missing" in guard_trouble()


def test_a_table_without_one_of_its_columns_is_named(db):
    tell("ALTER TABLE storage_placerow RENAME COLUMN name TO nome")
    assert "The table storage_placerow has no column name: it was changed" in table_trouble()


def test_a_table_that_is_not_there_is_named(db):
    tell("ALTER TABLE storage_placerow RENAME TO elsewhere")
    assert "There is no table storage_placerow: it was changed, or is of another release." in table_trouble()


@pytest.mark.one_database
def test_an_index_that_does_not_fit_its_rows_is_found_by_verify(worked_bank: Bank):
    """The seals fit, for they are read from the rows."""
    path = worked_bank.data / "buffycoat.sqlite3"
    assert "is whole" in worked_bank.cli("verify")
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        (page,) = file.execute(
            "SELECT rootpage FROM sqlite_master WHERE name LIKE 'journal_entry_command_id%' AND rootpage"
        ).fetchone()
        (size,) = file.execute("PRAGMA page_size").fetchone()
    whole = path.read_bytes()
    start = page * size - 40  # the end of a page is where its first key lies
    path.write_bytes(whole[:start] + bytes([whole[start] ^ 1]) + whole[start + 1 :])
    said = worked_bank.cli("verify", expect=1)
    assert "is whole" in said
    assert DAMAGED in said


@pytest.mark.one_database
def test_a_file_that_is_no_database_is_said_in_plain_words(worked_bank: Bank):
    (worked_bank.data / "buffycoat.sqlite3").write_bytes(b"x" * 8192)
    assert f"{DAMAGED}: file is not a database." in worked_bank.cli("verify", expect=1)
