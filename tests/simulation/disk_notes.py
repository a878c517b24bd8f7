"""What SQLite did to its files, in order, and what a power cut at some point may leave of them.

Each file holds for certain what it held at its last sync. Of what came after, any part may be there: a write may be
kept, dropped or torn (only some of its sectors), a file may have grown without its content, a new file may be missing
and a deleted one be back. A later write may be there where an earlier one is not: disks do not keep the order.
"""

import random
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

SECTOR = 512  # what a disk writes whole or not at all


@dataclass(frozen=True)
class Written:
    file: int
    offset: int
    data: bytes


@dataclass(frozen=True)
class Truncated:
    file: int
    size: int


@dataclass(frozen=True)
class Synced:
    file: int


@dataclass(frozen=True)
class Named:
    """From here on this name means that file, or none."""

    name: str
    file: int | None
    synced: bool = False


@dataclass(frozen=True)
class Told:
    """Not the disk's: here a person was told that this command is recorded, as so many entries."""

    command_id: str
    entries: int


Change = Written | Truncated
Note = Change | Synced | Named | Told


@dataclass
class Notes:
    """Of the files of one folder. `before` and `names` are what is certainly on the disk at first."""

    folder: Path
    before: list[bytes] = field(default_factory=list)
    names: dict[str, int] = field(default_factory=dict)
    notes: list[Note] = field(default_factory=list)
    syncs_fail: bool = False

    def __post_init__(self) -> None:
        self._opened: dict[int, int] = {}
        for path in sorted(self.folder.iterdir()):
            self.names[path.name] = len(self.before)
            self.before.append(path.read_bytes())
        self._now, self._files = dict(self.names), len(self.before)

    def opened(self, address: int, name: str, *, created: bool) -> None:
        if created:
            self._now[name], self._files = self._files, self._files + 1
            self.notes.append(Named(name, self._now[name]))
        self._opened[address] = self._now[name]

    def deleted(self, name: str, *, synced: bool) -> None:
        del self._now[name]
        self.notes.append(Named(name, None, synced))

    def written(self, address: int, offset: int, data: bytes) -> None:
        self.notes.append(Written(self._opened[address], offset, data))

    def truncated(self, address: int, size: int) -> None:
        self.notes.append(Truncated(self._opened[address], size))

    def synced(self, address: int) -> None:
        self.notes.append(Synced(self._opened[address]))

    def told(self, command_id: str, entries: int) -> None:
        self.notes.append(Told(command_id, entries))


class Disk:
    """The certain content of each file, and the changes since its last sync. `lies`: a sync does nothing."""

    def __init__(self, notes: Notes, upto: int, *, lies: bool = False) -> None:
        self.sure = {number: bytearray(content) for number, content in enumerate(notes.before)}
        self.names, self.loose_names = dict(notes.names), list[Named]()
        self.loose: dict[int, list[Change]] = {number: [] for number in self.sure}
        self.told: dict[str, int] = {}
        self.lies = lies
        for note in notes.notes[:upto]:
            self._follow(note)

    def _follow(self, note: Note) -> None:
        match note:
            case Told(command_id, entries):
                self.told[command_id] = entries
            case Named(_, file, synced):
                self.loose_names.append(note)
                if file is not None:
                    self.sure[file], self.loose[file] = bytearray(), []
                if synced and not self.lies:
                    self._folder_synced()
            case Synced(file):
                if not self.lies:
                    self._file_synced(file)
            case Written(file) | Truncated(file):
                self.loose[file].append(note)

    def _file_synced(self, file: int) -> None:
        for change in self.loose[file]:
            _apply(self.sure[file], change, b"\0")
        self.loose[file] = []
        if any(named.file == file for named in self.loose_names):
            self._folder_synced()  # SQLite syncs the folder with the first sync of a new log

    def _folder_synced(self) -> None:
        for named in self.loose_names:
            _rename(self.names, named)
        self.loose_names = []

    @property
    def changes(self) -> int:
        """How many are not certain."""
        return sum(map(len, self.loose.values())) + len(self.loose_names)

    def cut(self, draw: random.Random) -> dict[str, bytes]:
        """The files as they may be found when the power is back."""
        names = dict(self.names)
        for named in self.loose_names[: draw.randint(0, len(self.loose_names))]:  # folders keep their order
            _rename(names, named)
        kept, fill = draw.choice((0.0, 0.2, 0.5, 0.8, 0.95, 1.0)), draw.choice((b"\0", draw.randbytes(1)))
        found = {}
        for name, file in names.items():
            content = bytearray(self.sure[file])
            for change in self.loose[file]:
                _maybe(content, change, kept, fill, draw)
            found[name] = bytes(content)
        return found


def _rename(names: dict[str, int], named: Named) -> None:
    names.pop(named.name, None)
    if named.file is not None:
        names[named.name] = named.file


def _maybe(content: bytearray, change: Change, kept: float, fill: bytes, draw: random.Random) -> None:
    if draw.random() < kept:
        _apply(content, change, fill)
        return
    if isinstance(change, Truncated):
        return
    if draw.random() < 0.5:  # its size is there, its content is not
        _grow(content, change.offset + len(change.data), fill)
    if draw.random() < 0.5:  # torn
        for piece in _sectors(change):
            if draw.random() < 0.5:
                _apply(content, piece, fill)


def _sectors(change: Written) -> list[Written]:
    end = change.offset + len(change.data)
    edges = [change.offset, *range(change.offset // SECTOR * SECTOR + SECTOR, end, SECTOR), end]
    return [
        Written(change.file, start, change.data[start - change.offset : stop - change.offset])
        for start, stop in pairwise(edges)
    ]


def _apply(content: bytearray, change: Change, fill: bytes) -> None:
    if isinstance(change, Truncated):
        del content[change.size :]
        _grow(content, change.size, fill)
        return
    end = change.offset + len(change.data)
    _grow(content, change.offset, fill)
    content[change.offset : end] = change.data


def _grow(content: bytearray, size: int, fill: bytes) -> None:
    content.extend(fill * (size - len(content)))
