"""What people type is read exactly or refused with one sentence."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.shell import words
from buffycoat.shell.measures import Unreadable, read_day, read_moment, read_number

LONDON = ZoneInfo("Europe/London")
TODAY = date(2026, 11, 25)


def grams(text: str) -> int:
    return read_number(text, units={"g": "g"}, places=0, example="231")


def percent(text: str) -> int:
    return read_number(text, units={"%": "%"}, places=1, example="44.5")


def refusal(read, text: str) -> str:
    with pytest.raises(Unreadable) as refused:
        read(text)
    return str(refused.value)


@pytest.mark.parametrize("text", ["231", " 231 ", "231 g", "231g", "231.0", "0231"])
def test_a_weight_is_read_with_or_without_its_unit(text):
    assert 231 == grams(text)


@pytest.mark.parametrize(
    ("text", "permille"), [("44.5", 445), ("44.5 %", 445), (".5", 5), ("-3", -30), ("−3", -30)]
)
def test_a_percentage_is_kept_in_permille(text, permille):
    assert permille == percent(text)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "2.3.1",
            "“2.3.1” has more than one decimal point. Type one number. For example: 231.",
        ),
        (
            "1,234",
            "“1,234” has a comma. Type thousands without a comma, and decimals with a point. For example: 231.",
        ),
        ("23l", "“23l” has the letter l in it. Type figures only. For example: 231."),
        (
            "two",
            "“two” has the letters two in it. Type figures only. For example: 231.",
        ),
        ("2 31", "“2 31” has a blank inside the number. Type it without. For example: 231."),
        (
            "231.",
            "“231.” ends with a decimal point: a figure may be missing. Type the whole number. For example: 231.",
        ),
        (
            "231.5",
            "“231.5” has a decimal, and whole numbers are asked here. For example: 231.",
        ),
        ("231 mL", "“231 mL” is in mL; this is asked in g. Type the number in g."),
        ("231 g g", "“231 g g” has the letter g in it. Type figures only. For example: 231."),
        ("g", "“g” has the letter g in it. Type figures only. For example: 231."),
        ("-", "“-” has no figures in it. Type the number. For example: 231."),
        (
            "2+2",
            "“2+2” is not one number. Type figures, with at most one decimal point. For example: 231.",
        ),
    ],
)
def test_each_slip_in_a_weight_has_its_sentence(text, sentence):
    assert sentence == refusal(grams, text)


def test_more_decimals_than_asked_are_refused():
    assert "“44.55” has too many decimals: at most 1 is asked here. For example: 44.5." == refusal(
        percent, "44.55"
    )


def test_figures_of_other_scripts_are_not_guessed_at():
    assert "is not one number" in refusal(grams, "²³¹")


@given(st.integers(min_value=-(10**7), max_value=10**7), st.integers(min_value=0, max_value=3))
def test_what_a_page_shows_is_read_back_as_the_same_number(value, places):
    shown = words.scaled(value, places).replace(words.THIN, "")
    assert value == read_number(shown, units={"g": "g"}, places=places, example="1")


@pytest.mark.parametrize(
    "text", ["24 Oct 2026", "2026-10-24", "24 october 2026", "24. Oct 2026", "24-Oct-2026"]
)
def test_a_day_is_read(text):
    assert date(2026, 10, 24) == read_day(text)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "3/4/2026",
            "In “3/4/2026” the day and the month could be mistaken for each other. Type it like 24 Oct 2026.",
        ),
        ("31 Feb 2026", "There is no day “31 Feb 2026” in the calendar. Type it like 24 Oct 2026."),
        ("24 Okt 2026", "There is no day “24 Okt 2026” in the calendar. Type it like 24 Oct 2026."),
        ("yesterday", "“yesterday” is not a date. Type it like 24 Oct 2026."),
    ],
)
def test_each_slip_in_a_day_has_its_sentence(text, sentence):
    assert sentence == refusal(read_day, text)


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("24 Oct 2026 14:05", datetime(2026, 10, 24, 13, 5, tzinfo=UTC)),
        ("24 Oct 2026, 14:05", datetime(2026, 10, 24, 13, 5, tzinfo=UTC)),
        ("2026-10-24T14:05", datetime(2026, 10, 24, 13, 5, tzinfo=UTC)),
        ("14:05", datetime(2026, 11, 25, 14, 5, tzinfo=UTC)),
        ("25 Oct 2026 01:30 +01:00", datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),
        ("25 Oct 2026 01:30 +00:00", datetime(2026, 10, 25, 1, 30, tzinfo=UTC)),
        ("2026-10-24 14:05Z", datetime(2026, 10, 24, 14, 5, tzinfo=UTC)),
    ],
)
def test_a_clock_time_of_the_site_becomes_utc(text, moment):
    assert moment == read_moment(text, zone=LONDON, today=TODAY)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "25 Oct 2026 01:30",
            "The clocks went back on that day and 01:30 came twice. Type 01:30 +01:00 or 01:30 +00:00.",
        ),
        (
            "29 Mar 2026 01:30",
            "The clocks went forward on that day and 01:30 was skipped. Look at the time again.",
        ),
        (
            "24:00",
            "There is no clock time 24:00; the day runs from 00:00 to 23:59. "
            "Type it like 24 Oct 2026 14:05, or 14:05 for today.",
        ),
        (
            "24 Oct 2026",
            "“24 Oct 2026” has no clock time at its end. Type it like 24 Oct 2026 14:05, or 14:05 for today.",
        ),
    ],
)
def test_each_slip_in_a_time_has_its_sentence(text, sentence):
    assert sentence == refusal(lambda typed: read_moment(typed, zone=LONDON, today=TODAY), text)


def test_the_way_out_of_a_repeated_time_works():
    said = refusal(lambda typed: read_moment(typed, zone=LONDON, today=TODAY), "25 Oct 2026 01:30")
    ways = said.removesuffix(".").split("Type ")[1].split(" or ")
    read = [read_moment(f"25 Oct 2026 {way}", zone=LONDON, today=TODAY) for way in ways]
    assert [datetime(2026, 10, 25, hour, 30, tzinfo=UTC) for hour in (0, 1)] == read


def test_a_shown_moment_is_read_back():
    moment = datetime(2026, 10, 24, 13, 5, tzinfo=UTC)
    assert moment == read_moment(words.moment(moment, LONDON), zone=LONDON, today=TODAY)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_with_a_sentence(text):
    for read in (grams, read_day, lambda typed: read_moment(typed, zone=LONDON, today=TODAY)):
        assert _said(read, text).endswith(".")


def _said(read, text: str) -> str:
    try:
        return f"{read(text)}."
    except Unreadable as refused:
        return str(refused)
