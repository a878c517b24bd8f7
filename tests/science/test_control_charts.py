"""Control charts against the NIST/SEMATECH e-Handbook, and run rules against published run lengths."""

import math
from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, sparse, stats
from scipy.sparse import linalg

from buffycoat.science.control_charts import (
    D2,
    LOWER_RANGE,
    UPPER_RANGE,
    c4,
    capability,
    count_chart,
    cusum_chart,
    ewma_chart,
    individuals_chart,
    mean_and_range_charts,
    moving_range_chart,
    share_chart,
)
from buffycoat.science.errors import OutOfRange
from buffycoat.science.run_rules import NELSON, RULES, WESTERN_ELECTRIC, Memory, alarms, step, zone
from tests.science.published import ABOUT_325, CHIPS, PISTON_RINGS, SUMS_ABOVE, SUMS_BELOW

FLOW_RATES = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
BEFORE = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5]
WAFERS = [16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31, 13]


def test_4_1_individuals_and_moving_range() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.2, with d2 = 1.128 and D4 = 3.267.
    chart, moving = individuals_chart(FLOW_RATES), moving_range_chart(FLOW_RATES)
    assert (50.81, 45.8159, 55.8041) == pytest.approx(
        (chart.centre, chart.lower[0], chart.upper[0]), abs=5e-5
    )
    assert (1.8778, 0, 6.1349) == pytest.approx((moving.centre, moving.lower[0], moving.upper[0]), abs=5e-4)
    assert () == chart.outside


def test_4_2_moving_averages() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.4.
    printed = [50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33,
               50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99]  # fmt: skip
    chart = ewma_chart(BEFORE + FLOW_RATES, target=50, sd=2.0539, weight=0.3)
    assert printed == pytest.approx(chart.points, abs=5e-3)
    assert (47.4115, 52.5884) == pytest.approx((chart.lower[0], chart.upper[0]), abs=2e-4)
    assert () == chart.outside


def test_4_4_counts() -> None:
    # NIST/SEMATECH e-Handbook 6.3.3.1: 28 at point 3 lies on the limit, not beyond it.
    chart = count_chart(WAFERS)
    assert (16, 4, 28, (24,)) == (chart.centre, chart.lower[0], chart.upper[0], chart.outside)


def test_4_6_the_charts_of_125_piston_rings() -> None:
    # D. C. Montgomery, Introduction to Statistical Quality Control; specification 73.95 to 74.05 mm.
    means, ranges = mean_and_range_charts(PISTON_RINGS)
    assert (74.00118, 73.98805, 74.0143) == pytest.approx(
        (means.centre, means.lower[0], means.upper[0]), abs=5e-5
    )
    assert (0.02276, 0, 0.04812) == pytest.approx((ranges.centre, ranges.lower[0], ranges.upper[0]), abs=5e-5)
    assert ((), ()) == (means.outside, ranges.outside)
    fit = capability(means.centre, ranges.centre / D2[5], 73.95, 74.05)
    assert (1.70, 1.66) == pytest.approx((fit.cp, fit.cpk), abs=5e-3)


def test_4_7_capability() -> None:
    # NIST/SEMATECH e-Handbook 6.1.6.
    assert (1, 2 / 3, 2 / 3, 4 / 3, 1 / 3) == pytest.approx(tuple(capability(16, 2, 8, 20)))


@pytest.mark.parametrize("size", range(2, 11))
def test_4_8_factors_agree_with_numerical_integration(size: int) -> None:
    # NIST/SEMATECH e-Handbook 6.3.2, from memory.
    d2, _ = integrate.quad(lambda x: 1 - stats.norm.cdf(x) ** size - stats.norm.sf(x) ** size, -9, 9)

    def tail(high: float) -> float:
        inner, _ = integrate.quad(
            lambda low: 1 - stats.norm.cdf(high) ** size - stats.norm.sf(low) ** size
            + (stats.norm.cdf(high) - stats.norm.cdf(low)) ** size,
            -9, high,
        )  # fmt: skip
        return float(inner)

    highs, weights = np.polynomial.legendre.leggauss(60)
    square = 2 * 9 * sum(weight * tail(9 * high) for high, weight in zip(highs, weights, strict=True))
    d3 = math.sqrt(square - d2**2)
    assert D2[size] == pytest.approx(d2, abs=6e-4)
    assert UPPER_RANGE[size] == pytest.approx(1 + 3 * d3 / d2, abs=2e-3)
    assert LOWER_RANGE[size] == pytest.approx(max(0, 1 - 3 * d3 / d2), abs=2e-3)


def test_4_8_the_factor_c4() -> None:
    printed = [0.7979, 0.8862, 0.9213, 0.9400, 0.9515, 0.9594, 0.9650, 0.9693, 0.9727]
    assert printed == pytest.approx([c4(size) for size in range(2, 11)], abs=6e-5)


def run_length(rules: tuple[str, ...]) -> float:
    """The mean number of points to the first alarm: every memory that can be reached, as a Markov chain."""
    steps = [0.5, 1.5, 2.5, 3.5, -0.5, -1.5, -2.5, -3.5]
    edges = stats.norm.cdf([0, 1, 2, 3, math.inf])
    chances = list(np.diff(edges)) * 2
    number, order, rows = {Memory(): 0}, [Memory()], []
    for memory in order:
        for z, chance in zip(steps, chances, strict=True):
            following, broken = step(memory, z, rules)
            if broken:
                continue
            if following not in number:
                number[following] = len(order)
                order.append(following)
            rows.append((number[memory], number[following], chance))
    size = len(order)
    source, to, chance = zip(*rows, strict=True)
    chain = sparse.identity(size, format="csc") - sparse.csc_matrix(
        (chance, (source, to)), shape=(size, size)
    )
    return float(linalg.spsolve(chain, np.ones(size))[0])


@pytest.mark.parametrize(
    ("numbers", "length"),
    [("1", 370.40), ("12", 225.44), ("13", 166.05), ("14", 152.73), ("123", 132.89), ("124", 122.05), ("134", 105.78),
     ("1234", 91.75)],
)  # fmt: skip
def test_4_10_false_alarms_come_as_seldom_as_published(numbers: str, length: float) -> None:
    # C. W. Champ and W. H. Woodall, Technometrics 1987, from memory; NIST quotes 91.75.
    rules = tuple(WESTERN_ELECTRIC[int(number) - 1] for number in numbers)
    assert run_length(rules) == pytest.approx(length, abs=0.006)


def chance_of_alarm(rule: str, points: int) -> float:
    """How often so many normal points break a rule, by every memory that they can leave."""
    likely, alarmed = {Memory(): 1.0}, 0.0
    edges = np.diff(stats.norm.cdf([0, 1, 2, 3, math.inf]))
    zones = [(side * (size + 0.5), edge) for size, edge in enumerate(edges) for side in (1, -1)]
    for _ in range(points):
        following: dict[Memory, float] = {}
        for memory, chance in likely.items():
            for z, share in zones:
                kept, broken = step(memory, z, [rule])
                if broken:
                    alarmed += chance * share
                else:
                    following[kept] = following.get(kept, 0) + chance * share
        likely = following
    return alarmed


@pytest.mark.parametrize(
    ("number", "points", "chance"),
    [(1, 1, 0.0026998), (2, 9, 0.0039063), (5, 3, 0.0030583), (6, 5, 0.0055318), (7, 15, 0.0032610),
     (8, 8, 0.0001028)],
)  # fmt: skip
def test_4_11_false_alarms_of_one_window(number: int, points: int, chance: float) -> None:
    # L. S. Nelson 1984 for the definitions; his own rounding: each less than five in a thousand, which 6 is not.
    assert chance == pytest.approx(chance_of_alarm(NELSON[number - 1], points), abs=5e-8)
    assert 0 == chance_of_alarm(NELSON[number - 1], points - 1) or number in (5, 6)


def test_4_11_six_points_are_steadily_up_or_down_in_two_of_720_orders() -> None:
    told = [alarms(order, 0, 1, rules=[NELSON[2]]) for order in permutations(range(6))]
    assert 2 == sum(bool(each) for each in told)
    assert 0.0027778 == pytest.approx(2 / len(told), abs=5e-8)


def test_4_11_fourteen_points_go_up_and_down_in_turn_by_the_zigzag_number() -> None:
    # How many orders of n ranks zigzag, by the rank of the last point: 2 × 199 360 981 of 14!.
    ends = [1]
    for _ in range(13):
        ends = [sum(ends[:rank]) for rank in range(len(ends) + 1)][::-1]
    assert 199_360_981 == sum(ends)
    assert 0.0045736 == pytest.approx(2 * sum(ends) / math.factorial(14), abs=5e-8)


@given(st.lists(st.integers(-3, 3), min_size=14, max_size=30) | st.permutations(range(14)))
def test_4_11_points_in_turn_and_steady_points_by_their_definitions(points: list[int]) -> None:
    zigzag = [points[n] if n % 2 else -abs(points[n]) - 1 for n in range(len(points))]
    for each in (points, zigzag, sorted(points)):
        moves = [(b > a) - (b < a) for a, b in pairwise(each)]
        turning = {
            n + 1 for n in range(13, len(each)) if all(a * b < 0 for a, b in pairwise(moves[n - 13 : n]))
        }
        steady = {n + 1 for n in range(5, len(each)) if abs(sum(moves[n - 5 : n])) == 5}
        told = dict(alarms(each, 0, 1, rules=[NELSON[2], NELSON[3]]))
        assert turning == {number for number, names in told.items() if NELSON[3] in names}
        assert steady == {number for number, names in told.items() if NELSON[2] in names}


@pytest.mark.parametrize(
    ("points", "rule"),
    [
        ([0, 3.01], "beyond three sigma"),
        ([2.1, 0.5, 2.1], "two of three beyond two sigma"),
        ([-1.1, -1.1, 0.5, -1.1, -1.1], "four of five beyond one sigma"),
        ([0.1] * 8, "eight on one side"),
        ([-0.1] * 9, "nine on one side"),
        ([0, 1, 2, 3, 4, 5], "six steadily up or down"),
        ([1, 2, 1.5, 1, 0.5, 0, -0.5], "six steadily up or down"),
        ([0, 1] * 7, "fourteen up and down in turn"),
        ([0, 0] + [1, 0] * 6 + [1], "fourteen up and down in turn"),
        ([1.5] + [1, -0.5, 0] * 5, "fifteen within one sigma"),
        ([1.5, -1.5] * 4, "eight beyond one sigma"),
    ],
)
def test_each_rule_speaks_at_the_last_point_of_its_pattern_and_not_before(
    points: list[float], rule: str
) -> None:
    assert ((len(points), (rule,)),) == alarms(points, 0, 1, rules=[rule])


@pytest.mark.parametrize(
    "points",
    [
        [3.0],
        [2.1, 0.5, 0.5, 2.1],
        [2.1, -2.1, 0],
        [1.1, 1.1, 0.5, 0.5, 1.1, 1.1],
        [0.1] * 7 + [-0.1],
        [0.1] * 7 + [0],
    ],
)
def test_patterns_that_are_not_quite_there_are_not_reported(points: list[float]) -> None:
    assert () == alarms(points, 0, 1)


@pytest.mark.parametrize(
    "points",
    [
        [0, 1, 2, 3, 4, 4, 5],
        [0, 1] * 6 + [0],
        [0, 1.1] * 6 + [1.1, 0] * 6,
        [0.5] * 14 + [1.1] + [0.5] * 14,
        [1.1] * 7 + [1.0] + [-1.1] * 7,
    ],
)
def test_patterns_of_moves_and_of_spread_that_are_not_quite_there_are_not_reported(
    points: list[float],
) -> None:
    rules = ["six steadily up or down", "fourteen up and down in turn", "fifteen within one sigma", NELSON[7]]
    assert () == alarms(points, 0, 1, rules=rules)


@given(st.lists(st.floats(-5, 5), max_size=30))
def test_rules_are_the_same_upside_down(points: list[float]) -> None:
    assert alarms(points, 0, 1, rules=RULES) == alarms([-point for point in points], 0, 1, rules=RULES)


@given(st.floats(-5, 5))
def test_zones_are_whole_sigmas(z: float) -> None:
    assert abs(zone(z)) == (0 if z == 0 else 1 + sum(abs(z) > bound for bound in (1, 2, 3)))


@given(st.lists(st.floats(-1e3, 1e3), min_size=2, max_size=30), st.floats(-100, 100))
def test_limits_move_with_the_values(values: list[float], by: float) -> None:
    one, other = individuals_chart(values), individuals_chart([value + by for value in values])
    assert one.upper[0] + by == pytest.approx(other.upper[0], abs=1e-6)
    assert one.lower[0] <= one.centre <= one.upper[0]


def test_shares_of_chips_out_of_register() -> None:
    # NIST/SEMATECH e-Handbook 6.3.3.2.
    chart = share_chart(CHIPS, [50] * 30)
    assert (0.2313, 0.0524, 0.4103) == pytest.approx((chart.centre, chart.lower[0], chart.upper[0]), abs=1e-4)
    assert (15, 23) == chart.outside


def test_shares_have_limits_for_each_size() -> None:
    chart = share_chart([2, 1, 30], [50, 50, 100])
    assert 0.165 == pytest.approx(chart.centre)
    width = 3 * math.sqrt(0.165 * 0.835 / 100)
    assert (0.165 - width, 0.165 + width) == pytest.approx((chart.lower[2], chart.upper[2]))
    assert (3,) == chart.outside[-1:]
    assert chart.upper[0] > chart.upper[2]


def test_sums_of_deviations_are_the_printed_ones() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.3, from memory: k = 0.3175, h = 4.1959, half and 6.6 of the sd of 0.635.
    high, low = cusum_chart(ABOUT_325, target=325, sd=0.635, decision=4.1959 / 0.635)
    assert SUMS_ABOVE == pytest.approx([0.635 * point for point in high.points], abs=0.01)
    assert SUMS_BELOW == pytest.approx([0.635 * point for point in low.points], abs=0.01)
    assert (tuple(range(14, 21)), ()) == (high.outside, low.outside)


def test_sums_of_deviations_find_a_small_lasting_shift() -> None:
    high, low = cusum_chart([10, 10] + [11.0] * 12, target=10, sd=1)
    assert (13, 14) == high.outside
    assert () == low.outside
    assert cusum_chart([10] + [9.0] * 12, target=10, sd=1)[1].outside


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: individuals_chart([1]), "At least two"),
        (lambda: individuals_chart([1, math.nan]), "not a number"),
        (lambda: moving_range_chart([1]), "At least two"),
        (lambda: mean_and_range_charts([[1, 2], [1]]), "equal size"),
        (lambda: mean_and_range_charts([[1], [1]]), "size of a group"),
        (lambda: share_chart([1], [1, 2]), "number tested and the number failed"),
        (lambda: share_chart([3], [2]), "number failed"),
        (lambda: count_chart([-1, 2]), "count"),
        (lambda: count_chart([]), "At least two"),
        (lambda: count_chart([4]), "At least two"),
        (lambda: ewma_chart([1], target=1, sd=1), "At least two"),
        (lambda: ewma_chart([1, 2], target=1, sd=0), "standard deviation"),
        (lambda: ewma_chart([1, 2], target=1, sd=1, weight=0), "weight"),
        (lambda: ewma_chart([1, 2], target=1, sd=1, width=0), "width"),
        (lambda: cusum_chart([1], target=1, sd=1, slack=-1), "slack"),
        (lambda: cusum_chart([1], target=1, sd=1, decision=0), "decision"),
        (lambda: cusum_chart([1], target=1, sd=1), "At least two"),
        (lambda: capability(1, 0, 0, 2), "standard deviation"),
        (lambda: capability(1, 1, 2, 2), "must lie below"),
        (lambda: c4(1), "number of values"),
        (lambda: alarms([1], 0, 0), "sigma"),
        (lambda: alarms([1], 0, 1, rules=["rule 7"]), "no run rule 'rule 7'"),
        (lambda: alarms([math.nan], 0, 1), "not a number"),
    ],
)
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()
