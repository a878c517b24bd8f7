"""Reconciliation against the process engineers' example, direct minimisation and error propagation."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats
from uncertainties import ufloat

from buffycoat.science.composition import (
    DENSITIES,
    add_additive,
    draw,
    express_plasma,
    haematocrit_of,
    mass_g,
    plasma_phase,
)
from buffycoat.science.errors import OutOfRange
from buffycoat.science.reconcile import Measured, Reconciled, reconcile, reconcile_donation, say_misfit, sums

NETWORK = sums({"1": 1, "2": -1, "3": -1}, {"2": 1, "4": -1}, {"3": 1, "5": -1}, {"4": 1, "5": 1, "6": -1})
FLOWS = (101.91, 64.45, 34.65, 64.20, 36.44, 98.88)
SD = {"drawn_g": 2, "pcv": 0.01, "anticoagulant_ml": 1, "plasma_g": 2, "cells_g": 2, "additive_ml": 1, "product_g": 2,
      "product_haematocrit": 0.01}  # fmt: skip


def flows(values: Sequence[float], sd: float = 1) -> list[Measured]:
    return [Measured(name=str(number), value=value, sd=sd) for number, value in enumerate(values, start=1)]


def values(found: Reconciled) -> list[float]:
    return [each.value for each in found.estimates.values()]


def test_the_exchanger_with_a_bypass_is_reconciled_as_published() -> None:
    # Narasimhan and Jordache 2000, first example of the book, from memory.
    found = reconcile(flows(FLOWS), NETWORK)
    assert [100.22, 64.50, 35.72, 64.50, 35.72, 100.22] == pytest.approx(values(found), abs=0.005)
    assert 4 == found.degrees
    assert found.fits()
    assert () == found.suspects()


def test_it_is_the_textbook_solution_of_the_linear_case() -> None:
    # x = y − V Aᵀ (A V Aᵀ)⁻¹ A y and its covariance, written out.
    slope = np.array([[1, -1, -1, 0, 0, 0], [0, 1, 0, -1, 0, 0], [0, 0, 1, 0, -1, 0], [0, 0, 0, 1, 1, -1]])
    sd = np.array([1.0, 0.5, 2.0, 1.5, 0.7, 3.0])
    read, spread = np.array(FLOWS), np.diag(sd**2)
    middle = np.linalg.inv(slope @ spread @ slope.T)
    best = read - spread @ slope.T @ middle @ slope @ read
    covariance = spread - spread @ slope.T @ middle @ slope @ spread
    found = reconcile(
        [
            Measured(name=str(n), value=v, sd=u)
            for n, (v, u) in enumerate(zip(FLOWS, sd, strict=True), start=1)
        ],
        NETWORK,
    )
    assert best == pytest.approx(values(found), abs=1e-7)
    assert np.sqrt(np.diag(covariance)) == pytest.approx(
        [each.sd for each in found.estimates.values()], abs=1e-7
    )
    assert float(read @ slope.T @ middle @ slope @ read) == pytest.approx(found.chi_square)
    assert stats.chi2.sf(found.chi_square, 4) == pytest.approx(found.probability)


def test_uncertainty_is_that_of_error_propagation() -> None:
    # With nothing redundant the answer is plain propagation: the `uncertainties` package.
    found = reconcile(
        [Measured(name="gross", value=564, sd=2), Measured(name="tare", value=90, sd=1)],
        sums({"gross": 1, "tare": -1, "net": -1}),
        {"net": 400},
    )
    expected = ufloat(564, 2) - ufloat(90, 1)
    assert (expected.n, expected.s) == pytest.approx(
        (found.estimates["net"].value, found.estimates["net"].sd)
    )
    assert found.estimates["gross"].pull is None
    assert (0, 1.0) == (found.degrees, found.probability)


def test_a_gross_error_is_found_named_and_measured() -> None:
    found = reconcile(flows((100, 64, 36, 64, 46, 100)), NETWORK)
    (suspect,) = found.suspects()
    assert ("5", False) == (suspect.name, found.fits())
    assert suspect.error == pytest.approx(10)


def test_two_that_cannot_be_told_apart_are_both_named() -> None:
    found = reconcile(flows((100, 130)), sums({"1": 1, "2": -1}))
    assert ["1", "2"] == [each.name for each in found.suspects()]


def bench(**wrong: float) -> list[Measured]:
    bag = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
    left, plasma = express_plasma(bag, 0.9 * mass_g(plasma_phase(bag)))
    unit = add_additive(left, 100)
    read = {
        "drawn_g": mass_g(bag),
        "pcv": 0.45,
        "anticoagulant_ml": 63.0,
        "plasma_g": mass_g(plasma),
        "cells_g": mass_g(left),
        "additive_ml": 100.0,
        "product_g": mass_g(unit),
        "product_haematocrit": haematocrit_of(unit),
    }
    return [
        Measured(name=name, value=value + wrong.get(name, 0), sd=SD[name]) for name, value in read.items()
    ]


def donation(measurements: list[Measured]) -> Reconciled:
    return reconcile_donation(
        measurements,
        red_cells_g_per_ml=DENSITIES.red_cells_g_per_ml,
        plasma_g_per_ml=DENSITIES.plasma_g_per_ml,
        anticoagulant_g_per_ml=DENSITIES.anticoagulant_g_per_ml,
        additive_g_per_ml=DENSITIES.additive_g_per_ml,
    )


def test_true_measurements_of_a_donation_are_left_alone() -> None:
    found = donation(bench())
    assert found.chi_square == pytest.approx(0, abs=1e-9)
    assert (202.5, 247.5, 0.9) == pytest.approx(
        tuple(found.estimates[name].value for name in ("red_cells_ml", "plasma_ml", "share_expressed")),
        abs=1e-4,
    )


@pytest.mark.parametrize(
    ("name", "off", "words"),
    [
        ("plasma_g", 30, "The plasma weight does not fit the rest: 30 g too much. Was the bag tared?"),
        (
            "cells_g",
            -40,
            "The weight of the red cells does not fit the rest: 40 g too little. Was the bag tared?",
        ),
        ("product_g", 30, "The weight of the red cells with additive does not fit the rest"),
        ("drawn_g", 30, "The weight of the drawn bag does not fit the rest: 30"),
    ],
)
def test_a_wrong_weight_is_named_in_the_words_of_the_bench(name: str, off: float, words: str) -> None:
    (first, *_) = donation(bench(**{name: off})).suspects()
    assert say_misfit(first).startswith(words)


def test_the_answer_is_the_least_of_all_by_direct_minimisation() -> None:
    # scipy.optimize over the three free volumes and the share.
    measurements = bench(plasma_g=5, product_haematocrit=-0.02, drawn_g=3)
    read = {each.name: each for each in measurements}

    def distance(free: Sequence[float]) -> float:
        cells, plasma, anticoagulant, share, additive = free
        bag = mass_g(
            draw(
                blood_ml=cells + plasma, haematocrit=cells / (cells + plasma), anticoagulant_ml=anticoagulant
            )
        )
        phase = DENSITIES.plasma_g_per_ml * plasma + DENSITIES.anticoagulant_g_per_ml * anticoagulant
        product_ml = cells + (1 - share) * (plasma + anticoagulant) + additive
        model = {
            "drawn_g": bag,
            "pcv": cells / (cells + plasma),
            "anticoagulant_ml": anticoagulant,
            "plasma_g": share * phase,
            "cells_g": bag - share * phase,
            "additive_ml": additive,
            "product_g": bag - share * phase + DENSITIES.additive_g_per_ml * additive,
            "product_haematocrit": cells / product_ml,
        }
        return math.fsum(((model[name] - each.value) / each.sd) ** 2 for name, each in read.items())

    least = optimize.minimize(
        distance, [200, 250, 63, 0.9, 100], method="Nelder-Mead",
        options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 40_000, "maxfev": 40_000, "adaptive": True},
    )  # fmt: skip
    found = donation(measurements)
    assert least.fun == pytest.approx(found.chi_square, rel=1e-5)
    assert least.x[0] == pytest.approx(found.estimates["red_cells_ml"].value, abs=1e-2)


@settings(max_examples=50)
@given(st.lists(st.floats(-3, 3), min_size=8, max_size=8))
def test_the_estimates_balance_and_are_no_less_certain_than_what_was_read(noise: list[float]) -> None:
    wrong = {name: sd * off for (name, sd), off in zip(SD.items(), noise, strict=True)}
    found = donation(bench(**wrong))
    value = {name: each.value for name, each in found.estimates.items()}
    assert value["drawn_g"] == pytest.approx(value["plasma_g"] + value["cells_g"], abs=1e-6)
    assert value["product_g"] == pytest.approx(
        value["cells_g"] + DENSITIES.additive_g_per_ml * value["additive_ml"], abs=1e-6
    )
    for name, sd in SD.items():
        assert found.estimates[name].sd <= sd * (1 + 1e-9)


@settings(max_examples=50)
@given(st.lists(st.floats(10, 200), min_size=6, max_size=6))
def test_balances_hold_after_reconciling_and_a_second_time_changes_nothing(read: list[float]) -> None:
    found = reconcile(flows(read), NETWORK)
    again = reconcile(flows(values(found)), NETWORK)
    assert [0] * 4 == pytest.approx(
        list(NETWORK({name: each.value for name, each in found.estimates.items()})), abs=1e-6
    )
    assert values(found) == pytest.approx(values(again), abs=1e-6)
    assert again.chi_square == pytest.approx(0, abs=1e-6)


def test_covariances_agree_with_propagation_through_the_solution() -> None:
    # The reconciled first flow as a weighted sum of all six, through `uncertainties`.
    read = [ufloat(value, 1) for value in FLOWS]
    slope = np.array([[1, -1, -1, 0, 0, 0], [0, 1, 0, -1, 0, 0], [0, 0, 1, 0, -1, 0], [0, 0, 0, 1, 1, -1]])
    matrix = np.eye(6) - slope.T @ np.linalg.inv(slope @ slope.T) @ slope
    first = sum(factor * value for factor, value in zip(matrix[0], read, strict=True))
    found = reconcile(flows(FLOWS), NETWORK).estimates["1"]
    assert (first.n, first.s) == pytest.approx((found.value, found.sd))


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (
            lambda: Measured(name="plasma", value=1, sd=0),
            "standard uncertainty of plasma must be more than 0",
        ),
        (lambda: Measured(name="plasma", value=math.nan, sd=1), "value of plasma is not a number"),
        (lambda: reconcile(flows((1, 2)) + flows((1,)), sums({"1": 1, "2": -1})), "name is there twice"),
        (lambda: reconcile(flows((1, 2)), sums({"1": 1, "2": -1}, {"1": 2, "2": -2})), "one thing twice"),
        (lambda: reconcile(flows((1,)), sums({"1": 1, "x": 1, "y": 1}), {"x": 1, "y": 1}), "too few"),
        (lambda: reconcile(flows((1,)), lambda v: [v["1"] ** 2 + 1]), "cannot be brought together"),
        (lambda: donation([Measured(name="beer_ml", value=1, sd=1)]), "not a measurement of a donation"),
        (lambda: reconcile(flows(FLOWS), NETWORK).fits(0), "significance"),
    ],
)
def test_what_cannot_be_reconciled_is_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()
