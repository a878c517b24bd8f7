"""What a bench was told is recorded survives a power cut; and the shim can lose whatever was not synced."""

import random
import sqlite3
import subprocess
import sys

import pytest

from tests.harness.server import ROOT
from tests.simulation.disk_notes import SECTOR, Disk, Named, Notes, Synced, Told, Truncated, Written
from tests.simulation.lossy_disk import noted, out_of_reach

CUTS, SEED = 100, 7
hooked = pytest.mark.skipif(
    out_of_reach(), reason="the SQLite of this Python cannot be hooked: use the system's"
)
OLD, NEW = b"o" * SECTOR * 4, b"n" * SECTOR * 4


@hooked
def test_nothing_told_is_lost_by_a_power_cut_and_the_book_is_whole():
    command = [sys.executable, "-m", "tests.simulation.power_cut", "--cuts", str(CUTS), "--seed", str(SEED)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert 0 == done.returncode, done.stdout + done.stderr
    first, lies, normal = done.stdout.splitlines()
    assert f"seed {SEED}: {CUTS} power cuts" in first
    assert lies.startswith("Control, a disk that lies: cut ")
    assert normal.startswith("Control, synchronous=NORMAL: cut ")


@pytest.fixture
def notes(tmp_path):
    (tmp_path / "book").write_bytes(OLD)
    return Notes(tmp_path)


def after_cuts(notes, *since):
    """Everything that 200 cuts at the end of these notes leave."""
    notes.notes += since
    return [Disk(notes, len(notes.notes)).cut(random.Random(seed)) for seed in range(200)]


def test_what_was_synced_is_there_and_nothing_else_is_certain(notes):
    written = Written(0, 0, NEW)
    assert [{"book": NEW}] * 200 == after_cuts(notes, written, Synced(0), Told("a", 1))
    assert {OLD, NEW} <= {left["book"] for left in after_cuts(notes, Written(0, 0, OLD))}


def test_a_write_that_was_not_synced_is_kept_dropped_or_torn_at_sectors(notes):
    left = {cut["book"] for cut in after_cuts(notes, Written(0, 0, NEW))}
    sectors = [{content[at : at + SECTOR] for content in left} for at in range(0, len(OLD), SECTOR)]
    assert [{OLD[:SECTOR], NEW[:SECTOR]}] * 4 == sectors
    assert {OLD, NEW} < left


def test_a_later_write_may_be_there_without_the_earlier_one(notes):
    left = after_cuts(notes, Written(0, 0, NEW[:SECTOR]), Written(0, SECTOR, NEW[:SECTOR]))
    assert OLD[:SECTOR] + NEW[:SECTOR] + OLD[: 2 * SECTOR] in [cut["book"] for cut in left]


def test_a_file_may_have_grown_without_its_content_or_be_as_long_as_before(notes):
    left = {cut["book"] for cut in after_cuts(notes, Written(0, len(OLD), NEW), Truncated(0, SECTOR))}
    assert {OLD, OLD + NEW, OLD + bytes(len(NEW)), OLD[:SECTOR]} <= left


def test_a_new_file_may_be_missing_and_a_deleted_one_be_back(notes):
    left = after_cuts(notes, Named("log", 1), Named("book", None))
    assert [["book"], ["book", "log"], ["log"]] == sorted({tuple(cut): sorted(cut) for cut in left}.values())
    synced = after_cuts(notes, Named("log", None, synced=True))
    assert [{}] * 200 == synced


def test_a_disk_that_lies_has_nothing_for_certain(notes):
    notes.notes += [Written(0, 0, NEW), Synced(0)]
    left = [Disk(notes, 2, lies=True).cut(random.Random(seed))["book"] for seed in range(50)]
    assert {OLD, NEW} <= set(left)


@hooked
@pytest.mark.parametrize(("synchronous", "synced"), [("FULL", True), ("NORMAL", False)])
def test_the_shim_is_under_the_sqlite_that_python_uses(tmp_path, synchronous, synced):
    path = tmp_path / "book"
    with noted(tmp_path) as notes:
        book = sqlite3.connect(path, isolation_level=None)
        book.execute("PRAGMA journal_mode=WAL")
        book.execute(f"PRAGMA synchronous={synchronous}")
        book.execute("CREATE TABLE entry (line TEXT)")
        before = len(notes.notes)
        book.execute("INSERT INTO entry VALUES ('231 g')")
        kinds = [type(note) for note in notes.notes[before:]]
        book.close()
    assert Written in kinds
    assert synced == (Synced is kinds[-1])
    assert [("231 g",)] == sqlite3.connect(path).execute("SELECT line FROM entry").fetchall()
