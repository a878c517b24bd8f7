"""Windows that begin between two readings, limits that are just touched, and readings at one moment."""

from datetime import UTC, datetime, timedelta

import pytest

from buffycoat.science.errors import OutOfRange
from buffycoat.science.warmth import Reading, excursions, gaps, kinetic_windows

BEGIN = datetime(2026, 6, 1, tzinfo=UTC)


def hourly(*temperatures_c: float) -> list[Reading]:
    return [Reading(BEGIN + timedelta(hours=n), each) for n, each in enumerate(temperatures_c)]


def test_a_window_that_begins_between_readings_counts_only_its_own_part() -> None:
    # One hour at 20 °C and two at 30 °C, by 40 digits of mpmath; two and two would be 26.26.
    readings = [Reading(BEGIN + timedelta(hours=hour), each) for hour, each in ((0, 20), (2, 30), (4, 20))]
    (window,) = kinetic_windows(readings, timedelta(hours=3))
    assert 27.673824 == pytest.approx(window.temperature_c, abs=5e-7)


def test_two_readings_fill_a_window_as_long_as_their_distance() -> None:
    assert [BEGIN + timedelta(hours=1)] == [
        each.until for each in kinetic_windows(hourly(4, 4), timedelta(hours=1))
    ]


def test_a_cold_spell_is_one_excursion_down_to_its_coldest() -> None:
    (spell,) = excursions(hourly(4, 1, 0, 1.5, 4), 2, 6)
    assert (timedelta(hours=3), 0, False, True) == (spell.lasted, spell.extreme_c, spell.above, spell.over)


def test_a_reading_on_either_limit_is_inside() -> None:
    assert () == excursions(hourly(2, 6, 2), 2, 6)


def test_no_reading_has_no_gaps_to_speak_of() -> None:
    with pytest.raises(OutOfRange, match="At least 1 readings are needed"):
        gaps([], timedelta(hours=1))


def test_two_readings_at_one_moment_are_not_in_order() -> None:
    with pytest.raises(OutOfRange, match="not in order of time"):
        excursions([Reading(BEGIN, 4), Reading(BEGIN, 5)], 2, 6)
