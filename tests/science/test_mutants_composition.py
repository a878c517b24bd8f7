"""Small bags, empty bags and the last drop: the edges of mass balance."""

import pytest

from buffycoat.science.composition import (
    DENSITIES,
    Content,
    citrate_mmol,
    draw,
    express_plasma,
    haematocrit_of,
    mass_g,
    plasma_phase,
    plasma_to_express_ml_for_haematocrit,
    predicted_layers,
    split,
    take_ml,
    volume_ml,
)
from buffycoat.science.errors import OutOfRange

STANDARD = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
DROP = Content(red_cells_ml=0.2, plasma_ml=0.3)


def test_cold_anticoagulant_and_additive_are_denser_as_cold_water_is() -> None:
    # Tables of the density of water, from memory: about 0.0002 g/mL a degree; 16 degrees colder is 0.0032 more.
    cold = DENSITIES.warmed(4)
    assert (1.0292, 1.0132) == pytest.approx((cold.anticoagulant_g_per_ml, cold.additive_g_per_ml))


def test_a_drop_of_blood_is_blood() -> None:
    # Mass balance by hand: 0.2 of 0.5 mL; pressed to 0.5 it gives up 0.1 mL.
    assert 0.4 == pytest.approx(haematocrit_of(DROP))
    assert 0.1 == pytest.approx(plasma_to_express_ml_for_haematocrit(DROP, 0.5))
    assert 0.5 == pytest.approx(sum(layer.volume_ml for layer in predicted_layers(DROP, 0.8)))
    assert 0.4 == pytest.approx(volume_ml(take_ml(Content(plasma_ml=1), 0.4)[1]))


def test_a_hundred_millilitres_of_the_recipe_hold_ten_and_a_half_millimoles() -> None:
    # 105 mmol/L, constants.py.
    assert 10.5 == pytest.approx(citrate_mmol(Content(anticoagulant_ml=100), 105), rel=1e-9)


def test_nothing_can_be_taken_from_an_empty_bag() -> None:
    with pytest.raises(OutOfRange, match="holds 0 mL; 0 mL cannot be taken"):
        take_ml(Content(), 0)


@pytest.mark.parametrize("shares", [(0.3, 0.3), (0.5, 0.4999999)])
def test_a_split_that_leaves_something_over_is_refused(shares: tuple[float, float]) -> None:
    with pytest.raises(OutOfRange, match="must add up to 1"):
        split(STANDARD, shares)


def test_the_last_plasma_may_be_a_rounding_over_and_not_a_milligram() -> None:
    most_g = mass_g(plasma_phase(STANDARD))
    left, plasma = express_plasma(STANDARD, most_g + 5e-7)
    assert (0.0, 310.5) == (left.plasma_phase_ml, volume_ml(plasma))
    with pytest.raises(OutOfRange, match="cannot have come off"):
        express_plasma(STANDARD, most_g + 5e-4)


def test_a_bag_of_cells_alone_gives_no_plasma() -> None:
    left, plasma = express_plasma(Content(red_cells_ml=200), 0)
    assert (200, 0) == (volume_ml(left), volume_ml(plasma))


def test_a_haematocrit_that_is_already_there_needs_nothing_pressed_off() -> None:
    assert 0 == plasma_to_express_ml_for_haematocrit(STANDARD, haematocrit_of(STANDARD) - 5e-10)


def test_the_plasma_phase_is_all_that_is_not_red_cells() -> None:
    assert (
        190 == Content(red_cells_ml=200, plasma_ml=30, anticoagulant_ml=60, additive_ml=100).plasma_phase_ml
    )
