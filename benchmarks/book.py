"""What one recorded click costs beside one plain row made as durable, and eight benches that record at once.

python -m benchmarks.book                    on SQLite, then on a PostgreSQL of its own that waits for its disk
python -m benchmarks.book --donations 200    a longer run

A click carries what a form does: its id, and the versions that the page was drawn from. The plain row is written twice:
by the bare driver, and by Django, as one `create` in `atomic()`. All three take turns in one process on one database,
so that they meet the same machine.
"""

import argparse
import os
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from itertools import product
from pathlib import Path
from typing import Any, TypeVar
from uuid import uuid4

import django
import psycopg
from django.conf import settings

from benchmarks.measuring import HEADING, ROOT, Figure, measured, share, tell
from buffycoat.journal.facts import Command

Done = TypeVar("Done")
WRITERS = 8
PLAIN_ROWS = {"bare": 2, "by Django": None}  # with the most that a click may be times
PLAIN = "CREATE TABLE plain_row (number {key} PRIMARY KEY, line TEXT NOT NULL, hash TEXT NOT NULL)"


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--donations", type=int, default=60)
    asked.add_argument("--measure", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.measure:
        django.setup()
        MEASUREMENTS[given.measure](given.donations)
        return
    from tests.harness.postgres import postgres

    print(HEADING)
    with tempfile.TemporaryDirectory() as data:
        figures("SQLite", Path(data), "", given.donations)
    with postgres(options=[]) as address, tempfile.TemporaryDirectory() as data:
        figures("PostgreSQL", Path(data), address, given.donations)


def figures(name: str, data: Path, database: str, donations: int) -> None:
    def run(what: str) -> dict[str, float]:
        return measured(
            "benchmarks.book", "--measure", what, "--donations", donations, data=data, database=database
        )

    found = run("click")
    for (row, goal), (words, part) in product(PLAIN_ROWS.items(), (("median", "p50"), ("p95", "p95"))):
        print(
            Figure(
                name=f"{name}: a click / a plain row {row}, {words}",
                ours=found[f"click_{part}"],
                plain=found[f"{row}_{part}"],
                goal=goal,
                unit="ms",
                peak_mb=found["peak_mb"],
            )
        )
    print(
        f"    of {found['clicks']:.0f} clicks; of each, {found['processor_ms']:.2f} ms are the program's own work"
    )
    found = run("writers")
    print(
        Figure(
            name=f"{name}: {WRITERS} writers, ms for an entry / for a plain row",
            ours=found["ours"],
            plain=found["plain"],
            goal=None,
            unit="ms",
        )
    )
    print(
        f"    {found['entries']:.0f} entries by {WRITERS} writers without a gap; the chain holds", flush=True
    )


def click(donations: int) -> None:
    """Each step of so many donations, from the donor to the shelf; after each one the plain rows."""
    from django.core.management import call_command

    from buffycoat.journal.book import version_of
    from buffycoat.journal.models import Entry
    from buffycoat.journal.record import Recorded, record
    from tests.walk import START, Walk

    call_command("migrate", verbosity=0)
    plain = {"bare": plain_writer(), "by Django": plain_writer_of_django()}
    took: dict[str, list[float]] = {"click": [], **{name: [] for name in plain}}
    worked = []

    def timed(command: Command, **how: Any) -> Recorded:
        stream = f"donation/{donation}" if (donation := getattr(command, "donation", "")) else ""
        form = {"command_id": uuid4().hex, "seen": {stream: version_of(stream)} if stream else {}}
        began_work = time.process_time()
        done = _timed(took["click"], lambda: record(command, **form, **how))
        worked.append(time.process_time() - began_work)
        line = Entry.objects.get(number=done.lines[-1].number).line
        for name, write in plain.items():
            _timed(took[name], lambda write=write: write(line))
        return done

    walk = Walk(record=timed)
    for number in range(donations):
        walk.at = START + timedelta(hours=6 * number)  # so that none goes on over midnight
        walk.on_the_shelf("cat" if number % 3 == 0 else "dog")
    figures = {
        f"{name}_p{percent}": 1000 * share(times, percent)
        for name, times in took.items()
        for percent in (50, 95)
    }
    tell(clicks=len(worked), processor_ms=1000 * share(worked, 50), **figures)


def _timed(times: list[float], act: Callable[[], Done]) -> Done:
    began = time.perf_counter()
    done = act()
    times.append(time.perf_counter() - began)
    return done


def writers(donations: int) -> None:
    """As many processes as benches: first all record, then all write plain rows."""
    from buffycoat.journal.models import Head
    from buffycoat.journal.verify import verify

    before = Head.objects.get(id=1).number
    ours = together("record", donations)
    verdict = verify()
    written = verdict.entries - before
    assert (None, WRITERS * donations * 10) == (verdict.wrong, written), verdict
    plain = together("plain", donations)
    tell(ours=1000 * ours / written, plain=1000 * plain / written, entries=written)


def together(what: str, donations: int) -> float:
    """Starts the writers, lets them all begin at one moment; how long until the last has ended."""
    command = [sys.executable, "-m", "benchmarks.book", "--measure", what, "--donations", str(donations)]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE}
    benches = [subprocess.Popen(command, cwd=ROOT, text=True, **pipes) for _ in range(WRITERS)]
    for bench in benches:
        assert bench.stdout and "ready\n" == bench.stdout.readline()
    began = time.perf_counter()
    for bench in benches:
        bench.communicate("go\n")
    assert {0} == {bench.returncode for bench in benches}
    return time.perf_counter() - began


def record_alone(donations: int) -> None:
    from buffycoat.donors.rules import DonorRegistered, ExamineDonor, RegisterDonor
    from buffycoat.journal.record import record
    from tests.walk import DONORS, OF_TODAY

    donor = record(RegisterDonor(**DONORS["dog"]), by="robin").the(DonorRegistered).donor
    at_the_start()
    for _ in range(donations * 10 - 1):
        record(ExamineDonor(donor=donor, **OF_TODAY["dog"]), by="robin")


def plain_alone(donations: int) -> None:
    from buffycoat.journal.models import Entry

    write, line = plain_writer(), Entry.objects.latest("number").line
    at_the_start()
    for _ in range(donations * 10):
        write(line)


def at_the_start() -> None:
    print("ready", flush=True)
    sys.stdin.readline()


def plain_writer() -> Callable[[str], object]:
    """Writes one durable row of that text, past Django, under the pragmas of the bank."""
    from django.db import connection

    key = "INTEGER" if connection.vendor == "sqlite" else "BIGSERIAL"
    if "plain_row" not in connection.introspection.table_names():
        with connection.cursor() as cursor:
            cursor.execute(PLAIN.format(key=key))
    if connection.vendor == "sqlite":
        options = settings.DATABASES["default"]["OPTIONS"]
        file = sqlite3.connect(
            settings.DATABASES["default"]["NAME"], timeout=options["timeout"], isolation_level=None
        )
        file.executescript(options["init_command"])
        return lambda line: _row(file.execute, "BEGIN IMMEDIATE", "?", line)
    wire = psycopg.connect(os.environ["BUFFYCOAT_DATABASE"], autocommit=True)
    return lambda line: _row(wire.execute, "BEGIN", "%s", line)


def plain_writer_of_django() -> Callable[[str], object]:
    """Writes the same row through Django's own connection."""
    from django.db import models, transaction

    class PlainRow(models.Model):
        number = models.BigAutoField(primary_key=True)
        line = models.TextField()
        hash = models.CharField(max_length=64)

        class Meta:
            app_label, db_table, managed = "journal", "plain_row", False

        def __str__(self) -> str:
            return self.line

    def write(line: str) -> None:
        with transaction.atomic():
            PlainRow.objects.create(line=line, hash="0" * 64)

    return write


def _row(execute: Callable[..., object], begin: str, mark: str, line: str) -> None:
    execute(begin)
    execute(f"INSERT INTO plain_row (line, hash) VALUES ({mark}, {mark})", (line, "0" * 64))
    execute("COMMIT")


MEASUREMENTS = {"click": click, "writers": writers, "record": record_alone, "plain": plain_alone}

if __name__ == "__main__":
    main()
