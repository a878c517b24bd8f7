"""Typing and writing: what is written can be typed again, and nothing is guessed."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.calculator.kinds import (
    HOURS,
    MOMENT,
    Asked,
    kind_of,
    label_of,
    number,
    plain,
    record,
    share,
    unit_of,
)
from buffycoat.calculator.results import Line
from buffycoat.science.balance import Load
from buffycoat.science.warmth import Reading
from buffycoat.shell.words import THIN

ASKED = Asked(zone=ZoneInfo("Europe/London"), today=date(2026, 6, 1))


@given(st.floats(1e-6, 1e9) | st.floats(-1e9, -1e-6) | st.just(0.0))
def test_a_number_is_typed_as_it_is_written_to_twelve_figures(value):
    assert pytest.approx(value, rel=1e-11, abs=1e-17) == number().read(plain(value), ASKED)


@given(st.decimals(0, 10_000, places=6))
def test_a_typed_number_is_the_one_that_python_reads(value):
    assert float(value) == number().read(f"{value:f}", ASKED)


@pytest.mark.parametrize(("typed", "value"), [("0.45", 0.45), ("45 %", 0.45), ("45%", 0.45), ("1", 1.0)])
def test_a_share_is_a_fraction_or_says_that_it_is_in_per_cent(typed, value):
    assert value == share().read(typed, ASKED)


def test_a_clock_time_without_its_day_is_of_today_in_the_zone_asked():
    assert datetime(2026, 6, 1, 9, 30, tzinfo=UTC) == MOMENT.read("10:30", ASKED)


@given(st.integers(0, 50_000_000))
def test_a_moment_is_typed_as_it_is_written_whatever_the_clocks_do(minutes):
    at = datetime(2000, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    assert at == MOMENT.read(MOMENT.write(at), ASKED)


def test_hours_are_a_span():
    assert timedelta(minutes=90) == HOURS.read("1.5 h", ASKED)


@pytest.mark.parametrize("typed", ["Bag 7 = 610", "Bag 7=610 g", "Bag 7 610"])
def test_only_the_first_of_the_parts_of_a_line_may_hold_blanks(typed):
    if typed.endswith(" g"):
        with pytest.raises(ValueError, match=r"“Bag” has|has"):
            record(Load).read(typed, ASKED)
    else:
        assert Load(label="Bag 7", mass_g=610) == record(Load).read(typed, ASKED)


def test_readings_are_typed_one_on_each_line():
    kind = kind_of("readings", tuple[Reading, ...])
    read = kind.read("1 Jun 2026 08:00 = 4\n\n1 Jun 2026 09:00 = -2.5\n", ASKED)
    assert [4.0, -2.5] == [each.temperature_c for each in read]
    assert read == kind.read(kind.write(read), ASKED)


def test_a_kind_that_nobody_thought_of_is_an_error_of_ours():
    with pytest.raises(TypeError, match="No kind is known for thing"):
        kind_of("thing", bytes)


@pytest.mark.parametrize(
    ("name", "label", "unit"),
    [
        ("tare_g", "Tare", "g"),
        ("start_ml_per_kg_h", "Start", "mL/kg/h"),
        ("drops_per_ml", "Drops per ml", "drops/mL"),
        ("pcv_now", "PCV now", "%"),
        ("places", "Places", ""),
    ],
)
def test_label_and_unit_are_read_from_the_name(name, label, unit):
    assert (label, unit) == (label_of(name), unit_of(name))


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (True, "yes"),
        (12500.0, f"12{THIN}500"),
        (0.000012, "0.000012"),
        (6e-15, "0"),
        (-1.26, "−1.3"),
        (float("inf"), "none"),
        (timedelta(hours=-1, minutes=-5), "−1 h 05 min"),
        (datetime(2026, 6, 1, 12, tzinfo=UTC), "1 Jun 2026, 12:00"),
    ],
)
def test_a_result_is_told_as_people_read_it(value, text):
    assert text == Line(label="x", value=value, decimals=1).text
