"""The other ends of the ranges in the docstrings, each refused in the words of its own limit."""

import math
from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from buffycoat.science import (
    centrifuge,
    composition,
    control_charts,
    dosing,
    errors,
    finding,
    haemolysis,
    reconcile,
    run_rules,
    sampling,
    settling,
    warmth,
    weighing,
)
from buffycoat.science.errors import OutOfRange

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)
BAG = composition.draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
ENDS: list[tuple[Callable[[float], object], float, float, str]] = [
    (lambda x: haemolysis.free_haemoglobin_limit_g_per_dl(x, 0.6, 1), 30, 30.1, "total haemoglobin must be"),
    (lambda x: haemolysis.free_haemoglobin_limit_g_per_dl(x, 0.6, 1), 0.5, 0, "total haemoglobin must be"),
    (lambda x: haemolysis.free_haemoglobin_limit_g_per_dl(20, 0.6, x), 0, -0.1, "limit must be"),
    (lambda x: haemolysis.free_haemoglobin_limit_g_per_dl(20, x, 1), 0, -0.1, "haematocrit must be"),
    (lambda x: weighing.volume_ml_from_mass(x, 1.05), 0, -0.1, "mass must be"),
    (lambda x: weighing.mass_g_from_volume(x, 1.05), 0, -0.1, "volume must be"),
    (lambda x: weighing.mass_g_from_volume(100, x), 0.9, 0.89, "density must be"),
    (lambda x: weighing.mass_g_from_volume(100, x), 1.2, 1.21, "density must be"),
    (lambda x: weighing.target_gross_g(450, 1.05, x), 0, -0.1, "tare must be"),
    (lambda x: weighing.blood_volume_ml(x, 90), 0.5, -0.5, "weight must be"),
    (lambda x: composition.Content(anticoagulant_ml=x), 0, -0.1, "volume of anticoagulant must be"),
    (lambda x: composition.Content(additive_ml=x), 0, -0.1, "volume of additive must be"),
    (lambda x: composition.DENSITIES.warmed(20, x), 0, -0.1, "temperature must be"),
    (lambda x: composition.DENSITIES.warmed(20, x), 40, 40.1, "temperature must be"),
    (lambda x: composition.draw(blood_ml=x, haematocrit=0.4, anticoagulant_ml=63), 0, -0.1, "volume of blood"),
    (lambda x: composition.citrate_mmol(BAG, x), 0, -0.1, "citrate must be"),
    (lambda x: composition.add_additive(BAG, x), 0, -0.1, "volume of additive must be between 0 and 1000 mL"),
    (lambda x: composition.split(BAG, (1 - x, x)), 0.1, 0, "share must be more than 0"),
    (lambda x: composition.split(BAG, (x,)), 1, 1.5, "share must be more than 0 and at most 1"),
    (lambda x: composition.take_ml(BAG, x), 0, -0.5, "cannot be taken from it"),
    (lambda x: composition.predicted_layers(BAG, x), 1, 1.1, "packed haematocrit must be"),
    (lambda x: composition.predicted_layers(BAG, 0.8, x), 0, -0.01, "share of the buffy coat must be"),
    (lambda x: centrifuge.rpm_from_rcf(x, 100), 0, -0.1, "field must be"),
    (lambda x: centrifuge.rpm_from_rcf(100, x), 0.5, 0, "radius must be"),
    (lambda x: centrifuge.derated_rpm(x, 1.3), 0, -0.1, "greatest speed must be"),
    (lambda x: centrifuge.derated_rpm(100, 1.3, x), 25, 25.1, "design density of the rotor must be"),
    (lambda x: centrifuge.equivalent_hold_s(1, x, 1), 0, -0.1, "time of holding must be"),
    (lambda x: centrifuge.clearing_factor(x, 100, 1000), 0.5, 0, "smallest radius must be"),
    (lambda x: centrifuge.clearing_factor(100, 200, x), 0.5, 0, "speed must be more than 0"),
    (lambda x: dosing.red_cells_ml_by_rule(x, 8), 0.5, 0, "weight must be"),
    (lambda x: dosing.red_cells_ml_by_rule(20, x), 0.5, 0, "rise must be"),
    (lambda x: dosing.whole_blood_ml_by_rule(20, x), 0.5, 0, "rise must be"),
    (lambda x: dosing.cat_rise(x, 4), 0, -0.1, "volume must be"),
    (lambda x: dosing.pcv_forecast(20, (80, 90), x, 1, 2), 1, 0.9, "present PCV must be"),
    (lambda x: dosing.pcv_forecast(20, (80, 90), 12, 0, x), 0, -0.1, "volume of the units must be"),
    (lambda x: dosing.pcv_forecast(20, (80, 90), 12, x, 9), 0, -0.1, "red cells of the units must be"),
    (lambda x: dosing.blood_ml_for_rise(x, 90, 12, 20, 60), 0.5, 0, "weight must be"),
    (lambda x: dosing.drops_per_min(x, 4, 15), 0, -0.1, "volume must be"),
    (lambda x: dosing.rate_plan(9, x, start_ml_per_kg_h=1, start_min=30, finish_h=4), 0.5, 0, "weight must be"),
    (lambda x: finding.naive_number(int(x), 0.5), 1000, 1001, "number of units needed must be"),
    (lambda x: finding.chance_of_enough(10, int(x), 0.5), 1000, 1001, "number of units needed must be"),
    (lambda x: finding.chance_of_enough(10, int(x), 0.5), 1, 0, "number of units needed must be"),
    (lambda x: finding.chance_of_enough(int(x), 1, 0.5), 0, -1, "number tested must be"),
    (lambda x: finding.chance_of_enough(int(x), 1, 0.5), 1_000_000, 1_000_001, "number tested must be"),
    (lambda x: finding.chance_of_enough(10, 1, x), 0, -0.1, "compatible share must be"),
    (lambda x: finding.chance_of_enough(10, 1, x), 1, 1.01, "compatible share must be"),
    (lambda x: finding.number_to_test(1, 0.5, x), 0.999999, 0.9999995, "chance must be"),
    (lambda x: finding.number_to_test(1, 0.5, x), 0.01, 0, "chance must be"),
]  # fmt: skip
STATISTICS: list[tuple[Callable[[float], object], float, float, str]] = [
    (lambda x: sampling.accept_probability(int(x), 0, 0.5), 1, 0, "number tested must be"),
    (lambda x: sampling.accept_probability(int(x), 0, 0.5), 1_000_000, 1_000_001, "number tested must be"),
    (lambda x: sampling.accept_probability(5, int(x), 0.5), 0, -1, "number of failures must be"),
    (lambda x: sampling.accept_probability(5, int(x), 0.5), 5, 6, "number of failures must be"),
    (lambda x: sampling.accept_probability(5, 1, x), 0, -0.1, "failing share must be"),
    (lambda x: sampling.accept_probability(5, 1, x), 1, 1.01, "failing share must be"),
    (lambda x: sampling.sample_size(int(x), 0.9, 0.5), 1_000, 1_001, "number of failures must be"),
    (lambda x: sampling.sample_size(0, x, 0.9), 0.5, 0.49, "confidence must be"),
    (lambda x: sampling.sample_size(0, x, 0.9), 0.9999, 0.99995, "confidence must be"),
    (lambda x: sampling.sample_size(0, 0.9, x), 0.5, 0.49, "conforming share must be"),
    (lambda x: sampling.sample_size(0, 0.9, x), 0.9999, 0.99995, "conforming share must be"),
    (lambda x: sampling.conforming_lower_bound(int(x), 0), 1, 0, "number tested must be"),
    (lambda x: sampling.conforming_lower_bound(int(x), 0), 1_000_000, 1_000_001, "number tested must be"),
    (lambda x: sampling.conforming_lower_bound(5, int(x)), 0, -1, "number of failures must be"),
    (lambda x: sampling.conforming_lower_bound(5, int(x)), 5, 6, "number of failures must be"),
    (lambda x: sampling.conforming_lower_bound(5, 0, x), 0.5, 0.49, "confidence must be"),
    (lambda x: sampling.conforming_lower_bound(5, 0, x), 0.9999, 0.99999, "confidence must be"),
    (lambda x: sampling.share_interval(5, int(x)), 0, -1, "number found must be"),
    (lambda x: sampling.share_interval(5, int(x)), 5, 6, "number found must be"),
    (lambda x: sampling.share_interval(5, 2, x), 0.5, 0.49, "confidence must be"),
    (lambda x: sampling.share_interval(5, 2, x), 0.9998, 0.99985, "between 0.5 and 0.9998"),
    (lambda x: sampling.tolerance_factor(int(x), 0.9, 0.9), 2, 1, "number of values must be"),
    (lambda x: sampling.tolerance_factor(int(x), 0.9, 0.9), 1_000_000, 1_000_001, "number of values must be"),
    (lambda x: sampling.tolerance_factor(9, x, 0.9), 0.5, 0.49, "coverage must be"),
    (lambda x: sampling.tolerance_factor(9, x, 0.9), 0.9999, 0.99995, "coverage must be"),
    (lambda x: sampling.tolerance_factor(9, 0.9, x), 0.5, 0.49, "confidence must be"),
    (lambda x: sampling.tolerance_factor(9, 0.9, x), 0.9999, 0.99995, "confidence must be"),
    (lambda x: sampling.one_sided_tolerance_factor(int(x), 0.9, 0.5), 2, 1, "number of values must be"),
    (lambda x: sampling.one_sided_tolerance_factor(int(x), 0.9, 0.5), 1e6, 1e6 + 1, "number of values must be"),
    (lambda x: sampling.one_sided_tolerance_factor(9, x, 0.9), 0.5, 0.49, "coverage must be"),
    (lambda x: sampling.one_sided_tolerance_factor(9, x, 0.9), 0.9999, 0.99995, "coverage must be"),
    (lambda x: sampling.one_sided_tolerance_factor(9, 0.9, x), 0.5, 0.49, "confidence must be"),
    (lambda x: sampling.one_sided_tolerance_factor(90, 0.9, x), 0.9999, 0.99995, "confidence must be"),
    (lambda x: sampling.percentile([1, 2], x), 1, 1.01, "share must be"),
    (lambda x: sampling.percentile([1, 2], x), 0.01, -0.01, "share must be"),
    (lambda x: control_charts.c4(int(x)), 2, 1, "number of values must be"),
    (lambda x: control_charts.c4(int(x)), 100_000, 100_001, "number of values must be"),
    (lambda x: control_charts.share_chart([0], [int(x)]), 1, 0, "number tested must be"),
    (lambda x: control_charts.share_chart([0], [int(x)]), 1e9, 1e9 + 1, "number tested must be"),
    (lambda x: control_charts.share_chart([int(x)], [5]), 0, -1, "number failed must be"),
    (lambda x: control_charts.share_chart([int(x)], [5]), 5, 6, "number failed must be"),
    (lambda x: control_charts.count_chart([int(x), 1]), 0, -1, "count must be"),
    (lambda x: control_charts.count_chart([int(x), 1]), 1e9, 1e9 + 1, "count must be"),
    (lambda x: control_charts.ewma_chart([1, 2], target=1, sd=x), 0.01, 0, "standard deviation must be"),
    (lambda x: control_charts.ewma_chart([1, 2], target=1, sd=x), 1e12, 1e12 + 1, "standard deviation must be"),
    (lambda x: control_charts.ewma_chart([1, 2], target=1, sd=1, weight=x), 1, 1.01, "weight must be"),
    (lambda x: control_charts.ewma_chart([1, 2], target=1, sd=1, weight=x), 0.01, 0, "weight must be"),
    (lambda x: control_charts.ewma_chart([1, 2], target=1, sd=1, width=x), 6, 6.1, "width must be"),
    (lambda x: control_charts.ewma_chart([1, 2], target=1, sd=1, width=x), 0.01, 0, "width must be"),
    (lambda x: control_charts.cusum_chart([1, 2], target=1, sd=x), 0.01, 0, "standard deviation must be"),
    (lambda x: control_charts.cusum_chart([1, 2], target=1, sd=x), 1e12, 1e12 + 1, "standard deviation must be"),
    (lambda x: control_charts.cusum_chart([1, 2], target=1, sd=1, slack=x), 0, -0.1, "slack must be"),
    (lambda x: control_charts.cusum_chart([1, 2], target=1, sd=1, slack=x), 5, 5.1, "slack must be"),
    (lambda x: control_charts.cusum_chart([1, 2], target=1, sd=1, decision=x), 0.01, 0, "decision limit must be"),
    (lambda x: control_charts.cusum_chart([1, 2], target=1, sd=1, decision=x), 50, 50.1, "decision limit must be"),
    (lambda x: control_charts.capability(1, x, 0, 2), 0.01, 0, "standard deviation must be"),
    (lambda x: control_charts.capability(1, x, 0, 2), 1e12, 1e12 + 1, "standard deviation must be"),
    (lambda x: run_rules.alarms([1], 0, x), 0.01, 0, "sigma must be"),
    (lambda x: run_rules.alarms([1], 0, x), 1e12, 1e12 + 1, "sigma must be"),
    (lambda x: reconcile.Measured(name="tare", value=1, sd=x), 1e12, 1e12 + 1, "standard uncertainty of tare"),
    (lambda x: reconcile.Measured(name="tare", value=1, sd=x), 0.01, 0, "standard uncertainty of tare"),
]  # fmt: skip
PHYSICS: list[tuple[Callable[[float], object], float, float, str]] = [
    (lambda x: warmth.mean_kinetic_c([x]), -100, -100.1, "temperature must be"),
    (lambda x: warmth.mean_kinetic_c([x]), 100, 100.1, "temperature must be"),
    (lambda x: warmth.mean_kinetic_c([1, 2], [1, x]), 0, -0.1, "weight must be"),
    (lambda x: warmth.mean_kinetic_c([1, 2], [1, x]), 1e12, 1e12 + 1, "weight must be"),
    (lambda x: warmth.mean_kinetic_c([1], None, x), 1_000, 999, "heat over gas constant must be"),
    (lambda x: warmth.mean_kinetic_c([1], None, x), 50_000, 50_001, "heat over gas constant must be"),
    (lambda x: warmth.excursions([warmth.Reading(NOON, 4)], x, 6), -200, -200.1, "lower limit must be"),
    (lambda x: warmth.excursions([warmth.Reading(NOON, 4)], x, 100), 100, 100.1, "lower limit must be"),
    (lambda x: warmth.excursions([warmth.Reading(NOON, 4)], 2, x), 100, 100.1, "upper limit must be"),
    (lambda x: warmth.excursions([warmth.Reading(NOON, x)], 2, 6), -200, -200.1, "temperature must be"),
    (lambda x: warmth.excursions([warmth.Reading(NOON, x)], 2, 6), 100, 100.1, "temperature must be"),
    (lambda x: settling.lone_cell_um_per_s(x), 15, 14.9, "volume of a cell must be"),
    (lambda x: settling.lone_cell_um_per_s(x), 150, 150.1, "volume of a cell must be"),
    (lambda x: settling.lone_cell_um_per_s(70, x), 0.01, 0, "difference of density must be"),
    (lambda x: settling.lone_cell_um_per_s(70, x), 0.2, 0.21, "difference of density must be"),
    (lambda x: settling.lone_cell_um_per_s(70, 0.07, x), 0.5, 0.49, "viscosity must be"),
    (lambda x: settling.lone_cell_um_per_s(70, 0.07, x), 5, 5.1, "viscosity must be"),
    (lambda x: settling.settle(x, 100, 1), 0.02, 0.0195, "haematocrit must be"),
    (lambda x: settling.settle(x, 100, 1), 0.8, 0.81, "haematocrit must be"),
    (lambda x: settling.settle(0.4, x, 1), 5, 4.9, "depth of blood must be"),
    (lambda x: settling.settle(0.4, x, 1), 400, 400.1, "depth of blood must be"),
    (lambda x: settling.settle(0.4, 100, x), 0, -0.1, "field over time must be"),
    (lambda x: settling.settle(0.4, 400, x, lone_um_per_s=0.001), 20_000_000, 20_000_001, "field over time must be"),
    (lambda x: settling.settle(0.4, 100, 1, exponent=x), 2, 1.9, "exponent must be"),
    (lambda x: settling.settle(0.4, 100, 1, exponent=x), 8, 8.1, "exponent must be"),
    (lambda x: settling.settle(0.4, 100, 1, lone_um_per_s=x), 0.01, 0, "speed of a cell must be"),
    (lambda x: settling.settle(0.4, 100, 1, lone_um_per_s=x), 10, 10.1, "speed of a cell must be"),
]  # fmt: skip


@pytest.mark.parametrize(("of", "end", "beyond", "words"), [*ENDS, *STATISTICS, *PHYSICS])
def test_the_end_is_allowed_and_beyond_it_is_refused_by_name(
    of: Callable[[float], object], end: float, beyond: float, words: str
) -> None:
    assert of(end) is not None
    with pytest.raises(OutOfRange, match=words):
        of(beyond)


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (
            lambda: errors.within("haematocrit", 45, 0, 1),
            "The haematocrit must be between 0 and 1; 45 is not.",
        ),
        (
            lambda: errors.above("share", 0, 0, 0.25),
            "The share must be more than 0 and at most 0.25; 0 is not.",
        ),
    ],
)
def test_a_value_without_a_unit_is_refused_without_a_gap(
    refused: Callable[[], object], sentence: str
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        refused()
    assert sentence == str(refusal.value)


def test_a_new_speed_of_nought_is_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="new speed must be more than 0"):
        centrifuge.hold_s_for_other_rotor(
            rpm=4000, radius_mm=200, speed_up_s=60, hold_s=600, slow_down_s=60,
            new_rpm=0, new_radius_mm=200, new_speed_up_s=60, new_slow_down_s=60,
        )  # fmt: skip


def test_not_a_number_is_in_no_range() -> None:
    with pytest.raises(OutOfRange, match="nan"):
        errors.within("mass", math.nan, 0, 1)
    with pytest.raises(OutOfRange, match="nan"):
        errors.above("mass", math.nan, 0, 1)
