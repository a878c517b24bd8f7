"""The disk of a bank is filled to the last byte while people work: refused in plain words, reading goes on, nothing
is half-done, and once there is room the same page is recorded once.

python -m tests.simulation.full_disk --database postgresql      # or sqlite

A real small disk, in memory: Linux only, and as root, for it is mounted where only this run sees it.
"""

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.harness.server import Stable
from tests.simulation.benches import Bench, Gate, NoAnswer
from tests.simulation.hard_postgres import HardPostgres
from tests.simulation.killed import POSTGRESQL, SQLITE, furnished, opened
from tests.simulation.servers import Servers

SIZE_MB = {SQLITE: 12, POSTGRESQL: 140}
MOST_PAGES = 5_000
READ = ("/", "/stock/", "/journal/", "/places/", "/donors/")


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.full_disk")
    parser.add_argument("--database", choices=(SQLITE, POSTGRESQL), default=SQLITE)
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args(arguments)
    if not asked.inside:
        again = [sys.executable, "-m", "tests.simulation.full_disk", *arguments, "--inside"]
        return subprocess.call(["unshare", "--mount", *again])
    with tempfile.TemporaryDirectory(prefix="bc-full-", ignore_cleanup_errors=True) as folder:
        Path(folder).chmod(0o755)
        small, roomy = Path(folder) / "small", Path(folder) / "roomy"
        small.mkdir()
        roomy.mkdir()
        size = f"size={SIZE_MB[asked.database]}m,mode=755"
        subprocess.run(["mount", "-t", "tmpfs", "-o", size, "tmpfs", small], check=True)
        postgres = HardPostgres(small / "postgresql") if asked.database == POSTGRESQL else None
        try:
            stable = Stable(roomy, postgres.address) if postgres else Stable(small, "")
            _work_until_full(stable, small)
        finally:
            if postgres:
                postgres.kill()
            subprocess.run(["umount", "--lazy", small], check=True)
    return 0


def _work_until_full(stable: Stable, small: Path) -> None:
    bank, lot, fridge = furnished(stable)
    servers = Servers(bank)
    servers.start()
    try:
        gate = Gate(1)
        gate.open(bank.base_url)
        bench = Bench(bank.name, 0, gate, lot, fridge)
        bench._sign_in()
        _fill(small)
        number = next(each for each in range(1, MOST_PAGES) if not _recorded(bench, each))
        print(f"Full after {number - 1} more pages. {' '.join(gate.said)}")
        assert ["Nothing was recorded: the disk is full. Reading goes on."] == [
            said[:56] for said in gate.said
        ]
        assert not _recorded(bench, number)
        assert [200] * len(READ) == [bench._ask("GET", path)[0] for path in READ]
        (small / "filler").unlink()
        assert [True, True] == [_recorded(bench, number) for _ in range(2)]
        _look(bank, number)
        print(
            "With room again the same page is recorded once; the journal is whole, the registers are equal."
        )
    finally:
        servers.end()


def _fill(small: Path) -> None:
    for size in (65536, 512, 1):
        with (small / "filler").open("ab", buffering=0) as filler:
            try:
                while True:
                    filler.write(bytes(size))
            except OSError:
                pass


def _recorded(bench: Bench, number: int) -> bool:
    form = {"name": "F" * 60, "appliance": "fridge", "command_id": f"{number:032x}", "seen": "{}"}
    try:
        return 302 == bench._ask("POST", "/places/new/", form)[0]
    except NoAnswer:
        return False


def _look(bank: object, number: int) -> None:
    from tests.simulation import checks

    pages = {f"{each:032x}": 1 for each in range(1, number + 1)}
    with opened(bank):
        assert [] == [
            *checks.lost(pages),
            *checks.half_done(pages),
            *checks.not_whole(),
            *checks.registers_differ(),
        ]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
