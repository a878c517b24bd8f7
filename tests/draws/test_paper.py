from datetime import UTC, date, datetime

import pytest

from buffycoat.donors.models import DonorRow
from buffycoat.draws.models import BagSetLotRow, DonationRow
from buffycoat.draws.paper import donation_stickers, lot_card, lot_cards
from buffycoat.draws.stickers import STICKERS, donation_of, sticker
from buffycoat.science.numbering import make_code, read_code
from buffycoat.site.rules import Limits
from tests.reading_paper import (
    CODE_128,
    DATA_MATRIX,
    OFFICE_DPI,
    PRINTER_DPI,
    codes_of,
    missing,
    pages_mm,
    run_over,
    text_of,
)

SITE = Limits(number="limits", set_here={"site_name": "Invented bank", "time_zone": "Pacific/Auckland"})
LOT = BagSetLotRow(
    lot=make_code("L", "KTRA", 3),
    maker_lot="INV-450",
    expires_on=date(2027, 5, 1),
    title="Invented set 450",
    species="dog",
    nominal_ml=450,
    anticoagulant="CPD",
    anticoagulant_ml=63,
    additive="Invented additive",
    additive_ml=100,
)
DONATION = DonationRow(
    donation=make_code("G", "KTRA", 4102),
    donor=DonorRow(donor=make_code("D", "KTRA", 17), name='#panic("x")', species="dog"),
    species="dog",
    started_at=datetime(2026, 10, 24, 20, 0, tzinfo=UTC),
)


def test_a_lots_card_says_what_is_on_the_box_and_reads():
    made = lot_card(LOT, SITE)
    wanted = [
        "BAG SET LOT",
        "Invented set 450",
        "DOG",
        "450 mL",
        "lot INV-450",
        "use by 1 May 2027",
        "63 mL CPD",
    ]
    assert [] == missing(made, *wanted, "100 mL Invented additive", "LKTRA-0000003-03")
    assert [(CODE_128, LOT.lot), (DATA_MATRIX, LOT.lot)] == codes_of(made, PRINTER_DPI)
    assert [] == run_over(made)
    assert [(210.0, 297.0)] == pages_mm(lot_cards([LOT, LOT], SITE))


def test_every_sticker_reads_as_what_it_is_stuck_to_and_names_it():
    made = donation_stickers(DONATION, SITE)
    each = [sticker(DONATION.donation, kind) for _, kind in STICKERS]
    wanted = [(shape, code) for shape in (CODE_128, DATA_MATRIX) for code in each]
    assert sorted(wanted) == sorted(codes_of(made, OFFICE_DPI))
    assert "GJKMVVVN" == "".join(code[0] for code in each)
    assert DONATION.donation == each[0]
    names = [words for words, _ in STICKERS]
    assert [] == missing(made, *names, "GKTRA-0004102-21", 'Donation of #panic("x")', "DOG")
    assert [] == run_over(made)


@pytest.mark.parametrize(("words", "kind"), STICKERS)
def test_any_sticker_tells_the_donation(words, kind):
    code = read_code(sticker(DONATION.donation, kind))
    assert DONATION.donation == donation_of(code)
    assert kind == code.kind


def test_stickers_carry_the_day_as_it_was_at_the_site():
    assert [] == missing(donation_stickers(DONATION, SITE), "25 Oct 2026")


def test_stickers_beyond_one_sheet_go_on_the_next():
    made = donation_stickers(DONATION, SITE, [(f"Tube {number}", "V") for number in range(1, 26)])
    assert [(210.0, 297.0)] * 2 == pages_mm(made)
    assert 25 == text_of(made).count("VKTRA-0004102-")
