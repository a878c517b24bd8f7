"""How many to test, where rounding or an exact tie decides."""

import pytest

from buffycoat.science.errors import OutOfRange
from buffycoat.science.finding import naive_number, number_to_test


def test_a_share_that_is_seven_in_a_hundred_but_for_rounding_needs_a_hundred() -> None:
    assert 7 / (0.7 * 0.1) > 100
    assert 100 == naive_number(7, 0.7 * 0.1)


def test_no_more_than_all_are_compatible() -> None:
    assert 3 == naive_number(3, 1)
    with pytest.raises(OutOfRange, match="compatible share must be"):
        naive_number(3, 1.01)


@pytest.mark.parametrize(("chance", "number"), [(0.5, 1), (0.75, 2), (0.875, 3)])
def test_a_chance_that_is_just_reached_is_enough(chance: float, number: int) -> None:
    # Tosses of a coin: one head in n with a chance of 1 − 2⁻ⁿ.
    assert number == number_to_test(1, 0.5, chance)
