"""Clearing factors of other rotors, and ramps that are a little too long."""

import pytest

from buffycoat.science.centrifuge import clearing_factor, hold_s_for_other_rotor
from buffycoat.science.errors import OutOfRange


def test_1_11_the_clearing_factor_of_a_rotor_of_twice_the_radius() -> None:
    # Rotor handbooks, from memory: 2.53e11 ln(r_max / r_min) / rpm²; ln 2 = 0.6931 and 50 000 rpm.
    assert 2.53e11 * 0.693147 / 2.5e9 == pytest.approx(clearing_factor(100, 200, 50_000), rel=2e-3)


def test_ramps_that_give_a_third_of_a_second_too_much_are_refused() -> None:
    same = {"rpm": 4000, "radius_mm": 200, "speed_up_s": 30, "hold_s": 0, "slow_down_s": 30}
    new = {"new_rpm": 4000, "new_radius_mm": 200, "new_slow_down_s": 30}
    assert 1 / 3 == pytest.approx(hold_s_for_other_rotor(**same, **new, new_speed_up_s=29))
    with pytest.raises(OutOfRange, match="ramps of the new programme"):
        hold_s_for_other_rotor(**same, **new, new_speed_up_s=31)
