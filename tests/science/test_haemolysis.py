"""Haemolysis with the right formula, and never the inverted one."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from buffycoat.science.errors import OutOfRange
from buffycoat.science.haemolysis import free_haemoglobin_limit_g_per_dl, haemolysis_percent


@pytest.mark.parametrize(
    ("free", "total", "haematocrit", "percent"),
    [
        (0.05, 15, 0.45, 0.183333),
        (0.2, 20, 0.60, 0.400000),
        (0.4, 19, 0.58, 0.884211),
        (0.48, 19.2, 0.60, 1.000000),
    ],
)
def test_6_13_the_published_formula(free: float, total: float, haematocrit: float, percent: float) -> None:
    # A forum's derivation and Clin Chim Acta 2012;413:1746.
    assert haemolysis_percent(free, total, haematocrit) == pytest.approx(percent, abs=5e-7)


def test_the_inverted_formula_is_not_returned() -> None:
    # A public calculator divides by (1 − Hct): 0.606; without any correction 0.333.
    right = haemolysis_percent(0.05, 15, 0.45)
    assert right == pytest.approx(0.183, abs=5e-4)
    assert abs(right - 0.05 / 15 / 0.55 * 100) > 0.4
    assert abs(right - 0.05 / 15 * 100) > 0.1


@pytest.mark.parametrize(("limit", "free"), [(1.0, 0.500), (0.8, 0.400)])
def test_6_15_free_haemoglobin_at_the_limit(limit: float, free: float) -> None:
    # Own inversion at 20 g/dL and 0.60; limits of the United States and of Europe.
    assert free_haemoglobin_limit_g_per_dl(20, 0.60, limit) == pytest.approx(free)


@given(st.floats(0.01, 5), st.floats(5, 25), st.floats(0.1, 0.9))
def test_limit_and_percentage_are_inverse(limit: float, total: float, haematocrit: float) -> None:
    free = free_haemoglobin_limit_g_per_dl(total, haematocrit, limit)
    assert haemolysis_percent(free, total, haematocrit) == pytest.approx(limit)


@given(st.floats(0, 1), st.floats(5, 25), st.floats(0, 0.9), st.floats(0, 0.1))
def test_more_cells_mean_less_haemolysis_for_the_same_plasma(
    free: float, total: float, low: float, more: float
) -> None:
    assume(free > 1e-6 and more > 1e-6)
    assert haemolysis_percent(free, total, low + more) < haemolysis_percent(free, total, low)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((-0.1, 15, 0.4), "free haemoglobin"),
        ((0.1, 0, 0.4), "total haemoglobin"),
        ((0.1, 15, 40), "haematocrit"),
        ((20, 15, 0.1), "check the units"),
    ],
)
def test_values_outside_the_range_are_refused(values: tuple[float, float, float], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        haemolysis_percent(*values)


def test_limits_outside_the_range_are_refused() -> None:
    with pytest.raises(OutOfRange, match="limit"):
        free_haemoglobin_limit_g_per_dl(20, 0.6, 101)
    with pytest.raises(OutOfRange, match="haematocrit"):
        free_haemoglobin_limit_g_per_dl(20, 1, 1)
