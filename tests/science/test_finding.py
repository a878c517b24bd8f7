"""How many to test: the naive answer and an honest one."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from buffycoat.science.errors import OutOfRange
from buffycoat.science.finding import chance_of_enough, naive_number, number_to_test, search


@pytest.mark.parametrize(
    ("needed", "share", "naive"), [(4, 0.20, 20), (2, 0.044, 46), (2, 0.20 * 0.22, 46), (3, 0.1, 30)]
)
def test_8_1_and_8_3_the_naive_number(needed: int, share: float, naive: int) -> None:
    # A university transfusion module.
    assert naive == naive_number(needed, share)


@pytest.mark.parametrize(
    ("tested", "needed", "share", "chance"),
    [(20, 4, 0.20, 0.5886), (46, 2, 0.044, 0.6066), (25, 1, 0.0759, 0.861013), (5, 2, 0.4, 0.66304)],
)
def test_8_1_to_8_6_chances(tested: int, needed: int, share: float, chance: float) -> None:
    # scipy.stats.binom.
    assert chance_of_enough(tested, needed, share) == pytest.approx(chance, abs=6e-5)


@pytest.mark.parametrize(("needed", "share", "number"), [(4, 0.20, 37), (2, 0.044, 106)])
def test_8_1_and_8_3_the_number_for_95_per_cent(needed: int, share: float, number: int) -> None:
    # scipy.stats.binom.
    assert number == number_to_test(needed, share)


def test_8_1_the_number_stands_beside_the_usual_answer_and_its_chance() -> None:
    assert (37, 20, pytest.approx(0.5886, abs=5e-5)) == search(4, 0.20)
    assert (number_to_test(3, 0.1, 0.8), 30) == search(3, 0.1, 0.8)[:2]


@given(st.integers(1, 20), st.floats(0.01, 1), st.floats(0.05, 0.999))
def test_the_number_is_the_smallest_that_reaches_the_chance(needed: int, share: float, chance: float) -> None:
    number = number_to_test(needed, share, chance)
    assert chance_of_enough(number, needed, share) >= chance
    assert chance_of_enough(number - 1, needed, share) < chance


@given(st.integers(0, 300), st.integers(1, 20), st.floats(0, 1))
def test_chances_are_those_of_scipy(tested: int, needed: int, share: float) -> None:
    assert chance_of_enough(tested, needed, share) == pytest.approx(
        stats.binom.sf(needed - 1, tested, share), abs=1e-12
    )


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: naive_number(0, 0.2), "units needed"),
        (lambda: naive_number(2, 0), "compatible share"),
        (lambda: chance_of_enough(-1, 1, 0.2), "number tested"),
        (lambda: chance_of_enough(1, 1, 1.2), "compatible share"),
        (lambda: number_to_test(1, 0.2, 1), "chance"),
        (lambda: number_to_test(1, 1e-9), "number tested"),
    ],
)
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()
