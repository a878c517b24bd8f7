"""The ends of the ranges that the docstrings state: the end itself is allowed, the next step beyond it is not."""

from collections.abc import Callable

import pytest

from buffycoat.science import balance, centrifuge, composition, dosing, haemolysis, weighing
from buffycoat.science.errors import OutOfRange

BAG = composition.draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
INCLUDED: list[tuple[Callable[[float], object], float, float]] = [
    (lambda x: haemolysis.haemolysis_percent(x, 30, 0.5), 25, 25.1),
    (lambda x: haemolysis.haemolysis_percent(x, 30, 0.5), 0, -0.1),
    (lambda x: haemolysis.haemolysis_percent(0.1, x, 0.5), 30, 30.1),
    (lambda x: haemolysis.haemolysis_percent(0.1, 15, x), 1, 1.01),
    (lambda x: haemolysis.haemolysis_percent(0.1, 15, x), 0, -0.01),
    (lambda x: haemolysis.haemolysis_percent(x, 10, 0.5), 20, 20.1),
    (lambda x: haemolysis.free_haemoglobin_limit_g_per_dl(20, 0.6, x), 100, 100.1),
    (lambda x: haemolysis.free_haemoglobin_limit_g_per_dl(20, x, 1), 0.99, 0.991),
    (lambda x: dosing.blood_ml_for_rise(x, 90, 12, 20, 60), 150, 150.1),
    (lambda x: dosing.blood_ml_for_rise(20, x, 12, 20, 60), 120, 120.1),
    (lambda x: dosing.blood_ml_for_rise(20, x, 12, 20, 60), 30, 29.9),
    (lambda x: dosing.blood_ml_for_rise(20, 90, x, 20, 60), 1, 0.9),
    (lambda x: dosing.blood_ml_for_rise(20, 90, 12, x, 80), 70, 70.1),
    (lambda x: dosing.blood_ml_for_rise(20, 90, 12, 20, x), 95, 95.1),
    (lambda x: dosing.red_cells_ml_by_rule(x, 8), 150, 150.1),
    (lambda x: dosing.red_cells_ml_by_rule(20, x), 40, 40.1),
    (lambda x: dosing.whole_blood_ml_by_rule(x, 8), 150, 150.1),
    (lambda x: dosing.whole_blood_ml_by_rule(20, x), 40, 40.1),
    (lambda x: dosing.cat_rise(x, 4), 500, 500.1),
    (lambda x: dosing.cat_rise(40, x), 15, 15.1),
    (lambda x: dosing.pcv_forecast(20, (80, 90), 12, 0, x), 20_000, 20_000.1),
    (lambda x: dosing.pcv_forecast(20, (80, 90), x, 0, 1), 75, 75.1),
    (lambda x: dosing.plasma_ml(x, 10), 150, 150.1),
    (lambda x: dosing.plasma_ml(20, x), 30, 30.1),
    (lambda x: dosing.plasma_ml(20, x), 5, 4.9),
    (lambda x: dosing.cryoprecipitate_units(x), 150, 150.1),
    (lambda x: dosing.drops_per_min(x, 4, 15), 10_000, 10_000.1),
    (lambda x: dosing.drops_per_min(250, x, 15), 48, 48.1),
    (lambda x: dosing.drops_per_min(250, 4, x), 100, 100.1),
    (lambda x: dosing.drops_per_min(250, 4, x), 5, 4.9),
    (lambda x: dosing.rate_plan(x, 20, start_ml_per_kg_h=1, start_min=30, finish_h=4), 10_000, 10_000.1),
    (lambda x: dosing.rate_plan(9, x, start_ml_per_kg_h=1, start_min=30, finish_h=4), 150, 150.1),
    (lambda x: dosing.rate_plan(9, 20, start_ml_per_kg_h=x, start_min=30, finish_h=4), 20, 20.1),
    (lambda x: dosing.rate_plan(9, 20, start_ml_per_kg_h=1, start_min=x, finish_h=4), 120, 120.1),
    (lambda x: dosing.rate_plan(9, 20, start_ml_per_kg_h=1, start_min=30, finish_h=x), 12, 12.1),
    (lambda x: composition.plasma_to_express_ml_for_haematocrit(BAG, x), 1, 1.001),
    (lambda x: composition.plasma_to_express_ml_for_share_left(BAG, x), 1, 1.001),
    (lambda x: composition.plasma_to_express_ml_for_share_left(BAG, x), 0, -0.001),
    (lambda x: composition.add_additive(BAG, x), 1_000, 1_000.1),
    (lambda x: composition.take_ml(BAG, x), 513, 513.1),
    (lambda x: composition.predicted_layers(BAG, x), 1, 1.001),
    (lambda x: composition.predicted_layers(BAG, 0.8, x), 0.05, 0.051),
    (lambda x: composition.haemoglobin_g(BAG, x), 40, 40.1),
    (lambda x: composition.haemoglobin_g(BAG, x), 25, 24.9),
    (lambda x: composition.citrate_mmol(BAG, x), 200, 200.1),
    (lambda x: composition.DENSITIES.warmed(x), 0, -0.1),
    (lambda x: composition.DENSITIES.warmed(x), 40, 40.1),
    (lambda x: composition.Densities(plasma_g_per_ml=x), 0.9, 0.899),
    (lambda x: composition.Densities(plasma_g_per_ml=x), 1.2, 1.201),
    (lambda x: composition.Content(plasma_ml=x), 20_000, 20_000.1),
    (lambda x: weighing.volume_ml_from_mass(x, 1.05), 30_000, 30_000.1),
    (lambda x: weighing.volume_ml_from_mass(1, x), 1.2, 1.201),
    (lambda x: weighing.volume_ml_from_mass(1, x), 0.9, 0.899),
    (lambda x: weighing.mass_g_from_volume(x, 1.05), 20_000, 20_000.1),
    (lambda x: weighing.target_gross_g(450, 1.05, x), 5_000, 5_000.1),
    (lambda x: weighing.blood_volume_ml(x, 90), 150, 150.1),
    (lambda x: weighing.blood_volume_ml(20, x), 120, 120.1),
    (lambda x: weighing.blood_volume_ml(20, x), 30, 29.9),
    (lambda x: weighing.largest_draw_ml(20, 90, x), 0.25, 0.251),
    (lambda x: centrifuge.rcf_from_rpm(x, 100), 150_000, 150_000.1),
    (lambda x: centrifuge.rcf_from_rpm(100, x), 1_000, 1_000.1),
    (lambda x: centrifuge.rpm_from_rcf(x, 100), 2_000_000, 2_000_000.1),
    (lambda x: centrifuge.derated_rpm(x, 1.3), 150_000, 150_000.1),
    (lambda x: centrifuge.derated_rpm(100, x), 25, 25.1),
    (lambda x: centrifuge.derated_rpm(100, 1.3, x), 0.5, 0.49),
    (lambda x: centrifuge.equivalent_hold_s(x, 1, 1), 604_800, 604_801),
    (lambda x: centrifuge.imbalance_force_n(x, 100, 100), 100_000, 100_000.1),
    (lambda x: balance.can_balance(int(x), 0), 48, 49),
    (lambda x: balance.can_balance(int(x), 0), 2, 1),
    (lambda x: balance.residual_g([x, 1]), 100_000, 100_000.1),
    (lambda x: balance.Load(label="A", mass_g=x), 20_000, 20_000.1),
]
EXCLUDED: list[Callable[[float], object]] = [
    lambda x: haemolysis.haemolysis_percent(0, x, 0.5),
    lambda x: weighing.blood_volume_ml(x, 90),
    lambda x: weighing.largest_draw_ml(20, 90, x),
    lambda x: composition.predicted_layers(BAG, x),
    lambda x: centrifuge.rcf_from_rpm(100, x),
    lambda x: centrifuge.derated_rpm(100, x),
    lambda x: dosing.red_cells_ml_by_rule(20, x),
    lambda x: dosing.whole_blood_ml_by_rule(x, 8),
    lambda x: dosing.cat_rise(40, x),
    lambda x: dosing.plasma_ml(x, 10),
    lambda x: dosing.cryoprecipitate_units(x),
    lambda x: dosing.drops_per_min(250, x, 15),
    lambda x: balance.Load(label="A", mass_g=x),
]


@pytest.mark.parametrize(("of", "end", "beyond"), INCLUDED)
def test_the_end_is_allowed_and_beyond_it_is_not(
    of: Callable[[float], object], end: float, beyond: float
) -> None:
    assert of(end) is not None
    with pytest.raises(OutOfRange):
        of(beyond)


@pytest.mark.parametrize("of", EXCLUDED)
def test_nought_is_not_allowed_where_something_must_be_there(of: Callable[[float], object]) -> None:
    assert of(0.001) is not None
    with pytest.raises(OutOfRange):
        of(0)


def test_all_of_the_plasma_may_be_pressed_off_and_no_more() -> None:
    most_g = composition.mass_g(composition.plasma_phase(BAG))
    left, plasma = composition.express_plasma(BAG, most_g)
    assert (0, 310.5) == pytest.approx((left.plasma_phase_ml, composition.volume_ml(plasma)))
    with pytest.raises(OutOfRange):
        composition.express_plasma(BAG, most_g + 0.01)
