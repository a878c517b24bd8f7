"""Ties in sample sizes, samples too small for a formula, and the last rank."""

import pytest

from buffycoat.science.errors import OutOfRange
from buffycoat.science.sampling import one_sided_tolerance_factor, percentile, sample_size


@pytest.mark.parametrize(("confidence", "size"), [(0.5, 1), (0.75, 2), (0.875, 3), (0.9375, 4)])
def test_a_confidence_that_is_just_reached_is_enough(confidence: float, size: int) -> None:
    # Tosses of a coin: none of n fails with a chance of 2⁻ⁿ.
    assert size == sample_size(0, confidence, 0.5)


@pytest.mark.parametrize("confidence", [0.95, 0.99])
def test_two_values_are_too_few_for_natrellas_method(confidence: float) -> None:
    # 1 − 1.645² / 2 and 1 − 2.326² / 2 are both below nought.
    with pytest.raises(OutOfRange, match="2 values are too few"):
        one_sided_tolerance_factor(2, 0.9, confidence)


def test_all_values_lie_below_the_largest() -> None:
    assert 7.0 == percentile([7.0, 3.0, 5.0], 1)
    assert 4.0 == percentile([4.0], 1)
