"""A copy is taken while others work, is restored whole or not at all, and a damaged one is refused."""

import gzip
import json
import re
import shutil
import sqlite3
import subprocess
import sys
import time
import zipfile
from datetime import datetime
from pathlib import Path
from random import Random

import pytest

from buffycoat.journal.chain import seal
from buffycoat.keeping.copies import check_copy, parts
from buffycoat.keeping.sealed_text import Damaged
from tests.harness.server import BUFFYCOAT, ROOT, Bank, Stable
from tests.keeping.conftest import ENTRIES, everything, in_bank

SEED, FLIPS = 20261125, 300


def backed_up(bank: Bank, *arguments: object) -> Path:
    return Path(bank.cli("backup", *arguments).splitlines()[0])


@pytest.fixture(scope="session")
def made_copy(stable: Stable, worked_template: Bank) -> Path:
    return backed_up(stable.copy(worked_template, "copied"))


@pytest.fixture
def copy(made_copy: Path, tmp_path: Path) -> Path:
    """A good copy that a test may spoil."""
    return Path(shutil.copy(made_copy, tmp_path / "copy.zip"))


def rewritten(copy: Path, part: str, change) -> None:
    """The copy made again with one part changed, as somebody with the file in hand could."""
    with zipfile.ZipFile(copy) as archive:
        held = {name: archive.read(name) for name in archive.namelist()}
    held[part] = change(held[part])
    with zipfile.ZipFile(copy, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in held.items():
            archive.writestr(name, content)


def test_a_restored_copy_is_equal_in_chain_registers_and_rows(worked_bank, other_bank):
    copy = backed_up(worked_bank)
    said = other_bank.cli("restore", copy)
    assert everything(worked_bank) == everything(other_bank)
    assert f"Restored and checked: {ENTRIES} entries, 5 rows beside them" in said
    assert "equal, row for row" in other_bank.cli("rebuild", "--check")
    # The control: one figure of one contact is enough to tell two banks apart.
    in_bank(
        other_bank,
        "import django; django.setup()\nfrom buffycoat.people.models import OwnerContact\n"
        "OwnerContact.objects.update(phone='1')",
    )
    assert everything(worked_bank) != everything(other_bank)


def test_the_restored_bank_goes_on_working(copy, other_bank):
    """Numbers go on where they were, those of new people too."""
    other_bank.cli("restore", copy)
    assert "" == other_bank.cli("add-person", "sam", typed="another-password\n")
    assert f"{ENTRIES + 1} place/" in other_bank.cli(
        "do", "open-place", "--by", "sam", "--name", "F2", "--appliance", "fridge"
    )
    assert "may sign in already" in other_bank.cli("add-person", "robin", typed="x" * 9 + "\n", expect=1)
    assert f"is whole: {ENTRIES + 1} entries" in other_bank.cli("verify")


def test_a_copy_never_goes_over_a_bank_that_holds_anything(copy, worked_bank, quiet_bank, other_bank):
    before = everything(worked_bank)
    said = worked_bank.cli("restore", copy, expect=1)
    assert said.startswith(
        f"This bank is not empty: {ENTRIES} journal entries, 2 owner contacts, 1 groups, 2 users. "
        "Restore into an empty one"
    )
    assert before == everything(worked_bank)
    assert "not empty: 1 groups, 2 users" in quiet_bank.cli("restore", copy, expect=1)
    other_bank.cli("restore", copy)
    assert "not empty" in other_bank.cli("restore", copy, expect=1)


def test_the_manifest_says_what_is_in_it_and_sha256sum_agrees(worked_bank):
    said = worked_bank.cli("backup").splitlines()
    copy = Path(said[0])
    with zipfile.ZipFile(copy) as archive:
        manifest = json.loads(archive.read("manifest.json"))
        journal = archive.read("journal.txt").decode()
    assert (ENTRIES, 5) == (manifest["entries"], manifest["rows"])
    assert f"after {manifest['head']}" == journal.rstrip("\n").split("\n")[-1]
    checked = subprocess.run(
        ["sha256sum", "-c", f"{copy.name}.sha256"], cwd=copy.parent, capture_output=True, text=True
    )
    assert (0, f"{copy.name}: OK\n") == (checked.returncode, checked.stdout)
    assert 0o600 == copy.stat().st_mode & 0o777
    plain = [Path(line) for line in said if line.endswith(".sqlite3")]
    assert (worked_bank.database == "") == bool(plain)
    for path in plain:  # on SQLite also a plain file of the same moment
        with sqlite3.connect(path) as opened:
            assert [(ENTRIES,)] == opened.execute("SELECT COUNT(*) FROM journal_entry").fetchall()
            assert [("ok",)] == opened.execute("PRAGMA integrity_check").fetchall()


def test_no_flipped_bit_is_ever_restored_as_something_else(copy):
    """Anywhere in the file, at random: refused in one sentence, or harmless and then equal."""
    whole, good, chance, sentences = copy.read_bytes(), held(copy), Random(SEED), []
    for _ in range(FLIPS):
        place = chance.randrange(len(whole))
        copy.write_bytes(
            whole[:place] + bytes([whole[place] ^ 1 << chance.randrange(8)]) + whole[place + 1 :]
        )
        try:
            check_copy(copy)
            assert good == held(copy), place
        except Damaged as damaged:
            sentences.append(str(damaged))
    assert [] == [sentence for sentence in sentences if not sentence.endswith(".")]
    assert len(sentences) >= FLIPS * 3 // 4


def held(copy: Path) -> tuple[list[tuple[str, str]], str]:
    with parts(copy) as (sealed, rows):
        return list(sealed), rows.read()


def forged_line(journal: bytes) -> bytes:
    return journal.replace(b'"by":"kim"', b'"by":"kam"', 1)


def resealed(journal: bytes) -> bytes:
    """A forged line and every seal after it made anew."""
    rows = [row.split(" ", 1) for row in forged_line(journal).decode().rstrip("\n").split("\n")]
    previous, text = rows[0][1], [f"before {rows[0][1]}"]
    for _, line in rows[1:-1]:
        previous = seal(previous, line)
        text.append(f"{previous} {line}")
    return "\n".join([*text, f"after {previous}", ""]).encode()


def of_another_format(manifest: bytes) -> bytes:
    return json.dumps({**json.loads(manifest), "format": 2}).encode()


DAMAGE = {
    "cut in half": (
        lambda copy: copy.write_bytes(copy.read_bytes()[: copy.stat().st_size // 2]),
        "It cannot be read",
    ),
    "empty": (lambda copy: copy.write_bytes(b""), "It cannot be read"),
    "another file": (lambda copy: copy.write_bytes(gzip.compress(b"invented")), "It cannot be read"),
    "gone": (lambda copy: copy.unlink(), "There is no such file."),
    "a forged line": (
        lambda copy: rewritten(copy, "journal.txt", forged_line),
        f"Entry {ENTRIES} does not fit its seal",
    ),
    "a line and all seals": (lambda copy: rewritten(copy, "journal.txt", resealed), "or another head."),
    "a lost line": (
        lambda copy: rewritten(copy, "journal.txt", lambda text: re.sub(rb"\n[^\n]+", b"", text, count=1)),
        "Entry 1 does not fit its seal",
    ),
    "an end cut off": (
        lambda copy: rewritten(copy, "journal.txt", lambda text: b"\n".join(text.split(b"\n")[:-3]) + b"\n"),
        "Its end is missing.",
    ),
    "a forged row": (
        lambda copy: rewritten(copy, "rows.jsonl", lambda text: text.replace(b"example.org", b"example.com")),
        "Its part rows.jsonl was changed",
    ),
    "a later release": (
        lambda copy: rewritten(copy, "manifest.json", of_another_format),
        "Another release wrote it",
    ),
    "a broken manifest": (lambda copy: rewritten(copy, "manifest.json", lambda _: b"{"), "cannot be read."),
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_a_damaged_copy_is_found(copy, damage):
    assert ENTRIES == check_copy(copy).entries
    harm, words = DAMAGE[damage]
    harm(copy)
    with pytest.raises(Damaged, match=re.escape(words)):
        check_copy(copy)


def other_registers(manifest: bytes) -> bytes:
    values = json.loads(manifest)
    values["registers"]["labels.UnitRow"]["sha256"] = "0" * 64
    return json.dumps(values).encode()


REFUSED = {
    "journal.txt": (forged_line, f"Entry {ENTRIES} does not fit its seal"),
    "manifest.json": (other_registers, "differ from those of the bank: labels.UnitRow."),
}


@pytest.mark.parametrize("part", REFUSED)
def test_a_damaged_copy_is_refused_and_nothing_of_it_stays(copy, other_bank, part):
    change, words = REFUSED[part]
    rewritten(copy, part, change)
    said = other_bank.cli("restore", copy, "--strict", expect=1)
    assert words in said
    assert said.endswith("Nothing was restored.\n")
    assert 1 == len(said.splitlines())
    other_bank.cli("migrate")
    assert "is whole: 0 entries" in other_bank.cli("verify")
    assert "" == other_bank.cli("add-person", "robin", typed="another-password\n")


def test_wrong_registers_are_made_right_and_told(worked_bank, other_bank):
    in_bank(
        worked_bank,
        "import django; django.setup()\nfrom buffycoat.labels.models import UnitRow\n"
        "UnitRow.objects.update(volume_ml=1)",
    )
    assert "here they are right: labels.UnitRow." in other_bank.cli("restore", backed_up(worked_bank))
    assert "equal, row for row" in other_bank.cli("rebuild", "--check")


def _wait_until_each_records_again(benches, told):
    """Both processes are up and have recorded something more: a copy taken now differs from the one before."""
    before, end = [each.stat().st_size for each in told], time.monotonic() + 60
    while any(each.stat().st_size <= size for each, size in zip(told, before, strict=True)):
        assert time.monotonic() < end, "a bench records nothing"
        assert [None, None] == [bench.poll() for bench in benches]
        time.sleep(0.02)


def test_copies_taken_while_others_record_are_each_whole_and_nobody_waits_for_them(
    worked_bank, other_bank, tmp_path
):
    """Two benches record again and again; three copies are taken meanwhile."""
    script = """
import sys, time, django; django.setup()
from buffycoat.journal.record import record
from buffycoat.storage.places import OpenPlace
while True:
    record(OpenPlace(name="F", appliance="fridge"), by=sys.argv[1])
    print("recorded", flush=True)
    time.sleep(0.02)
"""
    benches = [
        subprocess.Popen(
            [sys.executable, "-c", script, who],
            env=worked_bank.environment,
            cwd=ROOT,
            stdout=(tmp_path / who).open("w"),
        )
        for who in ("robin", "kim")
    ]
    try:
        copies = []
        for _ in range(3):
            _wait_until_each_records_again(benches, [tmp_path / who for who in ("robin", "kim")])
            copies.append(backed_up(worked_bank))
    finally:
        running = [bench.poll() for bench in benches]
        for bench in benches:
            bench.kill()
            bench.wait()
    assert [None, None] == running
    counts = [json.loads(zipfile.ZipFile(copy).read("manifest.json"))["entries"] for copy in copies]
    assert ENTRIES < counts[0] < counts[1] < counts[2]
    assert f"Restored and checked: {counts[2]} entries" in other_bank.cli("restore", copies[2], "--strict")
    assert "equal, row for row" in worked_bank.cli("rebuild", "--check")


def test_only_the_last_copies_stay(worked_bank, tmp_path):
    made = [backed_up(worked_bank, "--to", tmp_path / "kept", "--keep", 2) for _ in range(3)]
    assert [False, True, True] == [copy.exists() for copy in made]
    per_copy = 2 if worked_bank.database else 3
    assert 2 * per_copy == len(list((tmp_path / "kept").iterdir()))
    assert 2 == len(list((worked_bank.data / "kept").glob("copy-*.json")))


def test_a_folder_that_cannot_be_written_is_said(worked_bank, tmp_path):
    (tmp_path / "a file").write_text("")
    said = worked_bank.cli("backup", "--to", tmp_path / "a file", expect=1)
    assert re.match(r"^No copy was made: (File exists|Not a directory): .*a file", said)


def test_no_copy_is_called_good_of_a_bank_that_is_not_whole(worked_bank):
    forge = (
        "import django; django.setup()\nfrom django.db import connection\n"
        "cursor = connection.cursor()\n"
        "cursor.execute('DROP TRIGGER entry_is_never_updated' if connection.vendor == 'sqlite' else "
        "'DROP TRIGGER entry_is_never_changed ON journal_entry')\n"
        "cursor.execute(\"UPDATE journal_entry SET line = REPLACE(line, 'robin', 'rob1n') WHERE number = 7\")"
    )
    in_bank(worked_bank, forge)
    assert "may be damaged: Entry 7 does not fit its seal" in worked_bank.cli("backup", expect=1)
    assert [] == list((worked_bank.data / "copies").iterdir())


def notes_of(bank: Bank, kind: str) -> list[dict]:
    return [json.loads(path.read_text()) for path in sorted((bank.data / "kept").glob(f"{kind}-*.json"))]


def test_a_drill_restores_the_newest_copy_and_notes_it(worked_bank):
    assert "There is no copy to try" in worked_bank.cli("drill", expect=1)
    backed_up(worked_bank)
    newest = backed_up(worked_bank)
    assert f"{newest} was restored into an empty bank and is equal: {ENTRIES} entries" in worked_bank.cli(
        "drill"
    )
    (note,) = notes_of(worked_bank, "drill")
    assert (str(newest), ENTRIES, "") == (note["file"], note["entries"], note["wrong"])
    assert datetime.fromisoformat(note["at"]).tzinfo is not None


def test_a_drill_of_a_damaged_copy_fails_and_is_noted(worked_bank):
    rewritten(backed_up(worked_bank), "journal.txt", forged_line)
    said = worked_bank.cli("drill", expect=1)
    assert "does NOT restore" in said
    assert f"Entry {ENTRIES} does not fit its seal" in notes_of(worked_bank, "drill")[0]["wrong"]
    assert f"Entry {ENTRIES} does not fit its seal" in said


def test_a_killed_backup_leaves_no_copy(worked_bank):
    """SIGKILL at random moments: what has the name of a copy is a whole one, or is not there."""
    chance = Random(SEED)
    for _ in range(5):
        process = subprocess.Popen(
            [BUFFYCOAT, "backup"], env=worked_bank.environment, stdout=subprocess.DEVNULL
        )
        try:
            process.wait(timeout=chance.uniform(0.3, 1.6))
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
    for copy in (worked_bank.data / "copies").glob("*.zip"):
        assert ENTRIES == check_copy(copy).entries
    assert f"{ENTRIES} entries" in worked_bank.cli("backup")
