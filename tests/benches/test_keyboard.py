"""The scanner's test card: what arrives is told in words."""

import pytest

from buffycoat.benches.keyboard import CARD, advice, what_is_wrong
from buffycoat.science.numbering import KINDS, SITE_LETTERS, make_code

GERMAN = str.maketrans("YZ", "ZY")
FRENCH = str.maketrans("0123456789", "à&é\"'(-è_ç")


def wrong(text: str, *, alt: bool = False) -> list[str]:
    return what_is_wrong(text, alt=alt)


@pytest.mark.parametrize("identifier", ["", "]C0", "]d1"])
def test_a_card_that_arrives_whole_is_well(identifier):
    assert [] == wrong(identifier + CARD)


def test_the_card_carries_every_character_of_our_codes():
    codes = {character for kind in KINDS for n in range(1, 40) for character in make_code(kind, "ACDE", n)}
    assert set() == (codes | set(SITE_LETTERS)) - set(CARD)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (CARD.translate(GERMAN), "Y and Z are exchanged: the scanner is set to another keyboard layout"),
        (CARD.translate(FRENCH), "Figures arrive as other signs"),
        (CARD.lower(), "Caps Lock is on"),
        (CARD[:20], f"20 of {len(CARD)} characters came"),
        (CARD.replace(":", "Ö"), "Ö instead of :"),
    ],
)
def test_each_fault_is_named(text, word):
    (sentence,) = wrong(text)
    assert word in sentence


def test_two_faults_are_both_named():
    assert 2 == len(wrong(CARD.translate(GERMAN | {ord("-"): "ß"})))


def test_a_scanner_that_types_alt_codes_is_found():
    (sentence,) = wrong("0065", alt=True)
    assert "ALT" in sentence


def test_what_would_be_surer_is_said():
    assert 2 == len(advice(CARD, prefix=False))
    assert [] == advice("]C0" + CARD, prefix=True)
