"""A bank with a dog's and a cat's donation on the shelf, made once and copied for each test."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from tests.harness.postgres import named
from tests.harness.server import ROOT, Bank, Stable

ENTRIES = 55  # that the work below writes
WORK = """
import django; django.setup()
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.people.models import OwnerContact
from django.contrib.auth import get_user_model
from tests.walk import Walk
walk = Walk()
walk.on_the_shelf("dog")
walk.put = walk.on_the_shelf("cat")
strike(Entry.objects.filter(kind="unit-put-away").last().number, reason="The wrong door \\u2028 \\U0001f43e", by="kim")
for donor in Entry.objects.filter(kind="donor-registered"):
    OwnerContact.objects.create(donor=donor.stream[6:], name="Zoë \\u2028 O'Hara", phone="0", email="zoe@example.org")
get_user_model().objects.update(date_joined="2025-03-10T09:00:00.000007Z")
"""


def in_bank(bank: Bank, script: str) -> str:
    """Runs a script on the bank, as a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", script],
        env=bank.environment,
        cwd=ROOT,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        timeout=120,
    )
    assert 0 == done.returncode, done.stdout
    return done.stdout.strip()


@pytest.fixture(scope="session")
def worked_template(stable: Stable, empty_template: Bank) -> Bank:
    made = stable.copy(empty_template, "worked")
    in_bank(made, WORK)
    return made


@pytest.fixture
def worked_bank(stable: Stable, worked_template: Bank) -> Iterator[Bank]:
    made = stable.copy(worked_template)
    yield made
    stable.clear(made)


@pytest.fixture
def other_bank(stable: Stable, tmp_path: Path) -> Iterator[Bank]:
    """A database of the same kind without a single table in it, and a data folder that does not exist."""
    database = stable.database and named(stable.database, f"other_{tmp_path.name[:40].lower()}")
    if database:
        _tell(stable.database, f'CREATE DATABASE "{database.split("/")[3].split("?")[0]}"')
    yield Bank(data=tmp_path / "other", database=database)
    if database:
        _tell(stable.database, f'DROP DATABASE "{database.split("/")[3].split("?")[0]}" WITH (FORCE)')


def _tell(address: str, statement: str) -> None:
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(statement.encode())


SAME = """
import django; django.setup()
from buffycoat.journal.models import Entry, Head
from buffycoat.keeping.digests import registers
from buffycoat.keeping.ordinary import ordinary_tables
print([*Entry.objects.order_by("number").values_list("hash", "line", "by", "happened_at", "recorded_at")])
print(Head.objects.get(id=1), {label: each.sha256 for label, each in registers().items()})
print([[*model._base_manager.order_by("pk").values_list()] for model in ordinary_tables()])
"""


def everything(bank: Bank) -> str:
    """All that a bank holds, on either database: the chain, the registers, the rows beside them."""
    return in_bank(bank, SAME)
