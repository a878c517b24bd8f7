"""Codes at the edges: every noun, the last serial, and what exactly was wrong with a scan."""

import pytest

from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import BadCode, make_code, read_code


@pytest.mark.parametrize(
    ("kind", "noun"),
    [("D", "donor"), ("G", "donation"), ("U", "unit"), ("P", "place"), ("R", "spin run"), ("L", "bag set lot"),
     ("T", "rotor"), ("H", "person"), ("C", "command card"), ("J", "sticker of satellite bag 1"),
     ("K", "sticker of satellite bag 2"), ("M", "sticker of satellite bag 3"), ("V", "tube's sticker"),
     ("N", "sticker for paper")],
)  # fmt: skip
def test_each_letter_stands_for_its_noun(kind: str, noun: str) -> None:
    assert noun == read_code(make_code(kind, "KTRA", 1)).noun


def test_a_code_is_shown_in_three_groups() -> None:
    assert "UKTRA-0004217-17" == str(read_code("uktra000421717"))


def test_the_largest_serial_is_given_out() -> None:
    assert 9_999_999 == read_code(make_code("U", "KTRA", 9_999_999)).serial


@pytest.mark.parametrize("serial", [2.5, 1.0, True, "7"])
def test_a_serial_is_a_whole_number_and_nothing_like_it(serial: object) -> None:
    with pytest.raises(OutOfRange, match="serial is a whole number"):
        make_code("U", "KTRA", serial)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("]C0]C0UKTRA000421717", "has 14 letters and figures; this has 17"),
        (14 * "XY", "has 14 letters and figures; this has 28"),
        ("UKTRD-00042A7-17", "five letters and then nine figures"),
        ("AKTRA-00042A7-17", "five letters and then nine figures"),
    ],
)
def test_what_was_wrong_is_said_and_not_something_else(typed: str, words: str) -> None:
    with pytest.raises(BadCode, match=words):
        read_code(typed)
