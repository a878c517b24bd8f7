"""What a large book costs, each figure beside the plain way to the same bytes, in one run on one file.

python -m benchmarks.big_book --entries 10000000 --data DIR

`DIR` must not be there yet and is taken away at the end (about 0.9 GB for each million entries).
"""

import argparse
import hashlib
import random
import resource
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import django
from django.conf import settings

from benchmarks.measuring import HEADING, Figure, measured, share, tell

SEED = 1
LOOKED_BACK = 500


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--entries", type=int, default=200_000)
    asked.add_argument("--data", type=Path, required=True)
    asked.add_argument("--seed", type=int, default=SEED)
    asked.add_argument("--measure", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.measure:
        django.setup()
        MEASUREMENTS[given.measure](given.entries, given.seed)
        return
    given.data.mkdir()
    try:
        for figure in figures(given.data, given.entries, given.seed):
            print(figure, flush=True)
    finally:
        shutil.rmtree(given.data)


def figures(data: Path, entries: int, seed: int) -> Iterator[Figure | str]:
    def run(name: str) -> dict[str, float]:
        options = ("--measure", name, "--data", data, "--entries", entries, "--seed", seed)
        return measured("benchmarks.big_book", *options, data=data)

    made = run("make")
    yield f"{made['entries']:,.0f} entries, seed {seed}, {made['gb']:.1f} GB, made in {made['took_s']:.0f} s"
    yield HEADING
    ours, plain = run("verify"), run("hash")
    yield Figure(
        name="chain check / one SHA-256 over the same rows",
        ours=ours["took_s"],
        plain=plain["took_s"],
        goal=5,
        peak_mb=ours["peak_mb"],
    )
    ours, plain = run("rebuild"), run("fill")
    yield Figure(
        name="rebuild / read all entries + insert the same rows",
        ours=ours["took_s"],
        plain=plain["took_s"],
        goal=5,
        peak_mb=ours["peak_mb"],
    )
    ours = run("family")
    for name, percent in (("median", "p50"), ("p95", "p95")):
        yield Figure(
            name=f"family of a unit, {name} / one row by its key",
            ours=ours[f"ours_{percent}"],
            plain=ours[f"plain_{percent}"],
            goal=10,
            unit="ms",
            peak_mb=ours["peak_mb"],
        )
    ours = run("restart")
    for name, seconds in (("by the clock", "took_s"), ("the server's own work", "worked_s")):
        yield Figure(
            name=f"restart to the first answer, {name}",
            ours=ours[seconds],
            plain=None,
            goal=5,
            peak_mb=ours["peak_mb"],
        )
    ours = run("compare")
    yield Figure(
        name="rebuild --check / the same",
        ours=ours["took_s"],
        plain=plain["took_s"],
        goal=None,
        peak_mb=ours["peak_mb"],
    )


def make(entries: int, seed: int) -> None:
    from django.core.management import call_command

    from benchmarks.making import make as fill_book

    call_command("migrate", verbosity=0)
    began = time.process_time()
    fill_book(entries, seed)
    took_s = time.process_time() - began
    tell(entries=entries, took_s=took_s, gb=Path(settings.DATABASES["default"]["NAME"]).stat().st_size / 1e9)


def verify_book(entries: int, seed: int) -> None:
    from buffycoat.journal.verify import verify

    began = time.process_time()
    verdict = verify()
    took_s = time.process_time() - began
    assert (entries, None) == (verdict.entries, verdict.wrong), verdict
    tell(took_s=took_s)


def hash_book(entries: int, seed: int) -> None:
    """The same rows read the same way, and one hash over all lines."""
    began, whole, count = time.process_time(), hashlib.sha256(), 0
    with closing(_file()) as file:
        for row in file.execute("SELECT * FROM journal_entry ORDER BY number"):
            whole.update(row[8].encode())
            count += 1
    took_s = time.process_time() - began
    assert entries == count
    tell(took_s=took_s)


def rebuild_registers(entries: int, seed: int) -> None:
    from buffycoat.journal.registers import rebuild

    began = time.process_time()
    streams = rebuild()
    tell(took_s=time.process_time() - began, streams=streams)


def compare(entries: int, seed: int) -> None:
    from buffycoat.journal.registers import rebuild

    began = time.process_time()
    streams = rebuild(check=True)
    tell(took_s=time.process_time() - began, streams=streams)


def fill(entries: int, seed: int) -> None:
    """Reads every entry and puts the rows of all registers into their emptied tables, from a file beside."""
    from buffycoat.journal.registers import tables

    names = [model._meta.db_table for model in tables()]
    with closing(_file()) as file, closing(_file()) as reading:
        file.execute("ATTACH ? AS aside", [str(settings.DATA / "aside.sqlite3")])
        for name in names:
            file.execute(f"CREATE TABLE aside.{name} AS SELECT * FROM main.{name}")
        for name in reversed(names):
            file.execute(f"DELETE FROM main.{name}")
        began, count = time.process_time(), 0
        for _ in reading.execute("SELECT * FROM journal_entry ORDER BY stream, version"):
            count += 1
        file.execute("BEGIN IMMEDIATE")
        for name in names:
            rows = reading_aside(file, name)
            width = len(file.execute(f"SELECT * FROM main.{name} LIMIT 0").description)
            file.executemany(f"INSERT INTO main.{name} VALUES ({', '.join('?' * width)})", rows)
        file.execute("COMMIT")
        took_s = time.process_time() - began
    (settings.DATA / "aside.sqlite3").unlink()
    assert entries == count
    tell(took_s=took_s)


def reading_aside(file: sqlite3.Connection, name: str) -> Iterator[tuple[object, ...]]:
    return file.execute(f"SELECT * FROM aside.{name}")


def family(entries: int, seed: int) -> None:
    """From a unit over its donation to its donor and all that came of it, by the queries of their pages."""
    from buffycoat.donors.views import _donations
    from buffycoat.labels.models import UnitRow
    from buffycoat.science.numbering import make_code, read_code

    def look_back(unit: str) -> int:
        row = UnitRow.objects.select_related("donation__donor", "donation__lot", "shelf__place").get(pk=unit)
        return sum(len(each["units"]) for each in _donations(row.donation.donor))

    chance, site = random.Random(seed), UnitRow.objects.order_by("pk").values_list("pk", flat=True)[0][1:5]
    last = read_code(UnitRow.objects.order_by("-pk").values_list("pk", flat=True)[0]).serial
    ours, plain = [], []
    for _ in range(LOOKED_BACK):
        any_code = make_code("U", site, chance.randrange(1, last))
        unit = UnitRow.objects.filter(pk__gte=any_code).order_by("pk").values_list("pk", flat=True)[0]
        plain.append(_ms(lambda unit=unit: UnitRow.objects.get(pk=unit)))
        ours.append(_ms(lambda unit=unit: look_back(unit)))
    tell(
        ours_p50=share(ours, 50),
        plain_p50=share(plain, 50),
        ours_p95=share(ours, 95),
        plain_p95=share(plain, 95),
    )


def restart(entries: int, seed: int) -> None:
    """From the start of the server to its first answer; the work of its process, with what ends it."""
    from tests.harness.server import Bank

    began = time.perf_counter()
    with Bank(data=settings.DATA, database="").serving():
        took_s = time.perf_counter() - began
    work = resource.getrusage(resource.RUSAGE_CHILDREN)
    tell(took_s=took_s, worked_s=work.ru_utime + work.ru_stime)


def _file() -> sqlite3.Connection:
    return sqlite3.connect(settings.DATABASES["default"]["NAME"], isolation_level=None)


def _ms(act: Callable[[], object]) -> float:
    began = time.process_time()
    act()
    return (time.process_time() - began) * 1000


MEASUREMENTS = {
    "make": make,
    "verify": verify_book,
    "hash": hash_book,
    "rebuild": rebuild_registers,
    "fill": fill,
    "compare": compare,
    "family": family,
    "restart": restart,
}

if __name__ == "__main__":
    main()
