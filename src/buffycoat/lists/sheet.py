"""A spreadsheet from outside, read as text and nothing else: no formula is worked out, no macro is opened.

A file may be anything, so its size is looked at before it is unpacked, and every reason against it is one sentence.
"""

import codecs
import csv
import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

MOST_BYTES = 2_000_000
MOST_UNPACKED_BYTES = 30_000_000
MOST_ROWS = 2_000
MOST_COLUMNS = 60
LONGEST_CELL = 2_000
SEPARATORS = ",;\t|"
LOOKED_AT = 30  # rows by which the separator is found
OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
SAVE_ANEW = "open it in your spreadsheet program and save it anew as .xlsx or CSV."


class Unreadable(Exception):
    """Why the file as a whole cannot be taken; the sentence says what to do."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """`number` is that at the left edge of the spreadsheet."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Sheet:
    headings: tuple[str, ...]
    rows: tuple[Row, ...]


def read_sheet(content: bytes) -> Sheet:
    """The first table of a file, with the row of its headings.

    Raises: Unreadable.
    """
    if not content:
        raise Unreadable("The file is empty.")
    if len(content) > MOST_BYTES:
        raise Unreadable(
            f"The file has {len(content) / 1e6:.1f} MB; at most {MOST_BYTES / 1e6:g} MB are read. "
            "Leave pictures out, or bring it in in parts."
        )
    if content.startswith(OLD_WORKBOOK):
        raise Unreadable(f"This is a workbook of the old kind, or one with a password: {SAVE_ANEW}")
    return _table(_of_workbook(content) if content.startswith(b"PK") else _of_text(content))


def _table(lines: Iterable[Sequence[str]]) -> Sheet:
    """The headings are the first row with two filled cells or more; what stands above it is a title."""
    headings: tuple[str, ...] = ()
    rows = []
    for number, cells in enumerate(lines, start=1):
        filled = _filled(number, cells)
        if headings and filled:
            rows.append(Row(number=number, cells=tuple(filled)))
        elif sum(map(bool, filled)) >= 2:
            headings = _named(filled)
        if len(rows) > MOST_ROWS:
            raise Unreadable(f"The list has more than {MOST_ROWS} rows: bring it in in parts.")
        if number > 10 * MOST_ROWS:
            raise Unreadable(f"The list goes on below row {number - 1}: delete the empty rows between.")
    if not headings:
        raise Unreadable("No row of headings was found: the first row says what each column holds.")
    if not rows:
        raise Unreadable("Below the headings there is no row.")
    return Sheet(headings=headings, rows=tuple(rows))


def _filled(number: int, cells: Sequence[str]) -> list[str]:
    """Without the empty cells at the end."""
    filled = [cell.strip() for cell in cells]
    while filled and not filled[-1]:
        filled.pop()
    if any(len(cell) > LONGEST_CELL for cell in filled):
        raise Unreadable(f"Row {number} has a cell of over {LONGEST_CELL} characters: is it a list?")
    if len(filled) > MOST_COLUMNS:
        raise Unreadable(f"Row {number} has over {MOST_COLUMNS} columns: leave out what is not needed.")
    return filled


def _named(cells: Sequence[str]) -> tuple[str, ...]:
    """Each column has a name of its own."""
    names: list[str] = []
    for place, cell in enumerate(cells, start=1):
        name = " ".join(cell.split())[:80] or f"column {place}"
        names.append(f"{name} ({place})" if name in names else name)
    return tuple(names)


def _of_text(content: bytes) -> Iterator[list[str]]:
    text = _decoded(content)
    first, _, rest = text.partition("\n")
    separator = ""
    if first.strip().lower().startswith("sep=") and len(first.strip()) == 5:
        separator, text = first.strip()[4], rest
    try:
        separator = separator or _separator(text)
        yield from csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    except csv.Error as error:
        raise Unreadable(f"The file is no table that can be read ({error}): {SAVE_ANEW}") from None


def _decoded(content: bytes) -> str:
    """By its mark, else UTF-8, else the old code page of Western Europe, in which every byte but five is a letter."""
    coding = next((coding for mark, coding in MARKS if content.startswith(mark)), "")
    for each in (coding,) if coding else ("utf-8", "cp1252"):
        try:
            text = content.decode(each)
        except UnicodeDecodeError:
            continue
        if not any(character < " " and character not in "\t\r\n" for character in text):
            return text
    raise Unreadable(f"The file is neither a workbook nor text: {SAVE_ANEW}")


def _separator(text: str) -> str:
    """The one that cuts the first rows into most columns, as evenly as may be."""

    def evenness(separator: str) -> tuple[int, int]:
        lines = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        widths = [len(line) for line, _ in zip(lines, range(LOOKED_AT), strict=False) if any(line)]
        most = max(widths, default=0)
        return (sum(width == most for width in widths) if most > 1 else 0), most

    return max(SEPARATORS, key=evenness)


def _of_workbook(content: bytes) -> Iterator[list[str]]:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            _refuse_what_is_packed(packed.infolist())
        import openpyxl  # here: it would make every start a quarter of a second longer

        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
        sheet = next((each for each in book.worksheets if _first_filled(each)), None)
        if sheet is None:
            raise Unreadable("The workbook holds no filled sheet.")
        for cells in sheet.iter_rows(max_col=MOST_COLUMNS + 1):
            yield [_text(cell) for cell in cells]
    except Unreadable:
        raise
    except Exception as error:  # a damaged workbook breaks the reader in more ways than it names
        raise Unreadable(f"The workbook is damaged: {SAVE_ANEW}") from error


def _refuse_what_is_packed(parts: Sequence[zipfile.ZipInfo]) -> None:
    names = {part.filename.lower() for part in parts}
    if any("vbaproject" in name or "macrosheets/" in name for name in names):
        raise Unreadable("This workbook holds macros: save it as .xlsx without them, or as CSV.")
    if "xl/workbook.xml" not in names:
        raise Unreadable(f"This is no workbook that is read here: {SAVE_ANEW}")
    unpacked = sum(part.file_size for part in parts)
    if unpacked > MOST_UNPACKED_BYTES or len(parts) > 1_000:
        raise Unreadable(f"Unpacked, the workbook is too large ({unpacked / 1e6:.0f} MB): {SAVE_ANEW}")


def _first_filled(sheet: Any) -> bool:
    rows = sheet.iter_rows(max_row=50, max_col=MOST_COLUMNS, values_only=True)
    return any(value is not None for row in rows for value in row)


def _text(cell: Any) -> str:
    """The cell as people would write it down: days by the calendar, whole numbers without a point."""
    match cell.value:
        case None:
            return ""
        case bool(value):
            return "yes" if value else "no"
        case datetime() as value:
            at_midnight = value.time() == time()
            return f"{value:%Y-%m-%d}" if at_midnight else f"{value:%Y-%m-%d %H:%M}"
        case date() as value:
            return value.isoformat()
        case float(value) if value.is_integer() and abs(value) < 1e15:
            return str(int(value))
        case value if cell.data_type == "f":
            return value if isinstance(value, str) else "="
        case value:
            return str(value)
