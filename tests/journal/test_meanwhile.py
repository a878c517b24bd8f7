"""The book is checked as it stands at one moment: whoever records meanwhile neither waits nor raises a false alarm."""

import subprocess
import sys
from pathlib import Path

from tests.harness.server import BUFFYCOAT, ROOT


def test_others_record_while_the_book_and_its_registers_are_checked(quiet_bank, db):
    quiet_bank.cli(
        *"do register-donor --by robin --species cat --sex male --born-on 2022-02-01 --name Sorrel".split()
    )
    done = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("meanwhile.py")), str(BUFFYCOAT)],
        env=quiet_bank.environment,
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    of_the_book, streams, without_one_moment = done.stdout.splitlines()
    assert ("None", "2") == (of_the_book, streams)
    assert "The head says 4 entries, the book holds 3" in without_one_moment
    assert "is whole: 4 entries" in quiet_bank.cli("verify")
    assert "4 streams posted again: the registers were equal" in quiet_bank.cli("rebuild", "--check")
