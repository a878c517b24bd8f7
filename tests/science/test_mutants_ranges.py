"""The other ends of the ranges in the docstrings, each refused in the words of its own limit."""

import math
from collections.abc import Callable

import pytest

from buffycoat.science import centrifuge, composition, dosing, errors, finding, haemolysis, weighing
from buffycoat.science.errors import OutOfRange

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
    (lambda x: finding.chance_of_enough(int(x), 1, 0.5), 1_000_000, 1_000_001, "number tested must be"),
    (lambda x: finding.chance_of_enough(10, 1, x), 0, -0.1, "compatible share must be"),
    (lambda x: finding.chance_of_enough(10, 1, x), 1, 1.01, "compatible share must be"),
    (lambda x: finding.number_to_test(1, 0.5, x), 0.999999, 0.9999995, "chance must be"),
    (lambda x: finding.number_to_test(1, 0.5, x), 0.01, 0, "chance must be"),
]  # fmt: skip


@pytest.mark.parametrize(("of", "end", "beyond", "words"), ENDS)
def test_the_end_is_allowed_and_beyond_it_is_refused_by_name(
    of: Callable[[float], object], end: float, beyond: float, words: str
) -> None:
    assert of(end) is not None
    with pytest.raises(OutOfRange, match=words):
        of(beyond)


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (lambda: errors.within("haematocrit", 45, 0, 1), "The haematocrit must be between 0 and 1; 45 is not."),
        (
            lambda: errors.above("share", 0, 0, 0.25),
            "The share must be more than 0 and at most 0.25; 0 is not.",
        ),
    ],
)
def test_a_value_without_a_unit_is_refused_without_a_gap(refused: Callable[[], object], sentence: str) -> None:
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
