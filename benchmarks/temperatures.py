"""A year of ten loggers, read in: rows a second beside a bare csv reader with one row inserted for each.

python -m benchmarks.temperatures [--minutes 1] [--loggers 10] [--database postgresql]

One reading a minute of ten loggers is 5,256,000 rows. Both sides run in one process on the same files and the same
kind of database; times are the clock's and the processor's, memory is the peak of the whole process.
"""

import argparse
import csv
import os
import resource
import sqlite3
import tempfile
import time
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

SEED = 1
YEAR_MIN = 365 * 24 * 60
BEGIN = datetime(2025, 1, 1)  # noqa: DTZ001 - a logger's own clock


def write_file(path: Path, number: int, every_min: int) -> int:
    """Slow swings and noise, two excursions of an hour a month."""
    chance = Random(SEED * 100 + number)
    rows = range(0, YEAR_MIN, every_min)
    with path.open("w", encoding="utf-8") as file:
        file.write("Invented logger\nDate;Time;Temp °C\n")
        for minute in rows:
            warm = 5 if minute % 21_600 < 60 else 0
            at = BEGIN + timedelta(minutes=minute)
            file.write(f"{at:%d.%m.%Y;%H:%M};{4 + warm + chance.gauss(0, 0.2):.2f}\n")
    return len(rows)


@contextmanager
def clock(name: str, rows: int):
    wall, work = time.perf_counter(), time.process_time()
    taken = {}
    yield taken
    taken["wall_s"], taken["work_s"] = time.perf_counter() - wall, time.process_time() - work
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    rate = rows / taken["wall_s"]
    print(
        f"{name}: {taken['wall_s']:.1f} s ({taken['work_s']:.1f} s of work), {rate:,.0f} rows/s, peak {peak_mb:.0f} MB"
    )


def bare(files: list[Path], database: Path) -> int:
    """What any program would have to do: read each row, and insert it as it stands."""
    with sqlite3.connect(database) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("CREATE TABLE reading (logger INTEGER, day TEXT, clock TEXT, value TEXT)")
        for number, path in enumerate(files):
            with path.open(encoding="utf-8", newline="") as file:
                rows = csv.reader(file, delimiter=";")
                next(rows), next(rows)
                connection.executemany(
                    "INSERT INTO reading VALUES (?, ?, ?, ?)", ((number, *row) for row in rows)
                )
        return connection.execute("SELECT COUNT(*) FROM reading").fetchone()[0]


def ours(files: list[Path]) -> int:
    """From the file to packed rows and open alarms, by the same function as the page's."""
    from buffycoat.journal.record import record
    from buffycoat.storage.places import OpenPlace, PlaceOpened
    from buffycoat.temperatures.coming_in import import_file
    from buffycoat.temperatures.formats import Declared
    from buffycoat.temperatures.models import LOGGER, DayOfReadings, Thermometer

    for number, path in enumerate(files):
        opened = record(OpenPlace(name=f"Fridge {number}", appliance="fridge"), by="bench")
        place = opened.the(PlaceOpened).place
        thermometer = Thermometer.objects.create(name=f"Logger {number}", place=place, kind=LOGGER)
        import_file(thermometer, path, Declared(clock="+01:00"))
    return sum(DayOfReadings.objects.values_list("readings", flat=True))


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--minutes", type=int, default=1, help="between two readings (1)")
    asked.add_argument("--loggers", type=int, default=10)
    asked.add_argument(
        "--database", default="", help="an address of an empty PostgreSQL database; SQLite if empty"
    )
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        files = [Path(folder) / f"logger-{number}.csv" for number in range(wanted.loggers)]
        rows = sum(write_file(path, number, wanted.minutes) for number, path in enumerate(files))
        megabytes = sum(path.stat().st_size for path in files) / 1e6
        print(f"{rows:,} rows in {len(files)} files, {megabytes:.0f} MB, seed {SEED}")
        os.environ |= {"BUFFYCOAT_DATA": folder, "BUFFYCOAT_DATABASE": wanted.database}
        os.environ["DJANGO_SETTINGS_MODULE"] = "buffycoat.settings"
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        with clock("import", rows) as mine:
            assert rows == ours(files)
        report_after(folder)
        with clock("bare csv and insert", rows) as plain:
            assert rows == bare(files, Path(folder) / "bare.sqlite3")
        print(f"import beside bare: {plain['wall_s'] / mine['wall_s']:.2f} times its speed")
        sizes = {
            name: (Path(folder) / name).stat().st_size / 1e6 for name in ("bare.sqlite3", "buffycoat.sqlite3")
        }
        print(", ".join(f"{name} {size:.0f} MB" for name, size in sizes.items()))


def report_after(folder: str) -> None:
    """What is done with the year afterwards: the seal of every day, its check, and one page's trace."""
    from buffycoat.storage.models import PlaceRow
    from buffycoat.temperatures.keeping_readings import tampered
    from buffycoat.temperatures.models import AlarmRow, DayOfReadings
    from buffycoat.temperatures.sealing import seal_days
    from buffycoat.temperatures.tracing import traced

    days = DayOfReadings.objects.count()
    with clock(f"seal of {days:,} days", days):
        assert days == seal_days()
    place = PlaceRow.objects.first()
    assert place
    with clock("check of one place's year", 365):
        assert [] == tampered(place.place)
    until = datetime.fromisoformat("2026-01-01T00:00:00+00:00")
    with clock("trace of a year", 1):
        found = traced(place, until, 365)
    print(f"{AlarmRow.objects.count()} alarms, {len(found.spells)} excursions in one place")


if __name__ == "__main__":
    main()
