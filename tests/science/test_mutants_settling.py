"""The packing estimate against Stokes and Kynch, more sharply than one layer."""

import pytest

from buffycoat.science.errors import OutOfRange
from buffycoat.science.settling import lone_cell_um_per_s, settle

FEW_SHARES = (0.05, 0.0525, 0.055, 0.0575, 0.1, 0.2, 0.3)


def test_stokes_speed_of_a_dog_cell_to_nine_figures() -> None:
    # 2/9 Δρ g a² / μ by 30 digits of mpmath: 70 fL, 69 kg/m³, 1.7 mPa·s.
    assert 0.578159880 == pytest.approx(lone_cell_um_per_s(70, 0.069, 1.7), rel=2e-9)


@pytest.mark.parametrize(
    ("haematocrit", "shares", "off"),
    [
        (0.4, FEW_SHARES, 0.001),
        (0.2, (*FEW_SHARES, 0.4, 0.5), 0.003),
        (0.165, (0.1, 0.2, 0.3, 0.4, 0.5), 0.002),
        (0.05, (*FEW_SHARES, 0.5), 0.013),
    ],
)
def test_the_clear_layer_grows_evenly_and_not_by_whole_layers(
    haematocrit: float, shares: tuple[float, ...], off: float
) -> None:
    # Kynch: the interface falls at v (1 − Hct)ⁿ until the wave from the bottom meets it; off: thin crowds smear more.
    for share in shares:
        field = share * 100 * 1000 / (1 - haematocrit) ** 4.65
        assert share == pytest.approx(settle(haematocrit, 100, field, lone_um_per_s=1).plasma_share, abs=off)


def test_the_depth_a_lone_cell_would_have_sunk_is_speed_times_field_over_depth() -> None:
    # 1 µm/s for 100 000 g·s is 100 mm.
    settled = settle(0.3, 100, 100_000, lone_um_per_s=1)
    assert (1.0, 100) == (pytest.approx(settled.depths, rel=1e-9), len(settled.profile))


def test_two_hundred_depths_are_the_most_of_which_the_model_speaks() -> None:
    assert 200 == settle(0.4, 5, 1_000_000, lone_um_per_s=1).depths
    with pytest.raises(OutOfRange, match="nothing more to say"):
        settle(0.4, 5, 1_000_100, lone_um_per_s=1)
