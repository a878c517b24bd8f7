"""Dose and rate against published examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.science.dosing import (
    blood_ml_for_rise,
    cat_rise,
    cryoprecipitate_units,
    drops_per_min,
    pcv_forecast,
    plasma_ml,
    rate_plan,
    red_cells_ml_by_rule,
    whole_blood_ml_by_rule,
)
from buffycoat.science.errors import OutOfRange


def test_13b_17_a_dog_of_13_kg() -> None:
    # A revision article of 2021: 557 mL.
    assert blood_ml_for_rise(13, 90, 15, 35, 42) == pytest.approx(557, abs=0.5)


def test_7_3_cats() -> None:
    # Reed et al., J Feline Med Surg 2014;16:651.
    assert cat_rise(40, 4) == pytest.approx(5)
    assert whole_blood_ml_by_rule(4, 10) == pytest.approx(80)
    assert cat_rise(50, 4) == pytest.approx(6.25)


def test_7_4_and_7_5_the_rules_agree_with_the_general_formula() -> None:
    # A study of dogs, J Vet Emerg Crit Care 2012, from memory; identity at 60 and 45 %.
    assert red_cells_ml_by_rule(20, 8) == pytest.approx(240)
    assert whole_blood_ml_by_rule(20, 8) == pytest.approx(320)
    assert blood_ml_for_rise(20, 90, 12, 20, 60) == pytest.approx(240)
    assert blood_ml_for_rise(20, 90, 12, 20, 45) == pytest.approx(320)


@pytest.mark.parametrize(("ml_per_kg", "volume"), [(66, 52.8), (60, 48.0)])
def test_7_6_a_cat_of_4_kg(ml_per_kg: float, volume: float) -> None:
    # Blood volumes from memory.
    assert blood_ml_for_rise(4, ml_per_kg, 12, 20, 40) == pytest.approx(volume)


def test_7_9_the_forecast_runs_from_full_expansion_to_none() -> None:
    # Own mass balance.
    assert pcv_forecast(20, (90, 90), 12, 144, 240) == pytest.approx((17.647, 20.0), abs=5e-4)


def test_13a_9_ten_points_by_the_rules_of_thumb() -> None:
    # A university blood bank: 15 mL/kg; Chiaramonte 2004: 20 mL/kg.
    assert red_cells_ml_by_rule(1, 10) == pytest.approx(15)
    assert whole_blood_ml_by_rule(1, 10) == pytest.approx(20)


@pytest.mark.parametrize(
    ("volume", "hours", "set_drops", "rate"),
    [(250, 4, 15, 15.625), (1000, 12, 20, 27.7778), (1000, 10, 15, 25), (200, 4, 60, 50), (60, 4, 60, 15)],
)
def test_7_10_drops(volume: float, hours: float, set_drops: float, rate: float) -> None:
    # A university numeracy exercise.
    assert drops_per_min(volume, hours, set_drops) == pytest.approx(rate, abs=5e-5)


@given(st.floats(1, 1000), st.floats(0.5, 24))
def test_7_11_sixty_drops_a_millilitre_are_millilitres_an_hour(volume: float, hours: float) -> None:
    assert drops_per_min(volume, hours, 60) == pytest.approx(volume / hours)


def test_7_12_a_slow_start() -> None:
    # Own computation.
    plan = rate_plan(240, 20, start_ml_per_kg_h=0.5, start_min=30, finish_h=4)
    assert (5.0, 10.0, 235.0, 67.142857) == pytest.approx(tuple(plan), abs=5e-7)


@given(st.floats(1, 1000), st.floats(0.5, 80), st.floats(0.1, 10), st.floats(0, 60), st.floats(1.5, 6))
def test_a_plan_gives_all_and_ends_on_time(
    volume: float, kg: float, rate: float, start_min: float, end_h: float
) -> None:
    plan = rate_plan(volume, kg, start_ml_per_kg_h=rate, start_min=start_min, finish_h=end_h)
    assert volume == pytest.approx(plan.start_ml + plan.rest_ml)
    assert plan.rest_ml == pytest.approx(plan.rest_ml_per_h * (end_h - start_min / 60), abs=1e-6)


@pytest.mark.parametrize(("weight", "dose", "volume"), [(5, 10, 50), (20, 15, 300), (30, 20, 600)])
def test_7_13_plasma(weight: float, dose: float, volume: float) -> None:
    # Range from memory.
    assert plasma_ml(weight, dose) == pytest.approx(volume)


@pytest.mark.parametrize(("weight", "units"), [(0.5, 1), (10, 1), (10.1, 2), (30, 3), (32, 4)])
def test_cryoprecipitate_is_one_unit_for_ten_kilograms(weight: float, units: int) -> None:
    # Cornell University, teaching pages.
    assert units == cryoprecipitate_units(weight)


@given(st.floats(2, 60), st.floats(5, 30), st.floats(10, 600), st.floats(0.2, 0.8))
def test_a_forecast_is_in_order_and_a_wider_blood_volume_widens_it(
    kg: float, pcv: float, volume: float, haematocrit: float
) -> None:
    narrow = pcv_forecast(kg, (85, 85), pcv, volume * haematocrit, volume)
    wide = pcv_forecast(kg, (80, 90), pcv, volume * haematocrit, volume)
    assert narrow.low <= narrow.high
    assert narrow.high <= wide.high + 1e-9


@given(st.floats(2, 60), st.floats(10, 20), st.floats(21, 35), st.floats(40, 80))
def test_the_formula_and_the_forecast_without_expansion_are_inverse(
    kg: float, now: float, wanted: float, product: float
) -> None:
    volume = blood_ml_for_rise(kg, 90, now, wanted, product)
    assert wanted == pytest.approx(pcv_forecast(kg, (90, 90), now, volume * product / 100, volume).high)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: blood_ml_for_rise(0, 90, 12, 20, 60), "weight"),
        (lambda: blood_ml_for_rise(20, 9, 12, 20, 60), "blood volume"),
        (lambda: blood_ml_for_rise(20, 90, 20, 12, 60), "wanted PCV"),
        (lambda: blood_ml_for_rise(20, 90, 12, 20, 15), "PCV of the product"),
        (lambda: blood_ml_for_rise(20, 90, 0.12, 0.2, 0.6), "present PCV"),
        (lambda: red_cells_ml_by_rule(20, 0), "rise"),
        (lambda: whole_blood_ml_by_rule(-1, 5), "weight"),
        (lambda: cat_rise(40, 40), "weight"),
        (lambda: cat_rise(-1, 4), "volume"),
        (lambda: pcv_forecast(20, (90, 80), 12, 1, 2), "smallest"),
        (lambda: pcv_forecast(20, (80, 90), 12, 3, 2), "red cells of the units"),
        (lambda: plasma_ml(20, 50), "dose"),
        (lambda: cryoprecipitate_units(0), "weight"),
        (lambda: drops_per_min(250, 0, 15), "time"),
        (lambda: drops_per_min(250, 4, 1), "drops"),
        (lambda: rate_plan(0, 20, start_ml_per_kg_h=1, start_min=30, finish_h=4), "volume"),
        (lambda: rate_plan(9, 20, start_ml_per_kg_h=1, start_min=30, finish_h=0.5), "time to finish"),
        (lambda: rate_plan(9, 20, start_ml_per_kg_h=0, start_min=30, finish_h=4), "rate of the start"),
        (lambda: rate_plan(9, 20, start_ml_per_kg_h=1, start_min=-1, finish_h=4), "time of the start"),
    ],
)
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()
