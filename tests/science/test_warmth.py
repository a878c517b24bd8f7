"""Mean kinetic temperature, excursions and gaps."""

from datetime import UTC, datetime, timedelta

import mpmath
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.science.errors import OutOfRange
from buffycoat.science.warmth import Reading, excursions, gaps, kinetic_windows, mean_kinetic_c

BEGIN = datetime(2026, 6, 1, tzinfo=UTC)
temperatures = st.lists(st.floats(-40, 50), min_size=1, max_size=30)


def run(*temperatures_c: float, every_min: float = 10) -> list[Reading]:
    return [Reading(BEGIN + timedelta(minutes=every_min * n), each) for n, each in enumerate(temperatures_c)]


@pytest.mark.parametrize(
    ("readings", "weights", "mean"),
    [
        ([5.0], [1.0], 5.0),
        ([20.0, 30.0], [1.0, 1.0], 26.259887),
        ([2.0, 8.0], [1.0, 1.0], 5.536425),
        ([4.0, 14.0], [23.0, 1.0], 4.767094),
        ([22.0, 29.0], [717.0, 3.0], 22.043175),
        ([-20.0, -10.0], [23.0, 1.0], -19.127688),
    ],
)
def test_5_1_to_5_9_mean_kinetic_temperatures(
    readings: list[float], weights: list[float], mean: float
) -> None:
    # Definition of the pharmacopoeias; values by 40 digits of mpmath.
    mpmath.mp.dps = 40
    total = mpmath.fsum(
        weight * mpmath.exp(-10_000 / (mpmath.mpf(each) + mpmath.mpf("273.15")))
        for each, weight in zip(readings, weights, strict=True)
    ) / mpmath.fsum(weights)
    assert mean_kinetic_c(readings, weights) == pytest.approx(mean, abs=5e-7)
    assert mean_kinetic_c(readings, weights) == pytest.approx(
        float(-10_000 / mpmath.log(total) - mpmath.mpf("273.15"))
    )


@given(temperatures)
def test_it_lies_between_the_mean_and_the_warmest(readings: list[float]) -> None:
    kinetic = mean_kinetic_c(readings)
    assert sum(readings) / len(readings) - 1e-9 <= kinetic <= max(readings) + 1e-9


@given(temperatures, st.randoms())
def test_the_order_does_not_matter(readings: list[float], chance) -> None:  # type: ignore[no-untyped-def]
    mixed = list(readings)
    chance.shuffle(mixed)
    assert mean_kinetic_c(readings) == pytest.approx(mean_kinetic_c(mixed))


def test_a_deep_freezer_does_not_vanish_in_rounding() -> None:
    assert mean_kinetic_c([-90, -80]) == pytest.approx(-83.1, abs=1)


def test_a_long_window_hides_what_a_short_one_shows() -> None:
    readings = run(*[20.0] * 100, *[40.0] * 24, *[20.0] * 600, every_min=60)
    week = max(each.temperature_c for each in kinetic_windows(readings, timedelta(days=1)))
    month = max(each.temperature_c for each in kinetic_windows(readings, timedelta(days=30)))
    assert 40 == pytest.approx(week)
    assert month < 25


def test_a_window_weighs_readings_by_the_time_they_held() -> None:
    readings = [Reading(BEGIN + timedelta(hours=h), c) for h, c in ((0, 4), (23, 14), (24, 4))]
    (only,) = kinetic_windows(readings, timedelta(hours=24))
    assert (BEGIN + timedelta(hours=24), pytest.approx(4.767094, abs=5e-7)) == (
        only.until,
        only.temperature_c,
    )


def test_excursions_run_to_the_next_reading_inside() -> None:
    found = excursions(run(4, 6, 6.1, 8, 5, 1.9, 7, 4), 2, 6)
    assert [
        (20, 40, 8, True, True),
        (50, 60, 1.9, False, True),
        (60, 70, 7, True, True),
    ] == [
        (
            (each.start - BEGIN).seconds // 60,
            (each.end - BEGIN).seconds // 60,
            each.extreme_c,
            each.above,
            each.over,
        )
        for each in found
    ]


def test_an_excursion_that_still_goes_on_is_not_over() -> None:
    (still,) = excursions(run(4, 7, 8), 2, 6)
    assert (False, timedelta(minutes=10)) == (still.over, still.lasted)


@given(st.lists(st.floats(-5, 15), min_size=1, max_size=40))
def test_every_reading_outside_is_in_one_excursion_and_none_inside_is(readings: list[float]) -> None:
    found = excursions(run(*readings), 2, 6)
    for reading in run(*readings):
        inside = sum(
            each.start <= reading.at < each.end or (reading.at == each.end and not each.over)
            for each in found
        )
        assert inside == (0 if 2 <= reading.temperature_c <= 6 else 1)


def test_gaps_are_pauses_longer_than_allowed() -> None:
    readings = [Reading(BEGIN + timedelta(minutes=m), 4) for m in (0, 10, 20, 45, 55)]
    assert ((BEGIN + timedelta(minutes=20), BEGIN + timedelta(minutes=45)),) == gaps(
        readings, timedelta(minutes=10)
    )


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: mean_kinetic_c([]), "no time"),
        (lambda: mean_kinetic_c([5], [0]), "no time"),
        (lambda: mean_kinetic_c([5], [1, 2]), "own weight"),
        (lambda: mean_kinetic_c([5], [-1]), "weight"),
        (lambda: mean_kinetic_c([500]), "temperature"),
        (lambda: mean_kinetic_c([5], None, 1), "gas constant"),
        (lambda: kinetic_windows(run(4), timedelta(hours=1)), "At least 2 readings"),
        (lambda: kinetic_windows(run(4, 4), timedelta(hours=1)), "do not fill one window"),
        (lambda: kinetic_windows(run(4, 4), timedelta(0)), "longer than nought"),
        (lambda: kinetic_windows(run(4, 4)[::-1], timedelta(minutes=1)), "not in order"),
        (lambda: excursions([], 2, 6), "At least 1"),
        (lambda: excursions(run(4), 6, 2), "upper limit"),
        (lambda: excursions([Reading(BEGIN.replace(tzinfo=None), 4)], 2, 6), "with its zone"),
        (lambda: gaps(run(400), timedelta(0)), "temperature"),
    ],
)
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()
