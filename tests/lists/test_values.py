"""What a cell says; what it may say in two ways is refused."""

from datetime import date, time
from fractions import Fraction

import pytest

from buffycoat.lists import values
from buffycoat.lists.columns import KINDS, guess
from buffycoat.lists.values import DAY_FIRST, MONTH_FIRST, Unclear

APRIL, MARCH = date(2026, 4, 3), date(2026, 3, 4)


@pytest.mark.parametrize(
    ("said", "order", "day"),
    [
        ("2026-04-03", "", APRIL),
        ("2026/4/3", MONTH_FIRST, APRIL),
        ("3 Apr 2026", "", APRIL),
        ("03-Apr-26", "", APRIL),
        ("April 3rd, 2026", "", APRIL),
        ("03/04/2026", DAY_FIRST, APRIL),
        ("03/04/2026", MONTH_FIRST, MARCH),
        ("3.4.26", DAY_FIRST, APRIL),
        ("25/04/2026", "", date(2026, 4, 25)),
        ("04/25/2026", "", date(2026, 4, 25)),
        ("04/04/2026", "", date(2026, 4, 4)),
    ],
)
def test_a_day_is_read(said, order, day):
    assert day == values.day(said, order)


@pytest.mark.parametrize(
    ("said", "order", "words"),
    [
        ("03/04/2026", "", "may be 03 Apr 2026 or 04 Mar 2026"),
        ("3.4.26", "", "may be 03 Apr 2026 or 04 Mar 2026"),
        ("25/04/2026", MONTH_FIRST, "no such day in the calendar"),
        ("30/02/2026", "", "no such day in the calendar"),
        ("3 Foo 2026", "", "no such day in the calendar"),
        ("44256", "", "is no day"),
        ("03/04/126", DAY_FIRST, "is no day"),
        ("0203-04-03", "", "no year 203"),
        ("2026-04-03 25:00", "", "no clock time that there is"),
        ("yesterday", "", "is no day"),
    ],
)
def test_what_is_no_day_or_two_is_refused(said, order, words):
    with pytest.raises(Unclear, match=words):
        values.day(said, order)


def test_a_clock_time_behind_the_day_is_kept_unless_it_is_midnight():
    assert (APRIL, time(14, 30)) == values.day_and_time("2026-04-03T14:30:00", "")
    assert (APRIL, None) == values.day_and_time("03.04.2026 00:00", DAY_FIRST)


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("28.4", "28.4"),
        ("28,4", "28.4"),
        ("1.234,5", "1234.5"),
        ("1,234.5", "1234.5"),
        ("1 234", "1234"),
        ("0,250", "0.25"),
    ],
)
def test_a_number_has_a_point_or_a_comma(said, number):
    assert (Fraction(number), "") == values.number(said)


@pytest.mark.parametrize("said", ["1,234", "12,345", "a", "1.2.3,4,5", "", "1e5", "--4"])
def test_a_number_that_may_be_another_is_refused(said):
    with pytest.raises(Unclear):
        values.number(said)


def test_a_pound_is_453_59237_g():
    """The international pound of 1959."""
    assert 45_359 == values.grams("100 lb", "kg")
    assert 45_359 == values.grams("100", "lb")
    assert 28_400 == values.grams("28,4 kg", "lb")
    with pytest.raises(Unclear, match="kg or lb"):
        values.grams("100", "")


@pytest.mark.parametrize(("said", "permille"), [("45", 450), ("45,5 %", 455), ("0.45", 450), ("0.5 %", 5)])
def test_a_pcv_is_in_per_cent_or_a_share(said, permille):
    assert permille == values.permille(said)


@pytest.mark.parametrize(("said", "ml"), [("450", 450), ("450 mL", 450), ("0.45 l", 450)])
def test_a_volume_is_in_millilitres(said, ml):
    assert ml == values.millilitres(said, "")


def test_a_volume_in_grams_is_no_volume():
    with pytest.raises(Unclear, match="not in mL"):
        values.millilitres("450 g", "")


@pytest.mark.parametrize(
    ("said", "species", "blood_type"),
    [
        ("DEA 1 Positive", "dog", "DEA 1 positive"),
        ("DEA1+", "dog", "DEA 1 positive"),
        ("neg", "dog", "DEA 1 negative"),
        ("DEA 1.1 pos", "dog", "DEA 1 positive"),
        ("DEA 1.2 positive", "dog", "DEA 1 positive"),
        ("Dal-", "dog", "Dal negative"),
        ("type b", "cat", "B"),
        ("ab", "cat", "AB"),
    ],
)
def test_a_blood_type_is_read_however_it_is_written(said, species, blood_type):
    assert blood_type == values.blood_type(said, species)


def test_dea_1_1_negative_is_not_taken_for_dea_1_negative():
    with pytest.raises(Unclear, match="it may be DEA"):
        values.blood_type("DEA 1.1 neg", "dog")


@pytest.mark.parametrize(
    ("said", "sex"), [("F", "female"), ("FS", "female"), ("Male neutered", "male"), ("m/n", "male")]
)
def test_a_sex_is_read_from_its_usual_letters(said, sex):
    assert sex == values.sex(said)


def test_headings_are_recognised_each_once():
    headings = (
        "Donor ID",
        "Donor name",
        "Canine or feline",
        "Date of birth",
        "Body weight (lb)",
        "PCV %",
        "Owner name",
    )
    found = guess(KINDS["donors"], headings)
    assert {
        "old_number": "Donor ID",
        "name": "Donor name",
        "born_on": "Date of birth",
        "weight": "Body weight (lb)",
        "pcv": "PCV %",
        "owner_name": "Owner name",
    } == found
