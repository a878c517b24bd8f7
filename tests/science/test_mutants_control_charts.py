"""Charts at their floors and ceilings, groups of every size, and processes that lean to the lower limit."""

import pytest

from buffycoat.science.control_charts import (
    capability,
    count_chart,
    cusum_chart,
    mean_and_range_charts,
    share_chart,
)
from buffycoat.science.errors import OutOfRange


def test_4_8_a_chart_of_ranges_of_seven_has_a_lower_limit() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2, from memory: D3 = 0.076 and D4 = 1.924 for seven.
    group = [8, 10, 9, 11, 12, 10, 10]
    _, ranges = mean_and_range_charts([group, group])
    assert (4, 0.304, 7.696) == pytest.approx((ranges.centre, ranges.lower[0], ranges.upper[0]))


def test_groups_are_two_or_more_of_up_to_ten_values() -> None:
    assert 2 == len(mean_and_range_charts([list(range(10))] * 2)[0].points)
    with pytest.raises(OutOfRange, match="size of a group must be"):
        mean_and_range_charts([list(range(11))] * 2)
    with pytest.raises(OutOfRange, match="At least two groups"):
        mean_and_range_charts([[1, 2, 3]])


def test_shares_are_points_between_nought_and_one() -> None:
    # 3 √(0.9 · 0.1 / 10) = 0.2846.
    chart = share_chart([8, 10], [10, 10])
    assert (0.8, 1.0) == chart.points
    assert (0.6154, 1.0) == pytest.approx((chart.lower[0], chart.upper[0]), abs=5e-5)


def test_counts_have_no_limit_below_nought() -> None:
    # 4 − 3 √4 = −2.
    chart = count_chart([4, 4])
    assert (0, 4, 10) == (chart.lower[0], chart.centre, chart.upper[0])


def test_both_sums_are_counted_in_standard_deviations() -> None:
    # By hand, with 0.5 of slack: steps of 2, 1 and −3 sd.
    high, low = cusum_chart([14, 12, 4], target=10, sd=2)
    assert ((1.5, 2.0, 0.0), (0.0, 0.0, 2.5)) == (high.points, low.points)
    assert (0, 0, 5) == (low.lower[0], low.centre, low.upper[0])


def test_a_process_near_its_lower_limit_is_judged_by_that_one() -> None:
    # (11 − 8) / 6 and (20 − 11) / 6.
    assert (1.0, 0.5, 1.5, 0.5, 0.5) == pytest.approx(tuple(capability(11, 2, 8, 20)))
