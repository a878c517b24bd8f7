"""What was kept when: one small JSON file for each copy and each drill, in the bank's data folder.

One file each, so that two copies made at once cannot write over each other's note.
"""

from datetime import datetime
from pathlib import Path
from typing import ClassVar, TypeVar

import msgspec
from django.conf import settings


class Note(msgspec.Struct, frozen=True, kw_only=True):
    kind: ClassVar[str]
    at: datetime


class CopyNote(Note, frozen=True, kw_only=True):
    """A copy that was read back after it was written. `plain` is the SQLite file beside it, if there is one."""

    kind = "copy"
    file: str
    plain: str
    entries: int
    head: str
    rows: int
    sha256: str
    size_bytes: int

    @property
    def path(self) -> Path:
        return Path(self.file)

    @property
    def seen(self) -> bool:
        """Is it where it was put, at its full size? A disk that is taken away is not seen."""
        return self.path.is_file() and self.path.stat().st_size == self.size_bytes


class DrillNote(Note, frozen=True, kw_only=True):
    """A copy restored into a temporary place. `wrong` is empty when all of it was equal."""

    kind = "drill"
    file: str
    entries: int
    wrong: str
    took_s: int


NoteT = TypeVar("NoteT", bound=Note)


def folder() -> Path:
    return settings.DATA / "kept"


def write(note: Note) -> None:
    folder().mkdir(parents=True, exist_ok=True)
    path = _path(note)
    unfinished = path.with_suffix(".part")
    unfinished.write_bytes(msgspec.json.format(msgspec.json.encode(note), indent=1))
    unfinished.replace(path)


def read(kind: type[NoteT]) -> list[NoteT]:
    """The newest first. A note that cannot be read is left out: it vouches for nothing."""
    found = []
    for path in folder().glob(f"{kind.kind}-*.json"):
        try:
            found.append(msgspec.json.decode(path.read_bytes(), type=kind))
        except (OSError, msgspec.DecodeError):
            continue
    return sorted(found, key=lambda note: note.at, reverse=True)


def forget(note: Note) -> None:
    _path(note).unlink(missing_ok=True)


def _path(note: Note) -> Path:
    return folder() / f"{note.kind}-{note.at:%Y%m%dT%H%M%S.%fZ}.json"
