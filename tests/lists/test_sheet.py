"""A file from outside is read as text, whatever it is; what is no list is refused in one sentence."""

import io
import zipfile

import pytest

from buffycoat.lists import sheet as reading
from buffycoat.lists.sheet import MOST_ROWS, Unreadable, read_sheet
from tests.lists.sheets import CONTINENTAL, PLAIN, WORKBOOK, workbook

TWO = (("Name", "Sex"), ("Ärmel", "f"))


def cells(content):
    found = read_sheet(content)
    return found.headings, [(row.number, row.cells) for row in found.rows]


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_every_separator_and_coding_reads_alike(coding, separator, end):
    text = end.join(separator.join(line) for line in TWO)
    assert (("Name", "Sex"), [(2, ("Ärmel", "f"))]) == cells(text.encode(coding))


def test_a_separator_named_in_the_first_row_is_taken_and_the_row_is_not_counted():
    assert (("Name", "Sex"), [(2, ("A;B", "f"))]) == cells(b"sep=,\nName,Sex\nA;B,f\n")


def test_a_title_above_the_headings_and_empty_rows_are_passed_over_and_row_numbers_are_the_spreadsheet_s():
    headings, rows = cells(CONTINENTAL.encode("cp1252"))
    assert "Tierart" == headings[2]
    assert [4, 5, 6] == [number for number, _ in rows]
    assert [3, 5, 6, 7] == [number for number, _ in cells(workbook())[1]]


def test_columns_without_a_name_or_with_one_twice_can_be_told_apart():
    assert ("Name", "column 2", "Name (3)") == read_sheet(b"Name,,Name\na,b,c\n").headings


def test_a_workbook_says_days_as_days_and_whole_numbers_without_a_point():
    rows = dict(cells(workbook())[1])
    assert ("Juniper", "Canine", "FS", "2021-03-04", "66.5", "900000000000201", "2024-01-05") == rows[3]


def test_a_formula_is_never_worked_out():
    assert "=5*14" == dict(cells(workbook())[1])[7][4]


def test_a_workbook_whose_first_sheet_is_empty_is_read_on_its_second():
    import openpyxl

    book = openpyxl.Workbook()
    book.create_sheet("List").append(["Name", "Sex"])
    book["List"].append(["A", "f"])
    kept = io.BytesIO()
    book.save(kept)
    assert (("Name", "Sex"), [(2, ("A", "f"))]) == cells(kept.getvalue())


def packed(**parts):
    """A workbook with other parts in it."""
    kept = io.BytesIO(workbook())
    with zipfile.ZipFile(kept, "a", zipfile.ZIP_DEFLATED) as file:
        for name, content in parts.items():
            file.writestr(name.replace("__", "/"), content)
    return kept.getvalue()


def bomb():
    """31 MB of blanks, which are 31 kB when packed."""
    return packed(xl__worksheets__sheet2=b" " * 31_000_000)


def entities():
    """A sheet whose text would be billions of letters if its entities were followed."""
    doctype = "".join(f'<!ENTITY e{i} "{f"&e{i - 1};" * 10 if i else "ha"}">' for i in range(10))
    kept = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook())) as old,
        zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for part in old.infolist():
            content = old.read(part)
            if part.filename.endswith("sheet1.xml"):
                content = f"<!DOCTYPE worksheet [{doctype}]>".encode() + content.replace(b"Juniper", b"&e9;")
            new.writestr(part, content)
    return kept.getvalue()


HOSTILE = {
    "nothing": (b"", "The file is empty."),
    "too large": (b"a,b\n" * 600_000, "at most 2 MB are read"),
    "too many rows": (b"Name,Sex\n" + b"A,f\n" * (MOST_ROWS + 1), "more than 2000 rows"),
    "rows far below": (b"Name,Sex\n" + b"\n" * 20_001 + b"A,f\n", "delete the empty rows between"),
    "too many columns": (b"a," * 61 + b"b\n" + b"a,b\n", "over 60 columns"),
    "a cell like a book": (b"Name,Sex\nA," + b"x" * 3_000 + b"\n", "over 2000 characters"),
    "a cell without end": (b'Name,Sex\n"' + b"x" * 200_000 + b"\n", "no table that can be read"),
    "no headings": (b"\n\n\n", "No row of headings"),
    "one column": (b"hello\nworld\n", "No row of headings"),
    "headings alone": (b"Name,Sex\n", "there is no row"),
    "odd bytes": (bytes(range(256)) * 4, "neither a workbook nor text"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + b"\0" * 100, "neither a workbook nor text"),
    "the old kind": (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 100,
        "of the old kind, or one with a password",
    ),
    "cut off": (workbook()[:-200], "The workbook is damaged"),
    "no workbook": (b"PK\x05\x06" + b"\0" * 18, "no workbook that is read here"),
    "macros": (packed(xl__vbaProject_bin=b"x"), "holds macros"),
    "a bomb": (bomb(), "Unpacked, the workbook is too large"),
    "entities": (entities(), "The workbook is damaged"),
    "an empty workbook": (workbook(()), "holds no filled sheet"),
}


@pytest.mark.parametrize("what", HOSTILE)
def test_what_is_no_list_is_refused_in_a_sentence(what):
    content, words = HOSTILE[what]
    with pytest.raises(Unreadable) as refused:
        read_sheet(content)
    assert words in str(refused.value)


def test_entities_are_not_followed_at_all():
    with pytest.raises(Unreadable) as refused:
        read_sheet(entities())
    causes, error = [], refused.value
    while error := error.__cause__ or error.__context__:
        causes.append(type(error).__name__)
    assert "EntitiesForbidden" in causes


def test_the_control_the_bomb_would_be_unpacked_if_its_size_were_not_looked_at(monkeypatch):
    monkeypatch.setattr(reading, "MOST_UNPACKED_BYTES", 10**9)
    assert read_sheet(bomb()).rows


def test_a_file_at_the_limit_of_rows_is_read():
    assert MOST_ROWS == len(read_sheet(b"Name,Sex\n" + b"A,f\n" * MOST_ROWS).rows)


def read_or_said(content):
    try:
        return len(read_sheet(content).rows) > 0
    except Unreadable as refused:
        return str(refused).endswith(".")


@pytest.mark.parametrize("content", [PLAIN.encode(), workbook(WORKBOOK)])
def test_any_one_byte_changed_gives_a_list_or_a_sentence(content):
    for place in range(0, len(content), max(1, len(content) // 60)):
        for byte in (0, 34, 255):
            changed = content[:place] + bytes([byte]) + content[place + 1 :]
            assert read_or_said(changed)
