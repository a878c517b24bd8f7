"""What a stranger checks: a day as text with sha256sum and twenty lines, and the heads kept at a second place."""

import json
import re
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from buffycoat.journal.chain import START
from buffycoat.journal.facts import Refused
from buffycoat.keeping.heads import KeptHead, read_kept, why_not_the_same_book
from tests.harness.server import ROOT, Bank
from tests.keeping.conftest import ENTRIES, in_bank

pytestmark = pytest.mark.one_database

CHECK = ROOT / "docs" / "how-to" / "check_day.py"
AUDIT = (ROOT / "docs" / "how-to" / "audit.md").read_text()
BY_HAND = re.search(r"```sh\n(previous=.*?)```", AUDIT, re.S)[1]


@pytest.fixture(scope="session")
def made_day(worked_template: Bank, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The day of the bank's work as text (UTC, for no zone is set)."""
    folder = tmp_path_factory.mktemp("day")
    line = worked_template.cli("journal").partition("\n")[0]
    worked_template.cli("export", "--day", json.loads(line)["recorded_at"][:10], "--to", folder)
    (made,) = folder.glob("journal-*.txt")
    return made


@pytest.fixture
def day(made_day: Path, tmp_path: Path) -> Path:
    """A copy of it that a test may spoil, with its SHA-256 beside it."""
    for path in made_day.parent.iterdir():
        shutil.copy(path, tmp_path)
    return tmp_path / made_day.name


def by_script(day: Path) -> tuple[int, str]:
    done = subprocess.run([sys.executable, CHECK, day], capture_output=True, text=True)
    return done.returncode, done.stdout + done.stderr


def by_sha256sum(day: Path) -> str:
    """The loop of the document, as it stands there."""
    shell = BY_HAND.replace("journal-2026-11-25.txt", str(day))
    return subprocess.run(["sh", "-c", shell], capture_output=True, text=True, check=True).stdout


def test_a_day_is_checked_by_sha256sum_and_by_the_script(day, worked_template, tmp_path):
    head = worked_template.cli("head").split()[2]
    code, said = by_script(day)
    assert (0, f"{ENTRIES} entries fit their seals. Before: {START}\nAfter: {head}\n") == (code, said)
    assert "" == by_sha256sum(day)
    whole = subprocess.run(
        ["sha256sum", "-c", f"{day.name}.sha256"], cwd=tmp_path, capture_output=True, text=True
    )
    assert f"{day.name}: OK\n" == whole.stdout
    assert worked_template.cli("journal").removesuffix("\n").split("\n") == [
        row.split(" ", 1)[1] for row in day.read_bytes().decode().split("\n")[1:-2]
    ]


def test_the_script_is_short_and_of_the_standard_library(day):
    assert len(CHECK.read_text().splitlines()) <= 20
    alone = [sys.executable, "-I", "-S", CHECK, day]
    assert 0 == subprocess.run(alone, capture_output=True).returncode


CHANGES = {
    "a letter": lambda text: text.replace('"by":"kim"', '"by":"kam"', 1),
    "a line lost": lambda text: re.sub(r"\n[0-9a-f]{64} [^\n]+", "", text, count=1),
    "two lines swapped": lambda text: re.sub(
        r"\n([0-9a-f]{64} [^\n]+)\n([0-9a-f]{64} [^\n]+)", r"\n\2\n\1", text, count=1
    ),
    "another start": lambda text: text.replace("before 0", "before 1", 1),
}


@pytest.mark.parametrize("change", CHANGES)
def test_each_change_is_found_by_both(day, tmp_path, change):
    text = CHANGES[change](day.read_bytes().decode())
    assert text != day.read_bytes().decode()
    day.write_bytes(text.encode())
    code, said = by_script(day)
    assert (1, True) == (code, "does not fit its seal" in said)
    assert "does not fit" in by_sha256sum(day)
    whole = subprocess.run(
        ["sha256sum", "-c", f"{day.name}.sha256"], cwd=tmp_path, capture_output=True, text=True
    )
    assert 1 == whole.returncode


@pytest.mark.parametrize(
    ("end", "words"),
    [(r"after [0-9a-f]{64}\n$", "Not whole"), (r"[0-9a-f]{64} [^\n]+\n(?=after)", "cut off")],
)
def test_an_end_cut_off_is_found(day, end, words):
    day.write_bytes(re.sub(end, "", day.read_bytes().decode()).encode())
    code, said = by_script(day)
    assert (1, True) == (code, words in said)


def test_the_days_of_a_book_join_without_a_gap(worked_template, tmp_path):
    """A day without entries stands between: its two seals are the same."""
    today = datetime.now(UTC).date()
    said = [worked_template.cli("export", "--day", day, "--to", tmp_path) for day in ("2020-02-29", today)]
    assert f"0 entries. Before: {START}\nAfter: {START}\n" in said[0]
    assert f"{ENTRIES} entries. Before: {START}" in said[1]
    assert "The day is not over" in said[1]
    assert (0, f"0 entries fit their seals. Before: {START}\nAfter: {START}\n") == by_script(
        tmp_path / "journal-2020-02-29.txt"
    )


def test_a_day_to_come_and_no_day_are_said(quiet_bank, tmp_path):
    assert "01 Jan 2099 is still to come.\n" == quiet_bank.cli("export", "--day", "2099-01-01", expect=1)
    assert "“soon” is no day: write it like 2026-11-25.\n" == quiet_bank.cli(
        "export", "--day", "soon", expect=1
    )


def one_more(bank: Bank, name: str) -> None:
    bank.cli("do", "open-place", "--by", "robin", "--name", name, "--appliance", "fridge")


def test_a_book_that_only_grew_fits_all_its_kept_heads(worked_bank, tmp_path):
    kept = tmp_path / "heads.txt"
    worked_bank.cli("head", "--to", kept)
    one_more(worked_bank, "F2")
    worked_bank.cli("head", "--to", kept)
    assert f"All 2 heads kept in {kept} fit" in worked_bank.cli("verify", "--against", kept)
    assert worked_bank.cli("head", "--entry", ENTRIES).strip() == kept.read_text().split("\n")[0].split()[2]
    assert "The book has no entry 999." in worked_bank.cli("head", "--entry", 999, expect=1)


def test_an_old_copy_put_back_is_found_at_once_and_after_it_went_on(stable, worked_bank, tmp_path):
    kept = tmp_path / "heads.txt"
    old = stable.copy(worked_bank)
    worked_bank.cli("head", "--to", kept)
    one_more(worked_bank, "F2")
    worked_bank.cli("head", "--to", kept)
    assert "is whole" in old.cli("verify")  # the control: without the kept heads nothing is found
    said = old.cli("verify", "--against", kept, expect=1)
    assert f"Line 2 ({kept.read_text().split(chr(10))[1].split()[0]}, {ENTRIES + 1} entries)" in said
    assert f"entry {ENTRIES + 1} is gone" in said
    one_more(old, "Another")
    one_more(old, "And one more")
    assert "is whole" in old.cli("verify")
    assert f"entry {ENTRIES + 1} is another now" in old.cli("verify", "--against", kept, expect=1)
    before = kept.read_text()
    assert "is another now" in old.cli("head", "--to", kept, expect=1)
    assert before == kept.read_text()
    stable.clear(old)


def test_an_end_cut_off_with_its_head_made_to_fit_is_found(worked_bank, tmp_path):
    """The forger also moves the head back and puts the guard back: the chain alone is whole then."""
    kept = tmp_path / "heads.txt"
    worked_bank.cli("head", "--to", kept)
    in_bank(
        worked_bank,
        "import django; django.setup()\nfrom django.db import connection\n"
        "from buffycoat.journal.models import Entry, Head\nfrom tests.simulation.edits import guards\n"
        "name = 'entry_is_never_' + ('deleted' if connection.vendor == 'sqlite' else 'changed')\n"
        "cursor, made = connection.cursor(), guards()[name]\n"
        "cursor.execute(f'DROP TRIGGER {name}' + (connection.vendor != 'sqlite') * ' ON journal_entry')\n"
        f"cursor.execute('DELETE FROM journal_entry WHERE number > {ENTRIES - 3}')\ncursor.execute(made)\n"
        "last = Entry.objects.last()\nHead.objects.update(number=last.number, hash=last.hash)",
    )
    assert f"is whole: {ENTRIES - 3} entries" in worked_bank.cli("verify")
    assert f"entry {ENTRIES} is gone" in worked_bank.cli("verify", "--against", kept, expect=1)


def heads(*pairs: tuple[int, str]) -> list[KeptHead]:
    return [
        KeptHead(at=f"day {place}", number=number, hash=seal) for place, (number, seal) in enumerate(pairs, 1)
    ]


@pytest.mark.parametrize(
    ("kept", "words"),
    [
        (heads((0, "s"), (2, "b"), (3, "c")), None),
        (heads((2, "b"), (2, "b")), None),
        (
            heads((2, "x"), (3, "c")),
            "Line 1 (day 1, 2 entries) does not fit this book: one of the entries 1 to 2 is another",
        ),
        (
            heads((1, "a"), (3, "x")),
            "Line 2 (day 2, 3 entries) does not fit this book: one of the entries 2 to 3 is another",
        ),
        (heads((2, "b"), (3, "x")), "Line 2 (day 2, 3 entries) does not fit this book: entry 3 is another"),
        (
            heads((2, "b"), (4, "d"), (5, "e")),
            "Line 2 (day 2, 4 entries) does not fit this book: entry 4 is gone.",
        ),
        (heads((0, "x")), "Line 1 (day 1, 0 entries) does not fit this book: entry 0 is another"),
    ],
)
def test_the_first_line_that_does_not_fit_is_named(kept, words):
    book = {0: "s", 1: "a", 2: "b", 3: "c"}
    found = why_not_the_same_book(kept, book.get)
    assert words == (found and found[: len(words or "")])


@pytest.mark.parametrize("line", ["garbage", "now 5 abc", f"now five {START}", f"now 5 {START} more"])
def test_a_line_that_is_no_head_is_named(tmp_path, line):
    kept = tmp_path / "heads.txt"
    kept.write_text(f"now 1 {START}\n{line}\n")
    with pytest.raises(Refused, match=r"^Line 2 of .* it was changed\.$"):
        read_kept(kept)


def test_a_file_without_heads_and_no_file_prove_nothing(quiet_bank, tmp_path):
    (tmp_path / "empty").write_text("\n")
    assert "holds no head: nothing was compared." in quiet_bank.cli(
        "verify", "--against", tmp_path / "empty", expect=1
    )
    assert "cannot be read: No such file" in quiet_bank.cli(
        "verify", "--against", tmp_path / "none", expect=1
    )
    shutil.rmtree(tmp_path, ignore_errors=True)
