"""The file of a copy: a zip of the journal as sealed text, the plain rows beside it, and what there must be of each."""

import hashlib
import io
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO, TextIO

import msgspec

import buffycoat
from buffycoat.journal.chain import START
from buffycoat.journal.models import Entry, Head
from buffycoat.keeping.digests import Register, registers
from buffycoat.keeping.ordinary import write_ordinary
from buffycoat.keeping.sealed_text import Damaged, read_rows, write_rows

FORMAT = 1
JOURNAL, ROWS, MANIFEST = "journal.txt", "rows.jsonl", "manifest.json"
UNREADABLE = (
    zipfile.BadZipFile,
    zlib.error,
    OSError,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ValueError,
)


class Manifest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """`sha256` is by part. `registers` are those of the bank that was copied, to compare with."""

    format: int
    release: str
    made_at: datetime
    database: str
    entries: int
    head: str
    rows: int
    sha256: dict[str, str]
    registers: dict[str, Register]


class _Part:
    """Writes text into one part and adds up its SHA-256."""

    def __init__(self, part: IO[bytes]) -> None:
        self._part, self.sum = part, hashlib.sha256()

    def write(self, text: str) -> None:
        self._part.write(text.encode())
        self.sum.update(text.encode())


def write_copy(path: Path, *, made_at: datetime, database: str) -> Manifest:
    """Writes the bank as it stands; the caller sees to it that it stands still."""
    head = Head.objects.get(id=1)
    sums: dict[str, str] = {}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        with _part(archive, JOURNAL, sums) as part:
            sealed = Entry.objects.order_by("number").values_list("hash", "line").iterator(2_000)
            for row in write_rows(START, sealed):
                part.write(row)
        with _part(archive, ROWS, sums) as part:
            rows = write_ordinary(part)
        manifest = Manifest(
            format=FORMAT,
            release=buffycoat.__version__,
            made_at=made_at,
            database=database,
            entries=head.number,
            head=head.hash,
            rows=rows,
            sha256=sums,
            registers=registers(),
        )
        archive.writestr(MANIFEST, msgspec.json.format(msgspec.json.encode(manifest), indent=1))
    return manifest


@contextmanager
def _part(archive: zipfile.ZipFile, name: str, sums: dict[str, str]) -> Iterator[_Part]:
    with archive.open(name, "w", force_zip64=True) as file:
        part = _Part(file)
        yield part
    sums[name] = part.sum.hexdigest()


def check_copy(path: Path) -> Manifest:
    """Reads all of it, changes nothing, and raises `Damaged` with the first thing that is wrong."""
    with _opened(path) as archive:
        manifest = _manifest(archive)
        count, head = 0, START
        with archive.open(JOURNAL) as journal:
            for count, (seal, _) in enumerate(read_rows(journal), 1):  # noqa: B007
                head = seal
        if (count, head) != (manifest.entries, manifest.head):
            raise Damaged(f"It says {manifest.entries} entries and holds {count}, or another head.")
        for name in (JOURNAL, ROWS):
            with archive.open(name) as part:
                if _sha256(part) != manifest.sha256.get(name):
                    raise Damaged(f"Its part {name} was changed: the SHA-256 is not the one in {MANIFEST}.")
        return manifest


def _sha256(part: IO[bytes]) -> str:
    found = hashlib.sha256()
    while piece := part.read(1 << 20):
        found.update(piece)
    return found.hexdigest()


def _manifest(archive: zipfile.ZipFile) -> Manifest:
    if {JOURNAL, ROWS, MANIFEST} != set(archive.namelist()):
        raise Damaged("It is not a copy of a bank: it holds other parts.")
    text = archive.read(MANIFEST)
    try:
        if msgspec.json.decode(text)["format"] != FORMAT:
            raise Damaged("Another release wrote it: restore it with that release.")
        return msgspec.json.decode(text, type=Manifest)
    except (msgspec.DecodeError, KeyError, TypeError):
        raise Damaged(f"Its part {MANIFEST} cannot be read.") from None


@contextmanager
def _opened(path: Path) -> Iterator[zipfile.ZipFile]:
    if not path.is_file():
        raise Damaged("There is no such file.")
    try:
        with zipfile.ZipFile(path) as archive:
            yield archive
    except Damaged:
        raise
    except UNREADABLE as trouble:
        raise Damaged(f"It cannot be read: it is damaged or is no copy of a bank ({trouble}).") from None


@contextmanager
def parts(path: Path) -> Iterator[tuple[Iterator[tuple[str, str]], TextIO]]:
    """The sealed lines and the rows of a copy that was checked."""
    with _opened(path) as archive, archive.open(JOURNAL) as journal, archive.open(ROWS) as rows:
        yield read_rows(journal), io.TextIOWrapper(rows, encoding="utf-8", newline="\n")
