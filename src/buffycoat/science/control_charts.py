"""Control charts: limits, named run rules and capability.

The factors d2, D3 and D4 are the printed three-decimal ones of the NIST/SEMATECH e-Handbook, so that limits agree with
books; the exact values differ by less than one part in a thousand.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, NamedTuple

from buffycoat.science.errors import OutOfRange, above, whole, within

# NIST/SEMATECH e-Handbook 6.3.2, from memory; for 2 to 10 values a group.
D2: Final = dict(
    zip(range(2, 11), (1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.970, 3.078), strict=True)
)
LOWER_RANGE: Final = dict(zip(range(2, 11), (0, 0, 0, 0, 0, 0.076, 0.136, 0.184, 0.223), strict=True))
UPPER_RANGE: Final = dict(
    zip(range(2, 11), (3.267, 2.574, 2.282, 2.114, 2.004, 1.924, 1.864, 1.816, 1.777), strict=True)
)


@dataclass(frozen=True, kw_only=True)
class Chart:
    """Points with a centre and limits; the limits are single numbers or one for each point."""

    points: tuple[float, ...]
    centre: float
    lower: tuple[float, ...]
    upper: tuple[float, ...]

    @property
    def outside(self) -> tuple[int, ...]:
        """Numbers, from 1, of the points beyond a limit; a point on a limit is not beyond it."""
        return tuple(
            number
            for number, (point, low, high) in enumerate(
                zip(self.points, self.lower, self.upper, strict=True), start=1
            )
            if not low <= point <= high
        )


class Capability(NamedTuple):
    """How well a process fits between its specification limits."""

    cp: float
    cpk: float
    cpu: float
    cpl: float
    k: float


def c4(count: int) -> float:
    """Give the factor that takes the bias from a standard deviation of normal values.

    c4 = √(2/(n − 1)) Γ(n/2) / Γ((n − 1)/2). Arguments: count, 2 to 100 000. Raises: OutOfRange outside that range.
    Range: exact.
    Source: NIST/SEMATECH e-Handbook 6.3.2, from memory: 0.9400 for 5.

    >>> round(c4(5), 4)
    0.94
    """
    whole("number of values", count, 2, 100_000)
    return math.sqrt(2 / (count - 1)) * math.exp(math.lgamma(count / 2) - math.lgamma((count - 1) / 2))


def individuals_chart(values: Sequence[float]) -> Chart:
    """Chart single values with limits from the mean moving range of neighbours.

    mean ± 3 MR / d2, d2 = 1.128. Arguments: values, at least two. Raises: OutOfRange for fewer.
    Range: independent, roughly normal values.
    Source: NIST/SEMATECH e-Handbook 6.3.2.2: flow rates, 45.816 to 55.804.

    >>> chart = individuals_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(chart.lower[0], 4), round(chart.centre, 2), round(chart.upper[0], 4)
    (45.8159, 50.81, 55.8041)
    """
    moving = _moving_ranges(values)
    return _level(values, _mean(values), 3 * _mean(moving) / D2[2])


def moving_range_chart(values: Sequence[float]) -> Chart:
    """Chart the differences of neighbours; upper limit D4 times their mean, D4 = 3.267.

    Arguments, errors and range as for `individuals_chart`.
    Source: NIST/SEMATECH e-Handbook 6.3.2.2: upper limit 6.1349.

    >>> round(moving_range_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]).upper[0], 3)
    6.135
    """
    moving = _moving_ranges(values)
    return _ranges(moving, 2)


def mean_and_range_charts(groups: Sequence[Sequence[float]]) -> tuple[Chart, Chart]:
    """Chart the means and the ranges of groups of equal size.

    mean ± 3 R / (d2 √n), and D3 R to D4 R.
    Arguments: groups, at least two of 2 to 10 values each. Raises: OutOfRange for others.
    Range: independent, roughly normal values.
    Source: D. C. Montgomery, Introduction to Statistical Quality Control, piston rings.

    >>> rings = [[74.030, 74.002, 74.019, 73.992, 74.008], [73.995, 73.992, 74.001, 74.011, 74.004]]
    >>> means, ranges = mean_and_range_charts(rings)
    >>> round(means.centre, 4), round(means.upper[0], 4), round(ranges.upper[0], 4)
    (74.0054, 74.0218, 0.0602)
    """
    sizes = {len(group) for group in groups}
    if len(groups) < 2 or len(sizes) != 1:
        raise OutOfRange("At least two groups of equal size are needed.")
    size = whole("size of a group", sizes.pop(), 2, 10)
    means, ranges = [_mean(group) for group in groups], [max(group) - min(group) for group in groups]
    spread = _mean(ranges)
    return (
        _level(means, _mean(means), 3 * spread / (D2[size] * math.sqrt(size))),
        _ranges(ranges, size),
    )


def share_chart(failed: Sequence[int], tested: Sequence[int]) -> Chart:
    """Chart shares that failed (p chart), with limits for each sample's own size.

    p ± 3 √(p (1 − p) / n), within 0 and 1. Arguments: failed and tested, whole, failed at most tested, tested above 0.
    Raises: OutOfRange for other counts.
    Range: independent items; np and n(1 − p) of five or more.
    Source: NIST/SEMATECH e-Handbook 6.3.3.2: chips on 30 wafers, 0.2313, 0.0524 and 0.4103, rounded on the way.

    >>> failed = [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9]
    >>> chart = share_chart([*failed, 12, 7, 13, 9, 6], [50] * 30)
    >>> round(chart.centre, 4), round(chart.lower[0], 4), round(chart.upper[0], 4), chart.outside
    (0.2313, 0.0524, 0.4102, (15, 23))
    """
    if len(failed) != len(tested) or not tested:
        raise OutOfRange("Each sample needs the number tested and the number failed.")
    for each, of in zip(failed, tested, strict=True):
        whole("number failed", each, 0, whole("number tested", of, 1, 10**9))
    share = sum(failed) / sum(tested)
    widths = [3 * math.sqrt(share * (1 - share) / of) for of in tested]
    return Chart(
        points=tuple(each / of for each, of in zip(failed, tested, strict=True)),
        centre=share,
        lower=tuple(max(0.0, share - width) for width in widths),
        upper=tuple(min(1.0, share + width) for width in widths),
    )


def count_chart(counts: Sequence[int]) -> Chart:
    """Chart counts of faults in samples of equal size (c chart).

    c ± 3 √c, not below nought. Arguments: counts, whole, at least two. Raises: OutOfRange for others.
    Range: Poisson counts.
    Source: NIST/SEMATECH e-Handbook 6.3.3.1: wafers, 4, 16 and 28; sample 24 out.

    >>> chart = count_chart([16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16,
    ...     31, 13])
    >>> chart.lower[0], chart.centre, chart.upper[0], chart.outside
    (4.0, 16.0, 28.0, (24,))
    """
    _two_or_more(counts)
    mean = _mean([whole("count", count, 0, 10**9) for count in counts])
    return _level(counts, mean, 3 * math.sqrt(mean), floor=0.0)


def ewma_chart(
    values: Sequence[float], *, target: float, sd: float, weight: float = 0.3, width: float = 3
) -> Chart:
    """Chart exponentially weighted moving averages with their limits in the long run.

    Eₜ = λ x + (1 − λ) Eₜ₋₁ from the target; target ± width sd √(λ / (2 − λ)).
    Arguments: values, at least two; sd, above 0; weight λ, above 0 to 1; width, above 0 to 6.
    Raises: OutOfRange outside those ranges.
    Range: finds small lasting shifts.
    Source: NIST/SEMATECH e-Handbook 6.3.2.4: 47.4115 to 52.5884.

    >>> chart = ewma_chart([52.0, 47.0, 53.0], target=50, sd=2.0539)
    >>> [round(point, 2) for point in chart.points], round(chart.upper[0], 4)
    ([50.6, 49.52, 50.56], 52.5884)
    """
    above("standard deviation", sd, 0, 1e12)
    above("weight", weight, 0, 1)
    above("width", width, 0, 6)
    points, average = [], target
    for value in values:
        average = weight * value + (1 - weight) * average
        points.append(average)
    return _level(points, target, width * sd * math.sqrt(weight / (2 - weight)))


def cusum_chart(
    values: Sequence[float], *, target: float, sd: float, slack: float = 0.5, decision: float = 5
) -> tuple[Chart, Chart]:
    """Chart sums of deviations above and below a target, in units of sd.

    S⁺ = max(0, S⁺ + z − k), S⁻ = max(0, S⁻ − z − k), limit h. Arguments: values, at least two; sd, above 0; slack k,
    0 to 5; decision h, above 0 to 50.
    Raises: OutOfRange outside those ranges.
    Range: a slack of 0.5 and a limit of 5 find a shift of one sd in about ten values.
    Source: NIST/SEMATECH e-Handbook 6.3.2.3, from memory: a target of 325, sums of 3.01, 4.94 and 7.45 at points 13 to
    15, beyond a limit of 4.1959 from 14 on.

    >>> means = [324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600, 324.625,
    ...     325.150, 328.325, 327.250, 327.825]
    >>> high, low = cusum_chart(means, target=325, sd=1, slack=0.3175, decision=4.1959)
    >>> [round(point, 2) for point in high.points[-3:]], high.outside, low.outside
    ([3.01, 4.94, 7.45], (14, 15), ())
    """
    above("standard deviation", sd, 0, 1e12)
    within("slack", slack, 0, 5)
    above("decision limit", decision, 0, 50)
    charts = []
    for sign in (1, -1):
        points, total = [], 0.0
        for value in values:
            total = max(0.0, total + sign * (value - target) / sd - slack)
            points.append(total)
        charts.append(_level(points, 0.0, decision, floor=0.0))
    return charts[0], charts[1]


def capability(mean: float, sd: float, lower_limit: float, upper_limit: float) -> Capability:
    """Compare the spread of a process with its specification limits.

    Cp = (U − L) / 6 s; Cpk = min(U − mean, mean − L) / 3 s; k = |middle − mean| / half the width.
    Arguments: sd, above 0; lower_limit below upper_limit. Raises: OutOfRange for others.
    Range: a process in control, normal values.
    Source: NIST/SEMATECH e-Handbook 6.1.6: limits 8 and 20, mean 16, sd 2.

    >>> [round(each, 4) for each in capability(16, 2, 8, 20)]
    [1.0, 0.6667, 0.6667, 1.3333, 0.3333]
    """
    above("standard deviation", sd, 0, 1e12)
    if not lower_limit < upper_limit:
        raise OutOfRange("The lower specification limit must lie below the upper one.")
    above_by, below_by = (upper_limit - mean) / (3 * sd), (mean - lower_limit) / (3 * sd)
    return Capability(
        cp=(upper_limit - lower_limit) / (6 * sd),
        cpk=min(above_by, below_by),
        cpu=above_by,
        cpl=below_by,
        k=abs((upper_limit + lower_limit) / 2 - mean) / ((upper_limit - lower_limit) / 2),
    )


def _two_or_more(values: Sequence[float]) -> Sequence[float]:
    if len(values) < 2:
        raise OutOfRange("At least two values are needed.")
    return values


def _mean(values: Sequence[float]) -> float:
    mean = math.fsum(values) / len(values)
    if not math.isfinite(mean):
        raise OutOfRange("A value is not a number.")
    return mean


def _moving_ranges(values: Sequence[float]) -> list[float]:
    return [abs(after - before) for before, after in pairwise(_two_or_more(values))]


def _ranges(ranges: Sequence[float], size: int) -> Chart:
    mean = _mean(ranges)
    return Chart(
        points=tuple(ranges),
        centre=mean,
        lower=(LOWER_RANGE[size] * mean,) * len(ranges),
        upper=(UPPER_RANGE[size] * mean,) * len(ranges),
    )


def _level(points: Sequence[float], centre: float, width: float, floor: float = -math.inf) -> Chart:
    return Chart(
        points=tuple(float(point) for point in _two_or_more(points)),
        centre=centre,
        lower=(max(floor, centre - width),) * len(points),
        upper=(centre + width,) * len(points),
    )
