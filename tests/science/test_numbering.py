"""Codes: check characters by ISO/IEC 7064, what is forgiven and what is refused."""

import contextlib

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_11_2, mod_11_10, mod_37_2, mod_37_36, mod_97_10

from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import KINDS, LENGTH, SITE_LETTERS, BadCode, make_code, read_code, show_code

kinds = st.sampled_from(sorted(KINDS))
sites = st.text(SITE_LETTERS, min_size=4, max_size=4)
serials = st.integers(1, 9_999_999)
codes = st.builds(make_code, kinds, sites, serials)


def test_2_1_mod_97_10_gives_the_example_of_the_standard() -> None:
    # ISO/IEC 7064:2003, simplified procedure, example 794.
    assert mod_97_10.calc_check_digits("794") == "44"


def test_2_2_mod_11_2_gives_the_example_of_the_standard() -> None:
    # ISO/IEC 7064 example, as in the doctest of python-stdnum.
    assert mod_11_2.calc_check_digit("0794") == "0"
    assert mod_11_2.calc_check_digit("079") == "X"


def test_2_3_mod_11_10_gives_published_digits() -> None:
    # Doctests of python-stdnum; 0794 from memory of the standard.
    assert ["5", "3", "5"] == [mod_11_10.calc_check_digit(text) for text in ("0794", "79462", "00200667308")]


def test_2_4_mod_37_36_gives_published_characters() -> None:
    # Doctest of python-stdnum; an audiovisual number.
    assert mod_37_36.calc_check_digit("A12425GABC1234002") == "M"
    assert mod_37_36.calc_check_digit("00000000C36D002B00000000") == "E"


def test_2_6_mod_37_2_gives_published_characters() -> None:
    # A public test file; G123498654321 with H is the example of UK guidelines for blood services, annex 2.
    texts = ("ZZZZ", "ABCDEFGHIJKLMNOPQRSTUVWX", 26 * "Z", "G123498654321")
    assert ["O", "*", "9", "H"] == [mod_37_2.calc_check_digit(text) for text in texts]


@given(kinds, sites, serials)
def test_what_is_made_is_read_back(kind: str, site: str, serial: int) -> None:
    text = make_code(kind, site, serial)
    code = read_code(text)
    assert len(text) == LENGTH
    assert (kind, site, serial, text) == (code.kind, code.site, code.serial, code.text)
    assert read_code(str(code)) == code
    assert read_code(show_code(text)) == code


@given(codes, st.sampled_from(["", "]C0", "]d1", "]c0"]), st.sampled_from([" ", "-", "\u2013", "\u00a0", ""]))
def test_spaces_hyphens_case_and_reader_prefix_are_forgiven(text: str, prefix: str, gap: str) -> None:
    typed = f" {prefix}{text[:5].lower()}{gap}{text[5:12]}{gap}{text[12:]}\r\n"
    assert text == read_code(typed).text


@given(codes)
def test_every_single_wrong_character_is_found(text: str) -> None:
    missed = []
    for place, right in enumerate(text):
        alphabet = "0123456789" if right.isdigit() else "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
        for wrong in alphabet.replace(right, ""):
            with contextlib.suppress(BadCode):
                missed.append(read_code(text[:place] + wrong + text[place + 1 :]).text)
    assert [] == missed


@given(codes)
def test_every_swap_of_neighbours_is_found(text: str) -> None:
    missed = []
    for place in range(LENGTH - 1):
        swapped = text[:place] + text[place + 1] + text[place] + text[place + 2 :]
        if swapped != text:
            with contextlib.suppress(BadCode):
                missed.append(read_code(swapped).text)
    assert [] == missed


def test_of_random_tails_about_one_in_97_passes() -> None:
    passed = 0
    for check in range(100):
        with contextlib.suppress(BadCode):
            read_code(f"UKTRA0004217{check:02d}")
            passed += 1
    assert 1 == passed


@given(kinds, kinds, sites, serials)
def test_a_code_of_another_kind_is_refused_with_both_nouns(
    kind: str, other: str, site: str, serial: int
) -> None:
    assume(kind != other)
    with pytest.raises(BadCode) as refusal:
        read_code(make_code(kind, site, serial), kinds={other})
    assert f"That is a {KINDS[kind]}, not a {KINDS[other]}." == str(refusal.value)


def test_a_place_is_not_a_donor_or_a_unit() -> None:
    with pytest.raises(BadCode, match=r"^That is a place, not a donor or a unit\.$"):
        read_code(make_code("P", "KTRA", 12), kinds="DU")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "Nothing was scanned"),
        ("   ", "Nothing was scanned"),
        ("UKTRA-0004217-71", "The last two figures do not fit the rest"),
        ("UKTRA-000421-17", "has 14 letters and figures; this has 13"),
        ("UKTRA-OOO4217-17", "letter O where a figure belongs; it may be a 0"),
        ("UKTRA-O004217-17", "letter O where a figure belongs; it may be a 0"),
        ("UBTRA-0004217-17", "No site has 'B'"),
        ("UKTRB-0004217-17", "No site has 'B'"),
        ("ZKTRA-O004217-17", "letter O where a figure belongs"),
        ("UKTRA-000421l-17", "letter L where a figure belongs; it may be a 1"),
        ("UKTRA-00042A7-17", "five letters and then nine figures"),
        ("UKTSA-0004217-17", "No site has 'S'"),
        ("8KTRA-0004217-17", "begins with five letters"),
        ("UKTRA000421717UKTRA000421717", "Two codes were read at once"),
        ("UKTRA\u0660004217-17", "five letters and then nine figures"),
    ],
)
def test_a_bad_code_is_refused_in_plain_words(typed: str, words: str) -> None:
    with pytest.raises(BadCode, match=words):
        read_code(typed)


def test_an_unknown_kind_and_serial_nought_are_refused() -> None:
    for body, words in (("WKTRA0004217", "begins with the letter W"), ("UKTRA0000000", "never given out")):
        with pytest.raises(BadCode, match=words):
            read_code(body + mod_97_10.calc_check_digits(body))


def test_a_second_pair_of_check_digits_that_leaves_the_same_remainder_is_refused() -> None:
    serial = next(n for n in range(1, 1000) if make_code("U", "KTRA", n).endswith("98"))
    with pytest.raises(BadCode):
        read_code(make_code("U", "KTRA", serial)[:-2] + "01")


@pytest.mark.parametrize(
    ("kind", "site", "serial"),
    [
        ("Z", "KTRA", 1),
        ("U", "KTR", 1),
        ("U", "KTRO", 1),
        ("U", "ktra", 1),
        ("U", "KTRA", 0),
        ("U", "KTRA", 10**7),
    ],
)
def test_codes_outside_the_scheme_are_not_made(kind: str, site: str, serial: int) -> None:
    with pytest.raises(OutOfRange):
        make_code(kind, site, serial)


@given(st.text(max_size=40))
def test_whatever_is_scanned_is_read_or_refused(text: str) -> None:
    try:
        said = read_code(text).noun + "."
    except BadCode as refusal:
        said = str(refusal)
    assert said.endswith(".")
