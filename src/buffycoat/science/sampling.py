"""Acceptance sampling: how many to test, and what a number of failures proves."""

import math
import statistics
from collections.abc import Sequence
from typing import Final, NamedTuple

from scipy import special

from buffycoat.science.errors import OutOfRange, above, whole, within

MOST: Final = 1_000_000


class Interval(NamedTuple):
    """Two ends of a confidence interval."""

    low: float
    high: float


class Spread(NamedTuple):
    """Where values lie and how far they scatter."""

    mean: float
    sd: float


def accept_probability(tested: int, failures_allowed: int, failing_share: float) -> float:
    """Give the chance that a process with a failing share passes a plan.

    P(X ≤ c), X binomial (n, share). Arguments: tested, 1 to 1 000 000; failures_allowed, 0 to tested; failing_share,
    0 to 1.
    Raises: OutOfRange outside those ranges.
    Range: items independent.
    Source: binomial distribution.

    >>> round(accept_probability(60, 0, 0.05), 7)
    0.0460698
    """
    whole("number tested", tested, 1, MOST)
    whole("number of failures", failures_allowed, 0, tested)
    within("failing share", failing_share, 0, 1)
    if failures_allowed == tested:
        return 1.0
    return float(special.betainc(tested - failures_allowed, failures_allowed + 1, 1 - failing_share))


def sample_size(failures_allowed: int, confidence: float, conforming_share: float) -> int:
    """Give the smallest sample that shows a conforming share with a confidence if no more than so many fail.

    The smallest n with P(X ≤ c; n, 1 − share) ≤ 1 − confidence.
    Arguments: failures_allowed, 0 to 1000; confidence and conforming_share, 0.5 to 0.9999.
    Raises: OutOfRange outside those ranges.
    Range: decide the number of failures before testing.
    Source: United States guidance on leucocyte reduction, 2012, from memory: 93 for one failure at 95/95; the printed
    60 for none is one more than needed.

    >>> [sample_size(c, 0.95, 0.95) for c in range(4)]
    [59, 93, 124, 153]
    """
    whole("number of failures", failures_allowed, 0, 1_000)
    within("confidence", confidence, 0.5, 0.9999)
    within("conforming share", conforming_share, 0.5, 0.9999)
    low, high = failures_allowed, failures_allowed + 1
    while accept_probability(high, failures_allowed, 1 - conforming_share) > 1 - confidence:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        if accept_probability(middle, failures_allowed, 1 - conforming_share) > 1 - confidence:
            low = middle
        else:
            high = middle
    return high


def conforming_lower_bound(tested: int, failures: int, confidence: float = 0.95) -> float:
    """Give the one-sided lower confidence bound of the conforming share (Clopper and Pearson).

    Arguments: tested, 1 to 1 000 000; failures, 0 to tested; confidence, 0.5 to 0.9999.
    Raises: OutOfRange outside those ranges.
    Range: exact, so a little cautious.
    Source: binomial distribution, by a beta quantile; the rule of three says 1 − 3/n for none in n.

    >>> round(conforming_lower_bound(60, 0), 6)
    0.951297
    """
    whole("number tested", tested, 1, MOST)
    whole("number of failures", failures, 0, tested)
    within("confidence", confidence, 0.5, 0.9999)
    passed = tested - failures
    return float(special.betaincinv(passed, failures + 1, 1 - confidence)) if passed else 0.0


def share_interval(tested: int, found: int, confidence: float = 0.95) -> Interval:
    """Give the two-sided confidence interval of a share (Clopper and Pearson).

    Arguments: tested, 1 to 1 000 000; found, 0 to tested; confidence, 0.5 to 0.9998: each end has half of the rest.
    Raises: OutOfRange outside those ranges.
    Range: exact, so a little cautious.
    Source: help of R's binom.test, from memory: 682 of 925 gives 0.7076683 to 0.7654066.

    >>> [round(end, 7) for end in share_interval(925, 682)]
    [0.7076683, 0.7654066]
    """
    tail = 0.5 + within("confidence", confidence, 0.5, 0.9998) / 2
    low = conforming_lower_bound(tested, tested - whole("number found", found, 0, tested), tail)
    return Interval(low, 1 - conforming_lower_bound(tested, found, tail))


def tolerance_factor(count: int, coverage: float, confidence: float) -> float:
    """Give k so that mean ± k sd of a normal sample covers a share of all with a confidence (Howe's method).

    k = z √(ν (1 + 1/n) / χ²). Arguments: count, 2 to 1 000 000; coverage and confidence, 0.5 to 0.9999.
    Raises: OutOfRange outside those ranges.
    Range: normal values.
    Source: NIST/SEMATECH e-Handbook 7.2.6.3, from memory: 43 values, 90 % covered, 99 % sure: 2.217.

    >>> round(tolerance_factor(43, 0.90, 0.99), 3)
    2.217
    """
    whole("number of values", count, 2, MOST)
    within("coverage", coverage, 0.5, 0.9999)
    within("confidence", confidence, 0.5, 0.9999)
    deviate = float(special.ndtri((1 + coverage) / 2))
    chi_square = float(special.chdtri(count - 1, confidence))
    return deviate * math.sqrt((count - 1) * (1 + 1 / count) / chi_square)


def one_sided_tolerance_factor(count: int, coverage: float, confidence: float) -> float:
    """Give k so that mean − k sd of a normal sample lies below a share of all with a confidence (Natrella's method).

    k = (z + √(z² − a b)) / a with a = 1 − z_c² / 2(n − 1) and b = z² − z_c² / n.
    Arguments and errors as for `tolerance_factor`; too few values for the approximation are refused.
    Range: normal values; an approximation, 0.1 % high at n = 43.
    Source: NIST/SEMATECH e-Handbook 7.2.6.3, from memory: 1.8752.

    >>> round(one_sided_tolerance_factor(43, 0.90, 0.99), 4)
    1.8752
    """
    whole("number of values", count, 2, MOST)
    wanted = float(special.ndtri(within("coverage", coverage, 0.5, 0.9999)))
    sure = float(special.ndtri(within("confidence", confidence, 0.5, 0.9999)))
    a = 1 - sure**2 / (2 * (count - 1))
    if a <= 0:
        raise OutOfRange(f"{count} values are too few for that confidence.")
    return (wanted + math.sqrt(wanted**2 - a * (wanted**2 - sure**2 / count))) / a


def mean_and_sd(values: Sequence[float]) -> Spread:
    """Give the mean of values and the standard deviation of all from which they are a sample.

    mean = Σ x / n; sd = √(Σ (x − mean)² / (n − 1)), added up without rounding. Arguments: values, at least two.
    Raises: OutOfRange for fewer, or for a value that is not a number.
    Range: exact to the last figure or two.
    Source: NIST StRD, Mavro: transmittance of a filter, certified 2.00185600000000 and 0.000429123454003053.

    >>> [round(each, 4) for each in mean_and_sd([2.0018, 2.0017, 2.0018, 2.0019, 2.0018])]
    [2.0018, 0.0001]
    """
    if len(values) < 2:
        raise OutOfRange("At least two values are needed.")
    if not all(map(math.isfinite, values)):
        raise OutOfRange("A value is not a number.")
    mean = statistics.fmean(values)
    return Spread(mean, statistics.stdev(values))


def percentile(values: Sequence[float], share: float) -> float:
    """Give the value below which a share lies, at rank share × (n + 1), in between by a straight line.

    Arguments: values, at least one; share, above 0 to 1.
    Raises: OutOfRange for no value or a share outside the range.
    Range: beyond the first and last rank the smallest and largest value.
    Source: NIST/SEMATECH e-Handbook 7.2.6.2; the default of most programs uses other ranks.

    >>> gauges = [95.1772, 95.1567, 95.1937, 95.1959, 95.1442, 95.0610]
    >>> gauges += [95.1591, 95.1195, 95.1065, 95.0925, 95.1990, 95.1682]
    >>> round(percentile(gauges, 0.90), 4)
    95.1981
    """
    if not values:
        raise OutOfRange("There are no values.")
    ordered = sorted(values)
    rank = above("share", share, 0, 1) * (len(ordered) + 1)
    below = min(max(int(rank), 1), len(ordered))
    upper = min(below + 1, len(ordered))
    return ordered[below - 1] + max(0.0, rank - below) * (ordered[upper - 1] - ordered[below - 1])
