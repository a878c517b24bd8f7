"""The server is killed while four benches work, again and again: what they were told as recorded must be there.

python -m tests.simulation.killed --kills 1000 --seed 7
python -m tests.simulation.killed --kills 1000 --seed 7 --database postgresql

The real server with the real pages, SIGKILL at random moments; on PostgreSQL also PostgreSQL itself, or both at once.
After each kill the benches send again, as it was, what they do not know the end of. At the end come the controls, in
which the same checks must find fault: a server that commits each entry by itself; on SQLite benches that take for
recorded what they have only sent; a PostgreSQL that says committed before it is.
"""

import argparse
import os
import random
import shutil
import signal
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from tests.harness.people import PASSWORD, PEOPLE
from tests.harness.server import Bank, Stable
from tests.simulation.benches import Bench, Gate
from tests.simulation.hard_postgres import HardPostgres
from tests.simulation.servers import Servers

BENCHES = 4
KILLS_IN_ONE_BANK = 50  # then a new bank: a longer book takes longer to check
REGISTERS_EVERY = 5
MOST_TOLD_BEFORE_A_KILL = 12
LONGEST_DELAY_S = 0.04
LIMIT_S = 300
FURNISHER = "sam"  # who made the bank ready for the benches
SQLITE, POSTGRESQL = "sqlite", "postgresql"
SERVER, BOTH = "server", "both"
MOST_KILLS_IN_A_CONTROL = 100
HALF: dict[str, Any] = {"fault": "half-done"}
EARLY: dict[str, Any] = {"believe_early": True}
NOT_SYNCED: dict[str, Any] = {"fault": "not-synced"}
CONTROLS = {
    SQLITE: {"each entry committed by itself": HALF, "benches that believe early": EARLY},
    POSTGRESQL: {"each entry committed by itself": HALF, "committed before it is": NOT_SYNCED},
}


@dataclass
class Found:
    kills: dict[str, int] = field(default_factory=lambda: dict.fromkeys((SERVER, POSTGRESQL, BOTH), 0))
    told: int = 0
    no_answer: int = 0  # pages whose sender does not know the end, as far as they were looked for
    there: int = 0  # of them, those that were recorded all the same
    faults: list[str] = field(default_factory=list)


class Stuck(Exception):
    """The benches cannot go on: that is a fault, and it is noted."""


@dataclass
class Killing:
    """One bank, its benches, and the one who kills."""

    bank: Bank
    lot: str
    fridge: str
    draw: random.Random
    found: Found
    postgres: HardPostgres | None = None
    fault: str = ""
    believe_early: bool = False

    def run(self, kills: int) -> None:
        self.gate, names = Gate(BENCHES), (self.bank.name, self.bank.colleague)
        self.benches = [
            Bench(names[each % 2], each, self.gate, self.lot, self.fridge, self.believe_early)
            for each in range(BENCHES)
        ]
        self.servers = Servers(self.bank, self.fault)
        try:
            self.server = self.servers.start()
            self.gate.open(self.bank.base_url)
            for bench in self.benches:
                threading.Thread(target=bench.work, daemon=True).start()
            with suppress(Stuck):
                self._kill_often(kills)
        finally:
            self.servers.end()

    def _kill_often(self, kills: int) -> None:
        for number in range(1, kills + 1):
            self._kill_once(registers=number % REGISTERS_EVERY == 0)
            if self.found.faults:
                return
        self._end()

    def _kill_once(self, *, registers: bool) -> None:
        self._wait(self.gate.wait_until_told(self.draw.randint(1, MOST_TOLD_BEFORE_A_KILL), LIMIT_S))
        time.sleep(self.draw.uniform(0, LONGEST_DELAY_S))
        self.gate.calm = False
        victim = self.draw.choices((SERVER, POSTGRESQL, BOTH), (2, 1, 1))[0] if self.postgres else SERVER
        if self.postgres and victim != SERVER:
            self.postgres.kill()
        if victim != POSTGRESQL:
            self.server.kill()
        self.found.kills[victim] += 1
        self._wait(self.gate.wait_until_all_rest(LIMIT_S))
        if self.postgres and victim != SERVER:
            self.postgres.start()
        if self.draw.random() < 0.5:  # else the next server is the first to open what was left
            self._look(registers=registers)
        if victim != POSTGRESQL:
            self.server = self.servers.start()
        self.gate.open(self.bank.base_url)

    def _end(self) -> None:
        """Every bench sends what it does not know the end of, and stops. Then nobody is in doubt about anything."""
        self.gate.open(self.bank.base_url, over=True)
        self._wait(self.gate.wait_until_all_rest(LIMIT_S))
        told = self._look(registers=True)
        self.found.told += len(told)

    def _wait(self, came: bool) -> None:
        refused = [f"bench {bench.number}: {each}" for bench in self.benches for each in bench.refused]
        if refused or not came:
            self._look(registers=True)
            log = self.bank.log.read_text()[-3000:]
            self.found.faults.append(f"the benches do not go on: {'; '.join(refused)}\n{log}")
            raise Stuck

    def _look(self, *, registers: bool) -> dict[str, int]:
        """What the book says, against what the benches were told. They all rest."""
        from buffycoat.keeping.trouble import AWAY
        from tests.simulation import checks

        told = {command: entries for bench in self.benches for command, entries in bench.told.items()}
        doubt = {command: entries for bench in self.benches for command, entries in bench.under_way.items()}
        with opened(self.bank):
            faults = [*checks.lost(told), *checks.half_done(told | doubt), *checks.not_whole()]
            faults += checks.nobodys(told | doubt, but_of=FURNISHER)
            faults += checks.registers_differ() if registers else []
            self.found.there += len(doubt) - len(checks.lost(doubt))
        self.found.no_answer += len(doubt)
        faults += [f"not in plain words: {said}" for said in self.gate.said if AWAY.cause not in said]
        if self.gate.out_of_the_blue:
            faults.append(f"{self.gate.out_of_the_blue} pages without an answer though nothing was killed")
            self.gate.out_of_the_blue = 0
        kill = sum(self.found.kills.values())
        self.found.faults += [f"kill {kill}: {each}" for each in faults]
        return told


@contextmanager
def opened(bank: Bank) -> Iterator[None]:
    """This process looks into that bank, and has nothing open in it afterwards."""
    from django.db import connection

    connection.close()
    there = urlsplit(bank.database).path.lstrip("/")
    connection.settings_dict["NAME"] = there or bank.data / "buffycoat.sqlite3"
    try:
        yield
    finally:
        connection.close()


def furnished(stable: Stable) -> tuple[Bank, str, str]:
    """A bank with people, a lot of bag sets and a fridge."""
    bank = stable._new("template")
    os.environ |= bank.environment
    import django

    django.setup()
    from django.core.management import call_command

    from buffycoat.people.roles import COORDINATOR, add
    from tests.walk import Walk

    with opened(bank):
        call_command("migrate", verbosity=0)
        for name in PEOPLE:
            add(name, PASSWORD, [COORDINATOR])
        walk = Walk(by=FURNISHER, at=datetime.now(UTC) - timedelta(hours=1))
        return bank, walk.a_lot("dog"), walk.a_place("fridge")


def run(kills: int, seed: int, made: tuple[Bank, str, str], stable: Stable, **control: Any) -> Found:
    """So many kills, or fewer when a fault was found: then the bank stays as it is."""
    found, draw = Found(), random.Random(seed)
    template, lot, fridge = made
    while not found.faults and (left := kills - sum(found.kills.values())):
        bank = stable.copy(template)
        Killing(bank, lot, fridge, draw, found, **control).run(min(KILLS_IN_ONE_BANK, left))
        if not found.faults:
            stable.clear(bank)
    return found


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.killed")
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    parser.add_argument("--database", choices=(SQLITE, POSTGRESQL), default=SQLITE)
    asked = parser.parse_args(arguments)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # so that all that was started ends too
    folder = Path(tempfile.mkdtemp(prefix="bc-killed-"))
    folder.chmod(0o755)  # PostgreSQL runs as another user where this one is root
    postgres = HardPostgres(folder / "postgresql") if asked.database == POSTGRESQL else None
    try:
        passed = _all_of_it(asked, Stable(folder, postgres.address if postgres else ""), postgres)
    finally:
        if postgres:
            postgres.kill()
    if passed:
        shutil.rmtree(folder)
    else:
        print(f"What was left of it: {folder}")
    return 0 if passed else 1


def _all_of_it(asked: argparse.Namespace, stable: Stable, postgres: HardPostgres | None) -> bool:
    made, started = furnished(stable), time.monotonic()
    found = run(asked.kills, asked.seed, made, stable, postgres=postgres)
    killed = ", ".join(f"{number} {what}" for what, number in found.kills.items() if number)
    print(
        f"{asked.database}, seed {asked.seed}: {sum(found.kills.values())} kills ({killed}) in "
        f"{time.monotonic() - started:.0f} s; {found.told} steps told as recorded; {found.no_answer} without an "
        f"answer, of which {found.there} were recorded; {len(found.faults)} faults",
        *found.faults[:20],
        sep="\n",
        flush=True,
    )
    if found.faults:
        return False
    all_found = True
    for name, control in CONTROLS[asked.database].items():
        planted = run(MOST_KILLS_IN_A_CONTROL, asked.seed, made, stable, postgres=postgres, **control)
        print(f"Control, {name}: {planted.faults[0] if planted.faults else 'NOT FOUND'}", flush=True)
        all_found &= bool(planted.faults)
    return all_found


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
