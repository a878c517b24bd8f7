"""A simulation run as a stranger runs it, on the kind of database of this test run."""

import json
import subprocess
import sys

from tests.harness.server import ROOT, Bank


def ran(name: str, bank: Bank, *arguments: object) -> tuple[int, dict, str]:
    """Its exit code, its figures, and all that it said."""
    run = [sys.executable, "-m", f"tests.simulation.{name}", "--database", bank.database, *arguments]
    done = subprocess.run(
        [str(each) for each in run],
        env=bank.environment,
        cwd=ROOT,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    last = done.stdout.rstrip().rpartition("\n")[2]
    assert last.startswith("{"), done.stdout
    return done.returncode, json.loads(last), done.stdout
