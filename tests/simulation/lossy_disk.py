"""A layer between SQLite and its files that knows what was synced. It is hooked into the SQLite that Python itself
uses, so that the program runs on it unchanged: each write, truncation, sync, creation and deletion is noted and done.

Nothing is lost here: what a power cut leaves of the files is drawn from the notes, in `disk_notes.py`.
"""

import _sqlite3
import ctypes
from collections.abc import Iterator
from contextlib import contextmanager
from ctypes import CFUNCTYPE, POINTER, byref, c_char_p, c_int, c_int64, c_void_p, cast
from pathlib import Path
from typing import Any

from tests.simulation.disk_notes import Notes

OK, SYNC_FAILED = 0, 1034  # SQLITE_IOERR_FSYNC
# In the order in which SQLite declares them.
FILE_METHODS = (
    "close read write truncate sync file_size lock unlock check_reserved_lock file_control sector_size "
    "device_characteristics shm_map shm_lock shm_barrier shm_unmap fetch unfetch"
).split()
DISK_METHODS = (
    "open delete access full_pathname dl_open dl_error dl_sym dl_close randomness sleep current_time "
    "get_last_error current_time_int64 set_system_call get_system_call next_system_call"
).split()
# A path is handed on as the pointer that it is: SQLite goes on using it after the call.
Open = CFUNCTYPE(c_int, c_void_p, c_void_p, c_void_p, c_int, c_void_p)
Delete = CFUNCTYPE(c_int, c_void_p, c_void_p, c_int)
Write = CFUNCTYPE(c_int, c_void_p, c_void_p, c_int, c_int64)
Truncate = CFUNCTYPE(c_int, c_void_p, c_int64)
Sync = CFUNCTYPE(c_int, c_void_p, c_int)


class _FileMethods(ctypes.Structure):
    _fields_ = [("version", c_int), *((name, c_void_p) for name in FILE_METHODS)]


class _File(ctypes.Structure):
    _fields_ = [("methods", POINTER(_FileMethods))]


class _Disk(ctypes.Structure):
    _fields_ = [
        ("version", c_int),
        ("file_size", c_int),
        ("most_pathname", c_int),
        ("next", c_void_p),
        ("name", c_char_p),
        ("app_data", c_void_p),
        *((name, c_void_p) for name in DISK_METHODS),
    ]


@contextmanager
def noted(folder: Path) -> Iterator[Notes]:
    """While the block runs, SQLite's work on the files of this folder is noted. Connections are opened and closed
    within it.
    """
    sqlite = _sqlite()
    real = sqlite.sqlite3_vfs_find(None)
    hook = _Hook(real.contents, Notes(folder))
    assert OK == sqlite.sqlite3_vfs_register(byref(hook.disk), 1)
    try:
        yield hook.notes
    finally:
        sqlite.sqlite3_vfs_register(real, 1)
        sqlite.sqlite3_vfs_unregister(byref(hook.disk))


def out_of_reach() -> bool:
    """Some Pythons have SQLite built in and hidden; the system's own Python has not."""
    return not hasattr(ctypes.CDLL(getattr(_sqlite3, "__file__", None)), "sqlite3_vfs_find")


def _sqlite() -> Any:
    library = ctypes.CDLL(getattr(_sqlite3, "__file__", None))
    library.sqlite3_vfs_find.restype = POINTER(_Disk)
    return library


class _Hook:
    """The real disk's table of functions with four changed. The files stay the real ones."""

    def __init__(self, real: _Disk, notes: Notes) -> None:
        self.notes = notes
        self.tables: dict[int, _FileMethods] = {}
        self.kept: list[Any] = []  # what SQLite points to must not be collected
        self.disk = _Disk.from_buffer_copy(real)
        self.disk.name = b"noted"
        self._put(self.disk, "open", Open, self._open)
        self._put(self.disk, "delete", Delete, self._delete)

    def _put(self, table: Any, name: str, kind: Any, ours: Any) -> None:
        """Our function in that place of the table, which is given the real one first."""
        real = kind(getattr(table, name))
        hooked = kind(lambda *given: ours(real, *given))
        self.kept += [real, hooked]
        setattr(table, name, cast(hooked, c_void_p))

    def _open(self, real: Any, disk: int, path: int | None, file: int, flags: int, out: int) -> int:
        named = _path(path) if path else None
        there = bool(named and named.exists())
        code: int = real(disk, path, file, flags, out)
        if code == OK and named and named.parent == self.notes.folder:
            self.notes.opened(file, named.name, created=not there)
            opened = cast(file, POINTER(_File)).contents
            opened.methods = ctypes.pointer(self._table(opened.methods))
        return code

    def _table(self, real: Any) -> _FileMethods:
        address = ctypes.addressof(real.contents)
        if address not in self.tables:
            table = self.tables[address] = _FileMethods.from_buffer_copy(real.contents)
            self._put(table, "write", Write, self._write)
            self._put(table, "truncate", Truncate, self._truncate)
            self._put(table, "sync", Sync, self._sync)
        return self.tables[address]

    def _delete(self, real: Any, disk: int, path: int, and_sync: int) -> int:
        code: int = real(disk, path, and_sync)
        named = _path(path)
        if code == OK and named.parent == self.notes.folder:
            self.notes.deleted(named.name, synced=bool(and_sync))
        return code

    def _write(self, real: Any, file: int, data: int, size: int, offset: int) -> int:
        self.notes.written(file, offset, ctypes.string_at(data, size))
        code: int = real(file, data, size, offset)
        return code

    def _truncate(self, real: Any, file: int, size: int) -> int:
        self.notes.truncated(file, size)
        code: int = real(file, size)
        return code

    def _sync(self, _: Any, file: int, flags: int) -> int:
        """The real sync is left out: what survives is for the notes to say, and waiting for a disk takes long."""
        if self.notes.syncs_fail:
            return SYNC_FAILED
        self.notes.synced(file)
        return OK


def _path(address: int) -> Path:
    return Path(ctypes.string_at(address).decode())
