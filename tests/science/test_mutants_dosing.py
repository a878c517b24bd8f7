"""A dose that is a whole number of units but for rounding."""

from buffycoat.science.dosing import cryoprecipitate_units


def test_a_weight_that_is_thirty_but_for_rounding_needs_three_units() -> None:
    weight_kg = 10 * (1.1 + 1.9000000000000004)
    assert weight_kg > 30
    assert 3 == cryoprecipitate_units(weight_kg)
