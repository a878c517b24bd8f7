"""Excursions, pauses and mean kinetic temperature over columns of numbers, beside the definitions of `science`."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.science.warmth import Reading, excursions, gaps, kinetic_windows, mean_kinetic_c
from buffycoat.temperatures.bands import COLD, WARM, Band
from buffycoat.temperatures.series import (
    Conflict,
    Series,
    between,
    by_day,
    digest,
    in_order,
    joined,
    packed,
    series_of,
    unpacked,
)
from buffycoat.temperatures.spells import between_hands, kinetic_c, silences, spells, worst_window

BEGIN = datetime(2026, 6, 1, 22, 30, tzinfo=UTC)
FRIDGE = Band(low_c=2, high_c=6)
steps = st.integers(1, 7_200)
values = st.integers(-300, 1_500)
series = st.lists(st.tuples(steps, values), min_size=1, max_size=60).map(
    lambda pairs: Series(
        int(BEGIN.timestamp()) + np.cumsum([step for step, _ in pairs]).astype(np.int64),
        np.array([value for _, value in pairs], np.int16),
    )
)


def run(*celsius, every_min=10, begin=BEGIN):
    return series_of(
        (begin + timedelta(minutes=every_min * n), round(c * 100)) for n, c in enumerate(celsius)
    )


def readings_of(found):
    pairs = zip(found.times.tolist(), found.centi_c.tolist(), strict=True)
    return [Reading(datetime.fromtimestamp(at, UTC), value / 100) for at, value in pairs]


@given(series)
def test_spells_of_one_thermometer_are_its_excursions(found):
    expected = excursions(readings_of(found), 2, 6)
    got = spells([found], FRIDGE)
    assert {
        (each.start, each.end if each.over else None, round(each.extreme_c * 100), each.above)
        for each in expected
    } == {(each.since, each.ended_at, each.extreme_centi_c, each.cause == WARM) for each in got}


@given(series, st.integers(60, 7_200))
def test_silences_of_one_thermometer_are_its_gaps(found, longest_s):
    longest = timedelta(seconds=longest_s)
    assert list(gaps(readings_of(found), longest)) == silences([found], longest)


@given(series)
def test_mean_kinetic_temperature_weighs_each_reading_as_long_as_it_held(found):
    if len(found.times) < 2:
        assert kinetic_c(found, timedelta(hours=3)) is None
        return
    plain = mean_kinetic_c([c / 100 for c in found.centi_c[:-1].tolist()], np.diff(found.times).tolist())
    assert plain == pytest.approx(kinetic_c(found, timedelta(hours=3)), abs=1e-9)


def test_a_reading_before_a_pause_weighs_no_more_than_it_may():
    found = run(4, 14, 4, every_min=60)
    late = Series(
        np.append(found.times, found.times[-1] + 86_400), np.append(found.centi_c, 400).astype(np.int16)
    )
    assert mean_kinetic_c([4, 14, 4], [1, 1, 1]) == pytest.approx(kinetic_c(late, timedelta(hours=1)))


def test_the_worst_day_is_found_among_all_windows():
    hourly = [4 + (n % 7) / 10 for n in range(30)] + [12, 13] + [4.0] * 40
    found = run(*hourly, every_min=60)
    expected = max(
        kinetic_windows(readings_of(found), timedelta(hours=24)), key=lambda each: each.temperature_c
    )
    until, worst = worst_window(found, timedelta(hours=24), timedelta(hours=1))
    assert expected.temperature_c == pytest.approx(worst, abs=1e-9)
    assert expected.until == until
    assert worst_window(run(4, 5, 6), timedelta(hours=24), timedelta(hours=1)) is None


def test_what_two_thermometers_see_at_once_is_one_spell():
    one, other = run(4, 8, 9, 4), run(4, 4, 7, 7.5, 4)
    (both,) = spells([one, other], FRIDGE)
    assert (WARM, 900, timedelta(minutes=30)) == (both.cause, both.extreme_centi_c, both.lasted)
    apart = spells([one, run(4, 7, 4, begin=BEGIN + timedelta(hours=5))], FRIDGE)
    assert 2 == len(apart)


def test_a_spell_goes_on_while_one_thermometer_is_outside():
    (found,) = spells([run(4, 8, 4), run(4, 8, 8)], FRIDGE)
    assert found.ended_at is None
    assert timedelta(minutes=10) == found.lasted


def test_warm_and_cold_are_told_apart_and_an_edge_is_inside():
    found = spells([run(6, 2, 6.01, 1.99, 4)], FRIDGE)
    assert [(WARM, 601), (COLD, 199)] == [(each.cause, each.extreme_centi_c) for each in found]


# By hand: (hours after the first, now, least, most) and what must have been.
HANDS = {
    "always inside": ([(0, 4, 3, 5), (10, 4, 2, 6)], []),
    "warm in the night": ([(0, 4, 3, 5), (10, 4, 3, 9)], [(WARM, 0, 10, 9)]),
    "still warm": ([(0, 4, 3, 5), (10, 7, 4, 9)], [(WARM, 0, None, 9)]),
    "warm at the first look": ([(0, 4, 3, 8)], [(WARM, 0, 0, 8)]),
    "twice running is one": ([(0, 4, 3, 5), (10, 4, 3, 9), (20, 4, 3, 8)], [(WARM, 0, 20, 9)]),
    "both": ([(0, 4, 3, 5), (10, 4, 1, 9)], [(WARM, 0, 10, 9), (COLD, 0, 10, 1)]),
}


@pytest.mark.parametrize("case", HANDS)
def test_least_and_most_tell_that_it_was_outside_and_the_time_is_taken_as_long_as_it_can_have_been(case):
    read, expected = HANDS[case]
    at = [
        (BEGIN + timedelta(hours=hour), now * 100, least * 100, most * 100) for hour, now, least, most in read
    ]
    hour_of = {None: None} | {BEGIN + timedelta(hours=hour): hour for hour in range(48)}
    assert expected == [
        (each.cause, hour_of[each.since], hour_of[each.ended_at], each.extreme_centi_c / 100)
        for each in between_hands(at, FRIDGE)
    ]


@given(series)
def test_a_day_is_packed_and_unpacked_to_the_same_readings_and_the_same_digest(found):
    days = dict(by_day(found))
    again = joined(unpacked(day, packed(part)) for day, part in days.items())
    assert found.times.tolist() == again.times.tolist()
    assert found.centi_c.tolist() == again.centi_c.tolist()
    assert digest([("1 a", found)]) == digest([("1 a", again)])


@given(series, st.randoms())
def test_readings_in_any_order_and_twice_are_the_same_readings(found, chance):
    order = [*range(len(found.times)), chance.randrange(len(found.times))]
    chance.shuffle(order)
    again = in_order(Series(found.times[order], found.centi_c[order]))
    assert found.times.tolist() == again.times.tolist()
    assert found.centi_c.tolist() == again.centi_c.tolist()


def test_two_temperatures_for_one_moment_are_a_conflict():
    with pytest.raises(
        Conflict, match=r"At 22:30:00 UTC on 1 Jun 2026 there are two temperatures: 4 and 5 °C\."
    ):
        joined([run(4), run(5)])


def test_a_window_takes_both_of_its_edges():
    found = run(1, 2, 3, 4)
    cut = between(found, BEGIN + timedelta(minutes=10), BEGIN + timedelta(minutes=20))
    assert [200, 300] == cut.centi_c.tolist()


def test_each_change_of_a_reading_changes_the_digest():
    found = run(4, 5, 6)
    whole = digest([("1 door", found)])
    assert whole != digest([("1 door", run(4, 5.01, 6))])
    assert whole != digest([("1 door", run(4, 5))])
    assert whole != digest([("2 door", found)])
    assert whole != digest([("1 door", run(4, 5, 6, begin=BEGIN + timedelta(seconds=1)))])
