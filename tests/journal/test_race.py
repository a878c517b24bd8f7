"""Several people, several processes, one bag: one of them is first, and the others are told."""

import json
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
from django.db import connection

from tests.harness.server import BUFFYCOAT, ROOT, Bank

RACER = Path(__file__).with_name("racer.py")
PEOPLE = ["robin", "kim", "alex"]


@pytest.fixture
def spun(quiet_bank: Bank) -> str:
    """A well separated bag in a bank of its own; the number of its donation."""
    script = "import django; django.setup(); from tests.walk import Walk; print(Walk().spun('cat'))"
    made = subprocess.run(
        [sys.executable, "-c", script],
        env=quiet_bank.environment,
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    )
    return made.stdout.strip()


def entries(bank: Bank, kind: str) -> list[str]:
    return [line for line in bank.cli("journal").splitlines() if f'"kind":"{kind}"' in line]


def raced(bank: Bank, donation: str, version: int) -> dict[str, str]:
    """Three processes stand at the line; what each was told."""
    shot = bank.data / "shot"
    racers = {
        who: subprocess.Popen(
            [sys.executable, str(RACER), who, str(28 + place), donation, str(version), str(shot)],
            env=bank.environment,
            cwd=ROOT,
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        for place, who in enumerate(PEOPLE)
    }
    until = time.monotonic() + 60
    while not all(Path(f"{shot}.{who}").exists() for who in racers) and time.monotonic() < until:
        time.sleep(0.01)
    shot.touch()
    return {who: racer.communicate(timeout=60)[0].strip() for who, racer in racers.items()}


def test_one_wins_and_the_others_are_told_who_and_when(quiet_bank, spun, db):
    version = sum(f'"stream":"donation/{spun}"' in line for line in quiet_bank.cli("journal").splitlines())
    told = raced(quiet_bank, spun, version)
    (winner,) = [who for who, words in told.items() if words == "recorded"]
    for who in set(PEOPLE) - {winner}:
        assert re.match(
            rf"^{winner} was faster, \d+ s ago: plasma expressed\. Look at the page again", told[who]
        )
    (pressed,) = entries(quiet_bank, "plasma-expressed")
    line = json.loads(pressed)
    assert (winner, 28 + PEOPLE.index(winner)) == (line["by"], line["fields"]["plasma_g"])
    assert "The journal is whole" in quiet_bank.cli("verify")
    assert "equal, row for row" in quiet_bank.cli("rebuild", "--check")


def test_one_wins_also_when_nobody_said_what_page_they_saw(quiet_bank, spun, db):
    told = raced(quiet_bank, spun, 0)
    (winner,) = [who for who, words in told.items() if words == "recorded"]
    lost = f"The plasma was weighed already: {28 + PEOPLE.index(winner)} g."
    assert {lost} == {told[who] for who in set(PEOPLE) - {winner}}
    assert 1 == len(entries(quiet_bank, "plasma-expressed"))


def test_two_command_lines_at_once_press_one_bag_once(quiet_bank, spun, db):
    asked = {
        who: subprocess.Popen(
            [BUFFYCOAT, "do", "express-plasma", "--by", who, "--donation", spun, "--plasma-g", str(plasma_g)],
            env=quiet_bank.environment,
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        for who, plasma_g in (("robin", 30), ("kim", 31))
    }
    told = {who: process.communicate(timeout=60)[0] for who, process in asked.items()}
    assert {0, 1} == {process.returncode for process in asked.values()}
    winner, loser = sorted(asked, key=lambda who: asked[who].returncode)
    assert f"(by {winner})" in told[winner]
    weighed_g = 30 if winner == "robin" else 31
    assert f"The plasma was weighed already: {weighed_g} g.\nNothing was recorded.\n" == told[loser]
    assert [True] == [f'"by":"{winner}"' in line for line in entries(quiet_bank, "plasma-expressed")]


def test_the_same_form_sent_by_two_processes_at_once_is_recorded_once(quiet_bank, spun, db):
    form = [
        "do",
        "express-plasma",
        "--by",
        "robin",
        "--donation",
        spun,
        "--plasma-g",
        "30",
        "--command-id",
        "form-1",
    ]
    sent = [
        subprocess.Popen([BUFFYCOAT, *form], env=quiet_bank.environment, text=True, stdout=subprocess.PIPE)
        for _ in range(3)
    ]
    answers = {process.communicate(timeout=60)[0] for process in sent}
    assert ({0}, 1) == ({process.returncode for process in sent}, len(answers))
    assert 1 == len(entries(quiet_bank, "plasma-expressed"))


def test_the_race_is_run_on_the_database_of_this_run(quiet_bank, db):
    assert (connection.vendor == "postgresql") == bool(quiet_bank.database)
