"""Whatever a name holds, a card prints and its codes read."""

import hashlib
import subprocess
import sys

import pytest
import typst

from buffycoat.science.numbering import make_code
from buffycoat.shell.paper import (
    CODE_128,
    DATA_MATRIX,
    TYP,
    Card,
    clean,
    one_card,
    pdf,
    sheet_of_cards,
    species_svg,
    symbol,
)
from tests import reading_paper as read

CODE = make_code("D", "KTRA", 17)
CARD = Card(
    noun="Donor", title="Bramble", code=CODE, strong="A", species="cat", lines=("invented",), site_name="Bank"
)
MAKE = """
import hashlib
from buffycoat.shell.paper import Card, one_card
print(hashlib.sha256(one_card({})).hexdigest())
"""


def card(**but):
    return Card(**{**{name: getattr(CARD, name) for name in Card.__dataclass_fields__}, **but})


@pytest.mark.parametrize("dpi", [read.PRINTER_DPI, read.OFFICE_DPI])
def test_both_codes_of_a_card_read(dpi):
    assert [(read.CODE_128, CODE), (read.DATA_MATRIX, CODE)] == read.codes_of(one_card(CARD), dpi)


def test_a_card_has_the_size_of_a_bank_card():
    assert [(85.6, 54.0)] == read.pages_mm(one_card(CARD))


def test_a_sheet_holds_ten_cards_and_the_eleventh_goes_to_the_next():
    codes = [make_code("D", "KTRA", serial) for serial in range(1, 12)]
    sheet = sheet_of_cards(card(code=code) for code in codes)
    assert [(210.0, 297.0)] * 2 == read.pages_mm(sheet)
    assert sorted(codes) == [text for kind, text in read.codes_of(sheet, 200) if kind == read.DATA_MATRIX]


@pytest.mark.parametrize(
    "name",
    [
        '#panic("x")',
        "$a^2$ *b* _c_ `d` @e <f> \\ // /* */ = -",
        "Quote \" and ' and “both”",
        "]} #import: *",
        "Ροβέρτος",
        "Шарик",
        "Žofinka Øyvind Łucja",
        "{{ name }} {% x %} & <b>",
    ],
)
def test_a_name_prints_as_it_was_typed(name):
    made = one_card(card(title=name, lines=(name,), site_name=name))
    assert [] == read.missing(made, name)
    assert (read.CODE_128, CODE) in read.codes_of(made, read.PRINTER_DPI)


@pytest.mark.parametrize(
    "name",
    ["犬の花子", "🐶🐕‍🦺 Rex", "رعد", "Rex\u202eeno", "Rex\ud800", "a\nb\x00c", "e" + "\u0301" * 80, "", " "],
)
def test_a_name_that_the_font_lacks_breaks_nothing(name):
    made = one_card(card(title=name, lines=(name,), strong=name, site_name=name))
    assert [(read.CODE_128, CODE), (read.DATA_MATRIX, CODE)] == read.codes_of(made, read.PRINTER_DPI)
    assert [(85.6, 54.0)] == read.pages_mm(made)


def test_a_letter_that_the_font_lacks_leaves_ink():
    empty, box = (read.images_of(one_card(card(title=name)), 100)[0].convert("L") for name in ("", "犬"))
    assert empty.tobytes() != box.tobytes()


@pytest.mark.parametrize("name", ["W" * 100, "Wolfgang Amadeus of the far hills " * 3, "i" * 100])
def test_the_longest_name_prints_whole(name):
    made = one_card(card(title=name, lines=(name[:60], "w" * 40), strong="DEA 1 positive"))
    assert [] == read.missing(made, name, name[:60])
    assert "…" not in read.text_of(made)
    assert [] == read.run_over(made)


def test_a_text_without_end_is_cut_where_all_can_see_it():
    made = one_card(card(title="W" * 5_000))
    assert "W…" in read.text_of(made)
    assert [] == read.run_over(made)


def test_the_same_card_is_the_same_bytes_in_another_process():
    made = hashlib.sha256(one_card(CARD)).hexdigest()
    other = subprocess.run(
        [sys.executable, "-c", MAKE.format(repr(CARD))], capture_output=True, text=True, check=True
    )
    assert made == other.stdout.strip()


def test_the_matrix_is_square():
    assert 'width="16" height="16"' in symbol(CODE, DATA_MATRIX).svg
    assert (156, 16) == (symbol(CODE, CODE_128).modules, symbol(CODE, DATA_MATRIX).modules)


def test_a_species_without_a_drawing_prints_its_word():
    assert "" == species_svg("ferret")
    assert [] == read.missing(one_card(card(species="ferret")), "Bramble")


def test_text_is_cleaned_of_what_turns_or_breaks_a_line():
    assert "Rex eno" == clean("Rex\u2028\u202eeno")
    assert "e\u0301".encode() not in clean("e\u0301").encode()


def test_a_template_gets_data_and_no_source():
    made = pdf(TYP / "cards.typ", {"sheet": False, "cards": []})
    assert 1 == len(read.pages_mm(made))


def test_a_word_over_another_and_a_word_off_the_page_are_found():
    page = "#set page(width: 40mm, height: 20mm, margin: 0mm)\n"
    over = typst.compile((page + "#place(dy: 5mm)[One]\n#place(dy: 6mm)[Two]").encode())
    off = typst.compile((page + "#place(dx: 38mm, dy: 5mm)[Off]").encode())
    assert any("over" in fault for fault in read.run_over(over))
    assert any("leaves the page" in fault for fault in read.run_over(off))
