"""The power is cut while a bench works, again and again: what was told as recorded must be there afterwards.

python -m tests.simulation.power_cut --cuts 1000 --seed 7

The program works on a disk that notes what was synced. At a random point the power goes, and what is left is drawn:
of all that was not synced, any part may be there. Then SQLite opens it, and the book is held against what the bench
was told. At the end come the controls, in which the same run must find fault: a disk that says it has synced and has
not, and SQLite with `synchronous=NORMAL`, which must lose what was told.
"""

import argparse
import random
import shutil
import sys
import tempfile
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

from tests.simulation.disk_notes import Disk, Notes
from tests.simulation.lossy_disk import noted
from tests.simulation.own_bank import own_bank

NAME = "buffycoat.sqlite3"
CUTS_IN_ONE_WORK = 4
WORKS_IN_ONE_BANK = 8  # then a new bank: a longer book takes longer to check
STEPS = ("on_the_shelf", "kept_whole", "drawn", "a_donor")


@dataclass
class Found:
    cuts: int = 0
    told: int = 0  # commands that someone was told are recorded, added up over the cuts
    unsynced: int = 0  # cuts at which something was not synced
    under_way: int = 0  # commands that were there after the cut, whole, though nobody was told yet
    lost: list[str] = field(default_factory=list)
    damaged: list[str] = field(default_factory=list)

    @property
    def faults(self) -> list[str]:
        return [*self.lost, *self.damaged]


class Bench:
    """Works through `record`, with the settings that are shipped, and notes when it is told."""

    def __init__(self, notes: Notes, draw: random.Random) -> None:
        self.notes, self.draw = notes, draw
        self.entries: dict[str, int] = {}

    def record(self, command: Any, **given: Any) -> Any:
        from buffycoat.journal.record import record

        command_id = uuid.UUID(int=self.draw.getrandbits(128), version=4).hex
        done = record(command, command_id=command_id, **given)
        self.entries[command_id] = len(done.lines)
        self.notes.told(command_id, len(done.lines))
        return done

    def work(self) -> None:
        from django.db import connection

        from tests.walk import START, Walk

        if self.draw.random() < 0.5:  # the log is written into the file early, as it is after much work
            connection.cursor().execute(f"PRAGMA wal_autocheckpoint = {self.draw.randint(5, 100)}")
        walk = Walk(record=self.record, at=START + timedelta(days=self.draw.randrange(200)))
        with self._reader():
            for _ in range(self.draw.randint(1, 2)):
                getattr(walk, self.draw.choice(STEPS))(self.draw.choice(("dog", "cat")))
                if self.draw.random() < 0.5:
                    connection.close()  # the last to close writes the log into the file and deletes it

    @contextmanager
    def _reader(self) -> Iterator[None]:
        """Sometimes someone reads for long: meanwhile the log cannot be written into the file."""
        from django.db import connections

        reader = connections.create_connection("default")
        if self.draw.random() < 0.3:
            cursor = reader.cursor()
            cursor.execute("BEGIN DEFERRED")
            cursor.execute("SELECT count(*) FROM journal_entry").fetchone()
        yield
        reader.close()


@dataclass
class PowerCuts:
    folder: Path  # where the bench works and the files of a fault are left
    draw: random.Random
    lies: bool = False
    synchronous: str = "FULL"
    found: Found = field(default_factory=Found)
    there: dict[str, int] = field(default_factory=dict)  # the commands that the last cut left

    def run(self, cuts: int, new_bank: bytes) -> Found:
        works = 0
        while self.found.cuts < cuts and not self.found.faults:
            if works % WORKS_IN_ONE_BANK == 0:
                files, told, entries = {NAME: new_bank}, {}, {}
            works += 1
            files, told = self._one_work(files, told, entries)
        return self.found

    def _one_work(self, files: dict[str, bytes], told: dict[str, int], entries: dict[str, int]) -> Any:
        """A bench works on these files; then the power is cut at several points of that work."""
        bank = _put(self.folder / "bank", files)
        with noted(bank) as notes, _open(bank, self.synchronous):
            bench = Bench(notes, self.draw)
            bench.work()
        entries |= bench.entries
        for _ in range(CUTS_IN_ONE_WORK):
            disk = Disk(notes, self.draw.randint(1, len(notes.notes)), lies=self.lies)
            left = disk.cut(self.draw)
            self._hold_against(left, {**told, **disk.told}, entries, disk)
        # The next work goes on from the last cut: all that was there is certain by now.
        return {path.name: path.read_bytes() for path in (self.folder / "after").iterdir()}, self.there

    def _hold_against(
        self, left: dict[str, bytes], told: dict[str, int], entries: dict[str, int], disk: Disk
    ) -> None:
        from django.db import DatabaseError
        from django.db.models import Count

        from buffycoat.journal.models import Entry
        from tests.simulation import checks

        after = _put(self.folder / "after", left)
        self.found.cuts += 1
        self.found.told += len(told)
        self.found.unsynced += disk.changes > 0
        lost, damaged, self.there = [], [], {}
        try:
            with _open(after):
                lost = checks.lost(told)
                damaged = [*checks.half_done(entries), *checks.not_whole(), *checks.registers_differ()]
                self.there = dict(
                    Entry.objects.values_list("command_id").annotate(Count("number")).order_by()
                )
                self.found.under_way += len(self.there.keys() - told.keys())
        except (DatabaseError, Entry.DoesNotExist) as error:
            damaged = [f"{type(error).__name__}: {error}"]
        if lost or damaged:
            _put(self.folder / f"cut-{self.found.cuts}", left)
        self.found.lost += [f"cut {self.found.cuts}: {each}" for each in lost]
        self.found.damaged += [f"cut {self.found.cuts}: {each}" for each in damaged]


def _put(folder: Path, files: dict[str, bytes]) -> Path:
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for name, content in files.items():
        (folder / name).write_bytes(content)
    return folder


@contextmanager
def _open(folder: Path, synchronous: str = "FULL") -> Iterator[None]:
    """The program works on the bank in this folder."""
    from django.conf import settings
    from django.db import connection

    connection.close()
    shipped = settings.DATABASES["default"]["OPTIONS"]
    said = shipped["init_command"].replace("synchronous=FULL", f"synchronous={synchronous}")
    connection.settings_dict |= {"NAME": folder / NAME, "OPTIONS": {**shipped, "init_command": said}}
    try:
        yield
    finally:
        connection.close()


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.power_cut")
    parser.add_argument("--cuts", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    asked = parser.parse_args(arguments)
    folder = Path(tempfile.mkdtemp(prefix="bc-cut-"))
    with own_bank() as data:
        from django.db import connection

        connection.close()  # all of it in one file
        passed = _all_of_it(asked, folder, (data / NAME).read_bytes())
    if passed:
        shutil.rmtree(folder)
    else:
        print(f"The files as the cut left them: {folder}")
    return 0 if passed else 1


def _all_of_it(asked: argparse.Namespace, folder: Path, new_bank: bytes) -> bool:
    started = time.monotonic()
    found = PowerCuts(folder, random.Random(asked.seed)).run(asked.cuts, new_bank)
    print(
        f"seed {asked.seed}: {found.cuts} power cuts in {time.monotonic() - started:.0f} s, {found.unsynced} with "
        f"something not synced; {found.told} times a step was told as recorded: {len(found.lost)} lost; "
        f"{found.under_way} not yet told were there, whole; {len(found.damaged)} faults",
        *found.faults[:20],
        sep="\n",
        flush=True,
    )
    if found.faults:
        return False
    lies = PowerCuts(folder, random.Random(asked.seed), lies=True).run(asked.cuts, new_bank)
    print(f"Control, a disk that lies: {(lies.faults or ['NOT FOUND'])[0]}", flush=True)
    normal = PowerCuts(folder, random.Random(asked.seed), synchronous="NORMAL").run(asked.cuts, new_bank)
    print(f"Control, synchronous=NORMAL: {(normal.lost or ['NOT FOUND'])[0]}", flush=True)
    return bool(lies.faults and normal.lost and not normal.damaged)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
