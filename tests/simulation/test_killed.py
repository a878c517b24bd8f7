"""What a bench was told is recorded is there after any kill, once and whole; and the checks see when it is not."""

import subprocess
import sys

from tests.harness.server import ROOT

KILLS, SEED = 25, 7


def test_nothing_told_is_lost_by_a_kill_and_nothing_is_half_done(stable):
    database = "postgresql" if stable.database else "sqlite"
    command = [sys.executable, "-m", "tests.simulation.killed", "--database", database]
    done = subprocess.run(
        [*command, "--kills", str(KILLS), "--seed", str(SEED)], cwd=ROOT, capture_output=True, text=True
    )
    assert 0 == done.returncode, done.stdout + done.stderr
    first, *controls = done.stdout.splitlines()
    assert f"{database}, seed {SEED}: {KILLS} kills" in first
    assert 2 == len([line for line in controls if line.startswith("Control, ")])
