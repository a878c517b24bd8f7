"""What our bar codes hold, element by element and read back, against the standards of the two symbologies."""

from datetime import date
from itertools import groupby

import numpy as np
import pytest
import zxingcpp
from stdnum import ean, gs1_128

from buffycoat.science.numbering import BadCode, make_code, read_code

CODE_128, DATA_MATRIX = zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.DataMatrix
OURS = make_code("U", "KTRA", 4217)
# ISO/IEC 15434: a header, format 06 with data identifiers, and its end.
ENVELOPE = "[)>\x1e06\x1d1TABC123\x1d14D20261231\x1dQ250\x1e\x04"

# ISO/IEC 16022, from memory: where each bit (codeword.bit) of the eight codewords lies in a matrix of ten.
PLACEMENT = """
2.1 2.2 3.6 3.7 3.8 4.3 4.4 4.5
2.3 2.4 2.5 5.1 5.2 4.6 4.7 4.8
2.6 2.7 2.8 5.3 5.4 5.5 1.1 1.2
1.5 6.1 6.2 5.6 5.7 5.8 1.3 1.4
1.8 6.3 6.4 6.5 8.1 8.2 1.6 1.7
7.2 6.6 6.7 6.8 8.3 8.4 8.5 7.1
7.4 7.5 3.1 3.2 8.6 8.7 8.8 7.3
7.7 7.8 3.3 3.4 3.5 4.1 4.2 7.6
"""


def modules(text: str, kind: zxingcpp.BarcodeFormat) -> list[list[bool]]:
    """The symbol as a printer gets it, dark modules as True."""
    image = zxingcpp.create_barcode(text, kind).to_image(scale=1, add_quiet_zones=False)
    return [[dot == 0 for dot in row] for row in np.array(image).tolist()]


def test_2_11_a_matrix_of_six_figures_holds_the_codewords_of_the_standard() -> None:
    # ISO/IEC 16022, encoding example, from memory: 123456.
    inner = [row[1:-1] for row in modules("123456", DATA_MATRIX)[1:-1]]
    words = [0] * 9
    for row, places in zip(inner, PLACEMENT.split("\n")[1:-1], strict=True):
        for dark, place in zip(row, places.split(), strict=True):
            word, bit = map(int, place.split("."))
            words[word] |= dark << 8 - bit
    assert [142, 164, 186, 114, 25, 5, 88, 102] == words[1:]


# Widths of bars and gaps for the values 0 to 105 and the stop, ISO/IEC 15417, from memory.
WIDTHS = """
212222 222122 222221 121223 121322 131222 122213 122312 132212 221213 221312 231212 112232 122132 122231 113222 123122
123221 223211 221132 221231 213212 223112 312131 311222 321122 321221 312212 322112 322211 212123 212321 232121 111323
131123 131321 112313 132113 132311 211313 231113 231311 112133 112331 132131 113123 113321 133121 313121 211331 231131
213113 213311 213131 311123 311321 331121 312113 312311 332111 314111 221411 431111 111224 111422 121124 121421 141122
141221 112214 112412 122114 122411 142112 142211 241211 221114 413111 241112 134111 111242 121142 121241 114212 124112
124211 411212 421112 421211 212141 214121 412121 111143 111341 131141 114113 114311 411113 411311 113141 114131 311141
411131 211412 211214 211232 2331112
""".split()


def values(text: str) -> list[int]:
    """What the bars of a Code 128 say, from the start to the check character."""
    (row, *_) = modules(text, CODE_128)
    widths = "".join(str(len(list(run))) for _, run in groupby(row))
    return [WIDTHS.index(widths[place : place + 6]) for place in range(0, len(widths) - 7, 6)]


def check_value(start: int, *data: int) -> int:
    """ISO/IEC 15417: the start counts once, and each value as often as its place says."""
    return (start + sum(place * value for place, value in enumerate(data, start=1))) % 103


def test_2_12_to_2_14_the_rule_of_the_check_character_gives_the_published_values() -> None:
    # Figures in pairs after start C; the other two of an encyclopaedia, from memory: PJJ123C in set A, Wikipedia in B.
    assert 44 == check_value(105, 12, 34, 56)
    assert 54 == check_value(103, *(ord(letter) - 32 for letter in "PJJ123C"))
    assert 88 == check_value(104, *(ord(letter) - 32 for letter in "Wikipedia"))


@pytest.mark.parametrize(("text", "check"), [("123456", 44), ("Wikipedia", 88), (OURS, None)])
def test_2_12_and_2_14_the_bars_carry_the_check_character_of_the_rule(text: str, check: int | None) -> None:
    start, *data, told = values(text)
    assert told == check_value(start, *data)
    assert check in (None, told)


@pytest.mark.parametrize("text", ["=G12341765432170", "&>0180292359", OURS])
@pytest.mark.parametrize("kind", [CODE_128, DATA_MATRIX])
def test_2_16_what_is_printed_is_read_back(text: str, kind: zxingcpp.BarcodeFormat) -> None:
    (read,) = zxingcpp.read_barcodes(zxingcpp.create_barcode(text, kind).to_image(scale=4))
    assert (kind, text) == (read.format, read.text)


def test_2_17_an_envelope_of_iso_15434_is_known_by_the_reader_and_is_no_code_of_ours() -> None:
    (read,) = zxingcpp.read_barcodes(zxingcpp.create_barcode(ENVELOPE, DATA_MATRIX).to_image(scale=4))
    assert (zxingcpp.ContentType.ISO15434, ENVELOPE.encode()) == (read.content_type, read.bytes)
    with pytest.raises(BadCode, match="has 14 letters and figures; this has"):
        read_code(ENVELOPE)


def test_2_19_trade_numbers_have_their_published_check_figures() -> None:
    # The example of the GS1 page, from memory.
    assert ["3", "2"] == [ean.calc_check_digit(text) for text in ("629104150021", "07350053850")]


def test_2_20_a_trade_number_with_a_date_is_not_taken_for_a_code_of_ours() -> None:
    # Doctest of python-stdnum.
    told = gs1_128.info("(01)38425876095074(17)181119(37)1")
    assert {"01": "38425876095074", "17": date(2018, 11, 19), "37": 1} == told
    with pytest.raises(BadCode, match="begins with five letters"):
        read_code(told["01"])
