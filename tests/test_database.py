"""The run says which database it tests; this is that it does."""

import os
import sqlite3

import pytest
from django.db import connection

from buffycoat.settings import database


@pytest.mark.django_db
def test_the_tests_run_on_the_database_that_the_run_names():
    assert os.environ.get("BUFFYCOAT_TEST_VENDOR", "sqlite") == connection.vendor


@pytest.mark.django_db
def test_the_database_under_test_is_a_real_one():
    assert "memory" not in str(connection.settings_dict["NAME"])


def test_sqlite_keeps_what_was_recorded_through_a_power_cut_and_minds_its_triggers(tmp_path):
    shipped = database("")["OPTIONS"]["init_command"]
    opened = sqlite3.connect(tmp_path / "book.sqlite3")
    opened.executescript(shipped)
    full = 2
    pragmas = ("synchronous", "journal_mode", "recursive_triggers")
    assert [full, "wal", 1] == [opened.execute(f"PRAGMA {name}").fetchone()[0] for name in pragmas]
    opened.close()
