"""Reconciliation: significance at its printed limits, searches that start far off, and every sentence of the bench."""

import math
from collections.abc import Mapping, Sequence

import pytest

from buffycoat.science.composition import (
    DENSITIES,
    add_additive,
    draw,
    express_plasma,
    haematocrit_of,
    mass_g,
)
from buffycoat.science.composition import plasma_phase as phase_of
from buffycoat.science.errors import OutOfRange
from buffycoat.science.reconcile import (
    Estimate,
    Measured,
    Reconciled,
    reconcile,
    reconcile_donation,
    reconcile_weights,
    say_misfit,
    sums,
)

SAME = sums({"one": 1, "other": -1})


def twice(difference: float, sd: float = 1, other_sd: float = 1) -> Reconciled:
    """One thing read twice, with the readings so far apart."""
    return reconcile(
        [Measured(name="one", value=100 + difference, sd=sd), Measured(name="other", value=100, sd=other_sd)],
        SAME,
    )


def bench(
    blood_ml: float, haematocrit: float, anticoagulant_ml: float, additive_ml: float
) -> dict[str, float]:
    bag = draw(blood_ml=blood_ml, haematocrit=haematocrit, anticoagulant_ml=anticoagulant_ml)
    left, plasma = express_plasma(bag, 0.9 * mass_g(phase_of(bag)))
    unit = add_additive(left, additive_ml)
    return {
        "drawn_g": mass_g(bag),
        "pcv": haematocrit,
        "anticoagulant_ml": anticoagulant_ml,
        "plasma_g": mass_g(plasma),
        "cells_g": mass_g(left),
        "additive_ml": additive_ml,
        "product_g": mass_g(unit),
        "product_haematocrit": haematocrit_of(unit),
    }


def donation(read: dict[str, float]) -> Reconciled:
    return reconcile_donation(
        [Measured(name=name, value=value, sd=0.01 if value < 1 else 1) for name, value in read.items()],
        red_cells_g_per_ml=DENSITIES.red_cells_g_per_ml,
        plasma_g_per_ml=DENSITIES.plasma_g_per_ml,
        anticoagulant_g_per_ml=DENSITIES.anticoagulant_g_per_ml,
        additive_g_per_ml=DENSITIES.additive_g_per_ml,
    )


def test_two_readings_fit_up_to_the_printed_chi_square() -> None:
    # Tables of chi-square: 3.841 for one degree at 5 %; (difference)² / 2 is 3.781 and 3.892.
    near, far = twice(2.75), twice(2.79)
    assert (3.78125, 3.89205) == pytest.approx((near.chi_square, far.chi_square))
    assert (True, False) == (near.fits(), far.fits())
    assert near.fits(near.probability)


def test_a_single_suspect_is_judged_by_the_share_of_sidak() -> None:
    # 1 − √0.95 = 0.02532, both sides: 2.2365 sd. A difference of 3.158 pulls 2.2330, one of 3.168 pulls 2.2401.
    assert () == twice(3.158).suspects()
    assert ["one", "other"] == [each.name for each in twice(3.168).suspects()]
    assert 2.2401 == pytest.approx(twice(3.168).suspects()[0].pull, abs=5e-5)


def test_no_one_is_suspected_while_chance_explains_all_together() -> None:
    # Six flows, four degrees: the pull of 2.7 is beyond 2.631 (Šidák for six), its square below 9.488 (chi-square).
    network = sums(
        {"1": 1, "2": -1, "3": -1}, {"2": 1, "4": -1}, {"3": 1, "5": -1}, {"4": 1, "5": 1, "6": -1}
    )
    flows = {"1": 100, "2": 64, "3": 36, "4": 64, "5": 39.3, "6": 100}
    found = reconcile([Measured(name=name, value=flow, sd=1) for name, flow in flows.items()], network)
    assert 2.631 < max(abs(each.pull or 0) for each in found.estimates.values())
    assert found.chi_square < 9.488
    assert () == found.suspects()


@pytest.mark.parametrize("wrong", [0, -0.1, 0.51])
def test_a_significance_is_above_nought_and_at_most_a_half(wrong: float) -> None:
    assert not twice(9).fits(0.5)
    assert 2 == len(twice(9).suspects(0.5))
    for test in (twice(9).fits, twice(9).suspects):
        with pytest.raises(OutOfRange, match=r"significance must be more than 0 and at most 0\.5"):
            test(wrong)


def test_a_significance_is_looked_at_even_where_nothing_is_redundant() -> None:
    lone = reconcile([Measured(name="gross", value=9, sd=1)], sums({"gross": 1, "net": -1}), {"net": 9})
    assert () == lone.suspects(0.5)
    with pytest.raises(OutOfRange, match="significance must be"):
        lone.suspects(0.51)


def test_straight_balances_are_solved_in_one_round_and_looked_at_once_more() -> None:
    asked = []

    def balances(values: Mapping[str, float]) -> Sequence[float]:
        asked.append(values)
        return SAME(values)

    reconcile([Measured(name="one", value=9, sd=1), Measured(name="other", value=8, sd=1)], balances)
    # Each round looks once at the values and twice, ahead and behind, at each of them.
    assert 2 * (1 + 2 * 2) == len(asked)


def test_a_fine_scale_beside_a_rough_guess_is_pulled_as_hard() -> None:
    # One balance: both are pulled by difference / √(sd² + sd²); the error is the whole difference.
    found = twice(3, sd=0.01, other_sd=1).estimates
    assert (3 / math.hypot(0.01, 1), 3) == pytest.approx((found["one"].pull, found["one"].error), rel=1e-6)
    assert (-3 / math.hypot(0.01, 1), -3) == pytest.approx(
        (found["other"].pull, found["other"].error), rel=1e-6
    )


def test_what_nobody_measured_has_neither_reading_nor_pull() -> None:
    found = reconcile(
        [Measured(name="gross", value=564, sd=2), Measured(name="tare", value=90, sd=1)],
        sums({"gross": 1, "tare": -1, "net": -1}),
        {"net": 400},
    ).estimates
    assert (None, None, None) == (found["net"].measured, found["net"].pull, found["net"].error)
    assert [564, 90] == pytest.approx([found["gross"].measured, found["tare"].measured])


@pytest.mark.parametrize("factor", [0.5, 3])
def test_a_balance_counts_each_value_as_often_as_it_says(factor: float) -> None:
    found = reconcile(
        [Measured(name="part", value=120, sd=1)], sums({"part": factor, "whole": -1}), {"whole": 100}
    ).estimates["whole"]
    assert (factor * 120, factor) == pytest.approx((found.value, found.sd))


@pytest.mark.parametrize("start", [1.0, -1.0])
def test_the_search_goes_on_until_the_last_value_stands_still(start: float) -> None:
    # A square of 100 has sides of 10; one thing read twice beside it stands still from the second round on.
    found = reconcile(
        [Measured(name=name, value=value, sd=1) for name, value in (("one", 5), ("other", 5), ("area", 100))],
        lambda v: [v["one"] - v["other"], v["side"] ** 2 - v["area"]],
        {"side": start},
    )  # fmt: skip
    assert math.copysign(10, start) == pytest.approx(found.estimates["side"].value, rel=1e-9)


def test_the_search_may_start_and_end_at_nought() -> None:
    found = reconcile(
        [Measured(name="gross", value=90, sd=1), Measured(name="tare", value=90, sd=1)],
        sums({"gross": 1, "tare": -1, "net": -1}),
        {"net": 0},
    ).estimates["net"]
    assert (0, math.sqrt(2)) == pytest.approx((found.value, found.sd), abs=1e-9)


def test_uncertainty_goes_through_a_cube_by_its_slope() -> None:
    # Propagation: the volume of a cube of 10 ± 0.1 is 1000 ± 3 · 10² · 0.1.
    found = reconcile(
        [Measured(name="side", value=10, sd=0.1)], lambda v: [v["side"] ** 3 - v["volume"]], {"volume": 900}
    ).estimates["volume"]
    assert (1000, 30) == pytest.approx((found.value, found.sd), rel=1e-5)


@pytest.mark.filterwarnings("ignore:overflow encountered:RuntimeWarning")
@pytest.mark.parametrize(
    "balances",
    [
        lambda v: [v["one"] - v["other"], math.nan * v["one"]],
        lambda v: [v["one"] - v["other"], math.inf * (v["one"] - 2)],
        lambda v: [v["one"] - v["other"], math.copysign(1e308, v["one"] - 2)],
        lambda v: [v["one"] - v["other"], 1.0],
        lambda v: [v["one"] - v["other"], v["one"] ** 2 + 1],
    ],
    ids=["not a number", "endlessly steep", "endless in one place", "moved by nothing", "never met"],
)
def test_balances_that_nothing_can_meet_are_refused(balances) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match="cannot be brought together"):
        reconcile([Measured(name="one", value=2, sd=1), Measured(name="other", value=2, sd=1)], balances)


@pytest.mark.parametrize(
    ("blood_ml", "haematocrit", "anticoagulant_ml", "additive_ml"),
    [
        (450, 0.45, 63, 100),
        (45, 0.35, 7, 10),
        (9_000, 0.6, 1_200, 1_000),
        (400, 0.01, 56, 100),
        (400, 0.99, 56, 100),
    ],
)
def test_what_is_not_measured_is_worked_out(
    blood_ml: float, haematocrit: float, anticoagulant_ml: float, additive_ml: float
) -> None:
    # Mass balance forwards, by composition.
    true = bench(blood_ml, haematocrit, anticoagulant_ml, additive_ml)
    read = {name: true[name] for name in ("drawn_g", "pcv", "anticoagulant_ml", "plasma_g", "additive_ml")}
    found = donation(read)
    assert true == pytest.approx({name: found.estimates[name].value for name in true}, rel=1e-7)
    assert (blood_ml * haematocrit, blood_ml * (1 - haematocrit), 0.9) == pytest.approx(
        tuple(found.estimates[name].value for name in ("red_cells_ml", "plasma_ml", "share_expressed")),
        rel=1e-7,
    )
    assert (0, {None}) == (found.degrees, {each.pull for each in found.estimates.values()})


def test_the_draw_and_the_pcv_are_worked_out_too() -> None:
    true = bench(450, 0.45, 63, 100)
    read = {name: value for name, value in true.items() if name not in ("drawn_g", "pcv")}
    found = donation(read).estimates
    assert (true["drawn_g"], 0.45) == pytest.approx((found["drawn_g"].value, found["pcv"].value), rel=1e-7)


@pytest.mark.parametrize(
    ("name", "wrong", "words"),
    [
        ("drawn_g", 0.9, "net mass of the draw must be between 1 and 30000 g"),
        ("drawn_g", 30_000.5, "net mass of the draw must be between 1 and 30000 g"),
        ("pcv", 0.0095, "PCV must be between 0.01 and 0.99"),
        ("pcv", 0.995, "PCV must be between 0.01 and 0.99"),
    ],
)
def test_a_draw_that_cannot_be_is_refused_by_name(name: str, wrong: float, words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        donation(bench(450, 0.45, 63, 100) | {name: wrong})


@pytest.mark.parametrize("drawn_g", [1, 30_000])
def test_the_lightest_and_the_heaviest_draw_are_reconciled(drawn_g: float) -> None:
    # Nothing redundant, so the readings stand.
    read = {
        "drawn_g": drawn_g,
        "pcv": 0.45,
        "anticoagulant_ml": drawn_g / 9,
        "plasma_g": drawn_g / 2,
        "additive_ml": 100,
    }
    assert read == pytest.approx({name: donation(read).estimates[name].value for name in read}, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "error", "sentence"),
    [
        ("drawn_g", 30, "The weight of the drawn bag does not fit the rest: 30 g too much. Was the bag tared?"),
        ("pcv", -0.05, "The donor's PCV does not fit the rest: 5 points too little. "
                       "Was it read from this donor's tube?"),
        ("anticoagulant_ml", 8, "The volume of anticoagulant does not fit the rest: 8 mL too much. Was some let out?"),
        ("plasma_g", 0.5, "The plasma weight does not fit the rest: 0.5 g too much. Was the bag tared?"),
        ("cells_g", -0.5, "The weight of the red cells does not fit the rest: 0.5 g too little. Was the bag tared?"),
        ("additive_ml", -100, "The volume of additive does not fit the rest: 100 mL too little. "
                              "Did all of it go over?"),
        ("product_g", 41, "The weight of the red cells with additive does not fit the rest: 41 g too much. "
                          "Was the bag tared?"),
        ("product_haematocrit", 0.07, "The haematocrit of the product does not fit the rest: 7 points too much. "
                                      "Was the segment mixed?"),
        ("rinse", 3, "The value of rinse does not fit the rest: 3 too much. Was it read right?"),
        ("plasma_g", None, "Nothing else bears on the plasma weight."),
    ],
)  # fmt: skip
def test_a_misfit_is_said_in_one_sentence_with_what_to_look_at(
    name: str, error: float | None, sentence: str
) -> None:
    pull = None if error is None else math.copysign(5, error)
    assert sentence == say_misfit(Estimate(name=name, value=1, sd=1, measured=1, pull=pull, error=error))


WEIGHED = [Measured(name=name, value=value, sd=2) for name, value in
           (("blood", 541), ("plasma", 317), ("plasma again", 288), ("red cells", 254))]  # fmt: skip


def test_weights_are_reconciled_by_balances_in_words() -> None:
    found = reconcile_weights(WEIGHED, ["blood = plasma +  red  cells", " plasma = plasma again "])
    by_rows = reconcile(
        WEIGHED,
        sums({"blood": 1, "plasma": -1, "red cells": -1}, {"plasma": 1, "plasma again": -1}),
    )
    assert by_rows == found
    assert ["plasma"] == [each.name for each in found.suspects()]


def test_a_name_that_was_not_weighed_is_worked_out() -> None:
    found = reconcile_weights(WEIGHED[:2], ["blood = plasma + rest", "rest + plasma = half + half"]).estimates
    assert (224, math.sqrt(8)) == pytest.approx((found["rest"].value, found["rest"].sd))
    assert 270.5 == pytest.approx(found["half"].value)


@pytest.mark.parametrize(
    ("measured", "balances", "words"),
    [
        (WEIGHED[:1], ["blood"], "“blood” cannot be read. A balance is like: blood = red cells"),
        (WEIGHED[:1], ["blood = plasma = rest"], "“blood = plasma = rest” cannot be read"),
        (WEIGHED[:1], ["blood = plasma +"], "cannot be read"),
        (WEIGHED[:1], ["= blood"], "cannot be read"),
        (WEIGHED[:2], ["blood = red cells"], "“plasma” stands in none of the balances"),
        (
            WEIGHED[:1] * 2,
            ["blood = plasma"],
            "“blood” stands in none of the balances, or was measured twice",
        ),
        (WEIGHED[:1], ["blood = plasma + rest"], "too few"),
    ],
)
def test_balances_in_words_that_cannot_be_used_are_refused(
    measured: list[Measured], balances: list[str], words: str
) -> None:
    with pytest.raises(OutOfRange, match=words):
        reconcile_weights(measured, balances)
