"""A copy of the bank while it is at work, read back before it counts."""

import hashlib
import os
import sqlite3
import time
from contextlib import closing, nullcontext, suppress
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.db import connection

from buffycoat.journal.still import standing_still
from buffycoat.keeping import notes
from buffycoat.keeping.copies import check_copy, write_copy
from buffycoat.keeping.notes import CopyNote

KEEP = 30  # copies in one folder; a month of daily ones. Common practice, no source: `--keep` says otherwise


def back_up(folder: Path | None = None, *, keep: int = KEEP) -> CopyNote:
    """Writes a copy, notes it, takes the oldest away. Raises OSError or Damaged, and then leaves nothing."""
    folder = (folder or settings.COPIES).absolute()
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    _take_away_unfinished(folder)
    note = make_copy(folder)
    notes.write(note)
    _take_away_all_but(keep, folder)
    return note


def make_copy(folder: Path, *, still: bool = True) -> CopyNote:
    """A copy, with a plain SQLite file beside it where the bank is one.

    Without `still` the caller holds the bank for writing; SQLite then gives no plain file.
    """
    at = datetime.now(UTC)
    path = folder / f"copy-{at:%Y%m%dT%H%M%S.%fZ}.zip"
    plain = path.with_suffix(".sqlite3") if still and connection.vendor == "sqlite" else None
    wanted = [each for each in (path, plain) if each]
    unfinished = [each.with_name(f"{each.name}.part") for each in wanted]
    try:
        for each in unfinished:
            os.close(os.open(each, os.O_CREAT | os.O_EXCL, 0o600))  # it holds contacts: nobody else reads it
        with standing_still() if still else nullcontext():
            manifest = write_copy(unfinished[0], made_at=at, database=connection.vendor)
            if plain:
                _copy_plainly(unfinished[1], manifest.entries)
        check_copy(unfinished[0])
        for each, whole in zip(unfinished, wanted, strict=True):
            _flush(each)
            each.replace(whole)
        _flush(folder)
    finally:
        for each in unfinished:
            each.unlink(missing_ok=True)
    with path.open("rb") as file:
        sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    path.with_name(f"{path.name}.sha256").write_text(f"{sha256}  {path.name}\n")
    return CopyNote(
        at=at,
        file=str(path),
        plain=str(plain or ""),
        entries=manifest.entries,
        head=manifest.head,
        rows=manifest.rows,
        sha256=sha256,
        size_bytes=path.stat().st_size,
    )


def _copy_plainly(path: Path, entries: int) -> None:
    """SQLite's own backup of the same moment, all pages in one step, as one file without a log beside it."""
    try:
        with closing(sqlite3.connect(path)) as target:
            connection.connection.backup(target, pages=-1, progress=_once)
            target.execute("PRAGMA journal_mode=DELETE")
            (found,) = target.execute("PRAGMA integrity_check").fetchone()
            (held,) = target.execute("SELECT COUNT(*) FROM journal_entry").fetchone()
    except sqlite3.Error as trouble:
        raise OSError(f"the plain SQLite copy cannot be written, {trouble}") from None
    if (found, held) != ("ok", entries):
        raise OSError(f"the plain SQLite copy is not whole: {found}, {held} of {entries} entries")


def _once(status: int, remaining: int, total: int) -> None:
    """All pages go in one step; a step that could not begin would be tried for ever."""
    if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        raise OSError("SQLite could not begin its backup: something else holds the file")


def _flush(path: Path) -> None:
    """Onto the disk, not only into the machine's memory. Windows has no such call for a folder."""
    if path.is_dir() and os.name == "nt":
        return
    descriptor = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _take_away_unfinished(folder: Path) -> None:
    """What a killed backup left; one that is at work now is younger than a day."""
    for path in folder.glob("copy-*.part"):
        with suppress(OSError):
            if time.time() - path.stat().st_mtime > 24 * 60 * 60:
                path.unlink()


def _take_away_all_but(keep: int, folder: Path) -> None:
    here = [note for note in notes.read(CopyNote) if note.path.parent == folder]
    for note in here[max(keep, 1) :]:
        with suppress(OSError):  # a copy that cannot be taken away is no reason to call the new one bad
            for file in (
                note.path,
                note.path.with_name(f"{note.path.name}.sha256"),
                Path(note.plain or note.file),
            ):
                file.unlink(missing_ok=True)
            notes.forget(note)
