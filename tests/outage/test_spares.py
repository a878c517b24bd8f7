"""Spare numbers: given once, used once, and only by what they are for."""

import pytest

from buffycoat.draws.rules import DrawStarted, StartDraw
from buffycoat.draws.spares import MOST_SHEETS, GiveSpareNumbers, SpareNumberGiven
from buffycoat.labels.rules import LabelPrinted, PrintLabel
from buffycoat.science.numbering import make_code, read_code, show_code
from tests.walk import TARE_G, WANTED_ML, pure_walk


@pytest.fixture
def walk():
    return pure_walk()


def sheet(walk):
    """A sheet's donation and its units."""
    donation, *units = [line.fact.spare for line in walk.do(GiveSpareNumbers(sheets=1)).lines]
    return donation, units


def start(walk, number, donor="", **but):
    values = {"lot": walk.a_lot("dog"), "tare_g": TARE_G["dog"], "wanted_ml": WANTED_ML["dog"]}
    return StartDraw(donor=donor or walk.a_donor("dog"), number=number, **{**values, **but})


def test_every_number_is_good_and_given_once(walk):
    given = [line.fact for _ in range(3) for line in walk.do(GiveSpareNumbers(sheets=MOST_SHEETS)).lines]
    assert 3 * MOST_SHEETS * 3 == len({fact.spare for fact in given})
    assert {"G": 1, "U": 2} == {
        kind: sum(read_code(fact.spare).kind == kind for fact in given if fact.sheet == given[0].sheet)
        for kind in "GU"
    }


def test_no_other_thing_gets_a_number_that_was_given_as_a_spare(walk):
    donation, units = sheet(walk)
    drawn, spare = walk.drawn("dog"), {donation, *units}
    assert not spare & {drawn, *walk.units(walk.labelled("cat")).values()}


@pytest.mark.parametrize("sheets", [0, -1, MOST_SHEETS + 1])
def test_sheets_come_in_sensible_numbers(walk, sheets):
    assert [f"Print 1 to {MOST_SHEETS} sheets at a time: {sheets} is not."] == walk.why_not(
        GiveSpareNumbers(sheets=sheets)
    )


def test_a_draw_from_paper_keeps_the_number_of_its_sheet(walk):
    donation, _ = sheet(walk)
    assert donation == walk.do(start(walk, donation)).the(DrawStarted).donation


def test_a_sheet_is_entered_once(walk):
    donation, _ = sheet(walk)
    walk.do(start(walk, donation))
    assert [f"{show_code(donation)} is in the book already: this sheet was entered."] == walk.why_not(
        start(walk, donation)
    )


def test_a_number_that_was_never_given_is_refused(walk):
    other = make_code("G", "HAVN", 999)
    assert [
        f"{show_code(other)} is not a spare number of this book: scan it from a printed paper sheet."
    ] == walk.why_not(start(walk, other))


def test_a_units_number_is_no_donations_number(walk):
    _, units = sheet(walk)
    assert [f"{show_code(units[0])} is the number of a unit: scan that of the donation."] == walk.why_not(
        start(walk, units[0])
    )


def test_a_bag_keeps_the_units_number_that_was_copied_onto_it(walk):
    _, units = sheet(walk)
    donation = walk.weighed("dog")
    printed = walk.do(PrintLabel(donation=donation, part="plasma", number=units[1])).the(LabelPrinted)
    assert units[1] == printed.unit
    other = walk.weighed("dog")
    assert [f"{show_code(units[1])} is in the book already: this sheet was entered."] == walk.why_not(
        PrintLabel(donation=other, part="plasma", number=units[1])
    )


def test_the_fact_says_on_which_sheet_the_number_stands(walk):
    facts = [line.fact for line in walk.do(GiveSpareNumbers(sheets=1)).lines]
    assert {facts[0].spare} == {fact.sheet for fact in facts if isinstance(fact, SpareNumberGiven)}
