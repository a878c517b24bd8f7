"""Acceptance sampling against published tables and scipy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from buffycoat.science.errors import OutOfRange
from buffycoat.science.sampling import (
    accept_probability,
    conforming_lower_bound,
    mean_and_sd,
    one_sided_tolerance_factor,
    percentile,
    sample_size,
    share_interval,
    tolerance_factor,
)
from tests.science.published import LEW, MAVRO, MICHELSON


@pytest.mark.parametrize(
    ("confidence", "share", "sizes"),
    [
        (0.95, 0.95, [59, 93, 124, 153, 181, 208, 234, 260]),
        (0.95, 0.75, [11, 18, 23, 29, 34, 40]),
        (0.95, 0.90, [29, 46, 61, 76]),
        (0.90, 0.90, [22, 38, 52, 65]),
        (0.95, 0.80, [14, 22, 30, 37]),
        (0.95, 0.85, [19, 30, 40, 50]),
        (0.95, 0.99, [299, 473, 628]),
    ],
)
def test_3_1_to_3_3_sample_sizes(confidence: float, share: float, sizes: list[int]) -> None:
    # United States guidance: leucocyte reduction 2012 (95/95, prints 60 for none), platelets 2007 (95/75), memory.
    assert sizes == [sample_size(failures, confidence, share) for failures in range(len(sizes))]


@pytest.mark.parametrize(
    ("tested", "failures", "accepted", "bound"),
    [
        (59, 0, 0.0484945, 0.950492),
        (60, 0, 0.0460698, 0.951297),
        (93, 1, 0.0499758, 0.950006),
        (124, 2, 0.0495298, 0.950100),
        (153, 3, 0.0494448, 0.950105),
        (181, 4, 0.0491626, 0.950145),
    ],
)
def test_3_4_and_3_5_acceptance_and_lower_bound(
    tested: int, failures: int, accepted: float, bound: float
) -> None:
    # scipy.stats.
    assert accept_probability(tested, failures, 0.05) == pytest.approx(accepted, abs=5e-8)
    assert conforming_lower_bound(tested, failures) == pytest.approx(bound, abs=5e-7)


def test_3_7_the_interval_of_the_help_page() -> None:
    # R, help of binom.test, from memory.
    assert share_interval(925, 682) == pytest.approx((0.7076683, 0.7654066), abs=5e-8)


@pytest.mark.parametrize(
    ("tested", "two_sided", "one_sided"),
    [(60, 0.0596295, 0.0487029), (59, 0.0606089, 0.0495076), (10, 0.3084971, 0.2588656)],
)
def test_3_8_no_failures_and_the_rule_of_three(tested: int, two_sided: float, one_sided: float) -> None:
    # scipy.stats.
    assert share_interval(tested, 0) == pytest.approx((0, two_sided), abs=5e-8)
    assert 1 - conforming_lower_bound(tested, 0) == pytest.approx(one_sided, abs=5e-8)
    assert one_sided < 3 / tested


def test_3_10_tolerance_factors() -> None:
    # NIST/SEMATECH e-Handbook 7.2.6.3, from memory: 2.217 and about 1.8752; exact one-sided by the noncentral t.
    assert tolerance_factor(43, 0.90, 0.99) == pytest.approx(2.2173159, abs=5e-7)
    assert one_sided_tolerance_factor(43, 0.90, 0.99) == pytest.approx(1.8751896, abs=5e-7)
    exact = stats.nct.ppf(0.99, 42, stats.norm.ppf(0.90) * np.sqrt(43)) / np.sqrt(43)
    assert exact == pytest.approx(one_sided_tolerance_factor(43, 0.90, 0.99), rel=1e-3)


def test_3_11_the_90th_percentile() -> None:
    # NIST/SEMATECH e-Handbook 7.2.6.2: 95.1981.
    gauges = [
        95.1772,
        95.1567,
        95.1937,
        95.1959,
        95.1442,
        95.0610,
        95.1591,
        95.1195,
        95.1065,
        95.0925,
        95.1990,
        95.1682,
    ]
    assert percentile(gauges, 0.90) == pytest.approx(95.1981, abs=5e-5)


@pytest.mark.parametrize(
    ("readings", "count", "mean", "sd"),
    [
        (MICHELSON, 100, 299.852400000000, 0.0790105478190518),
        (MAVRO, 50, 2.00185600000000, 0.000429123454003053),
        (LEW, 200, -177.435000000000, 277.332168044316),
    ],
    ids=["Michelson", "Mavro", "Lew"],
)
def test_4_13_means_and_standard_deviations_are_the_certified_ones(
    readings: list[float], count: int, mean: float, sd: float
) -> None:
    # NIST StRD, univariate summary statistics.
    assert (count, pytest.approx(mean, rel=1e-14), pytest.approx(sd, rel=1e-13, abs=0)) == (
        len(readings),
        *mean_and_sd(readings),
    )


def test_4_13_the_short_cut_by_squares_would_lose_the_certified_figures() -> None:
    mean = sum(MAVRO) / 50
    by_squares = ((sum(each**2 for each in MAVRO) - 50 * mean**2) / 49) ** 0.5
    assert by_squares != pytest.approx(0.000429123454003053, rel=1e-10, abs=0)


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=30), st.floats(-1e3, 1e3))
def test_a_shift_moves_the_mean_and_leaves_the_spread(values: list[float], by: float) -> None:
    mean, sd = mean_and_sd(values)
    assert (mean + by, sd) == pytest.approx(mean_and_sd([each + by for each in values]), rel=1e-6, abs=1e-6)
    assert (np.mean(values), np.std(values, ddof=1)) == pytest.approx((mean, sd), rel=1e-6, abs=1e-6)


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30), st.floats(0.01, 1))
def test_percentiles_are_those_of_numpy_by_weibull_ranks(values: list[float], share: float) -> None:
    assert percentile(values, share) == pytest.approx(
        float(np.percentile(values, share * 100, method="weibull")), abs=1e-6
    )


@given(st.integers(1, 200), st.data())
def test_the_lower_bound_is_where_so_few_failures_become_unlikely(tested: int, data: st.DataObject) -> None:
    failures = data.draw(st.integers(0, tested - 1))
    bound = conforming_lower_bound(tested, failures)
    assert accept_probability(tested, failures, 1 - bound) == pytest.approx(0.05, abs=1e-6)
    assert stats.binom.cdf(failures, tested, 1 - bound) == pytest.approx(0.05, abs=1e-6)


def test_when_all_fail_nothing_is_shown() -> None:
    assert (0.0, 1.0) == (conforming_lower_bound(5, 5), accept_probability(5, 5, 0.9))


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: accept_probability(0, 0, 0.5), "number tested"),
        (lambda: accept_probability(5, 6, 0.5), "number of failures"),
        (lambda: accept_probability(5, 0, 1.5), "failing share"),
        (lambda: sample_size(-1, 0.95, 0.95), "number of failures"),
        (lambda: sample_size(0, 1, 0.95), "confidence"),
        (lambda: sample_size(0, 0.95, 1), "conforming share"),
        (lambda: share_interval(5, 6), "number found"),
        (lambda: conforming_lower_bound(5, 0, 0.2), "confidence"),
        (lambda: tolerance_factor(1, 0.9, 0.9), "number of values"),
        (lambda: tolerance_factor(9, 0.1, 0.9), "coverage"),
        (lambda: one_sided_tolerance_factor(2, 0.9, 0.99), "too few"),
        (lambda: mean_and_sd([4.2]), "At least two values"),
        (lambda: mean_and_sd([4.2, float("inf")]), "not a number"),
        (lambda: percentile([], 0.5), "no values"),
        (lambda: percentile([1], 0), "share"),
    ],
)
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()
