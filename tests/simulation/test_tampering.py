"""A short run of the edits, and of the checks that skip a part: `tampering.py` says what it does."""

import json
import subprocess
import sys

from tests.harness.server import ROOT, Bank

SEED = 7


def tampered(bank: Bank, *arguments: object) -> tuple[int, dict, str]:
    """On the kind of database of this run."""
    run = [sys.executable, "-m", "tests.simulation.tampering", "--seed", SEED, "--database", bank.database]
    done = subprocess.run(
        [*map(str, run), *map(str, arguments)],
        env=bank.environment,
        cwd=ROOT,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    last = done.stdout.rstrip().rpartition("\n")[2]
    assert last.startswith("{"), done.stdout
    return done.returncode, json.loads(last), done.stdout


def test_every_edit_is_found_and_the_first_bad_entry_named(quiet_bank, db):
    code, figures, said = tampered(quiet_bank, "--edits", 300)
    assert (0, 0) == (code, figures["missed"]), said
    apart = figures["harmless"] + figures["beside the book"]
    assert 300 == figures["found"] + apart
    assert apart < 150  # bits alone can be harmless: whatever was done to a row is found


def test_a_check_that_skips_a_part_misses_edits(quiet_bank, db):
    code, figures, said = tampered(quiet_bank, "--edits", 60, "--controls")
    assert 0 == code, said
    parts = {"columns", "seals", "head", "kept heads", "guards", "registers"}
    assert parts | (set() if quiet_bank.database else {"file"}) == set(figures["missed"])
    assert all(count > 0 for count in figures["missed"].values())
