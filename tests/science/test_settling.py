"""The packing estimate: nothing lost, more field packs more, and Kynch's wave at its right speed."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buffycoat.science.centrifuge import g_seconds, hold_s_for_other_rotor
from buffycoat.science.errors import OutOfRange
from buffycoat.science.settling import LAYERS, lone_cell_um_per_s, settle

haematocrits = st.floats(0.05, 0.7)
fields = st.floats(0, 3_000_000)


def test_a_lone_cell_sinks_about_half_a_micrometre_a_second() -> None:
    # Stokes with 70 fL, 69 kg/m³ and 1.7 mPa·s, worked out by hand: a = 2.557 µm.
    assert lone_cell_um_per_s(70, 0.069, 1.7) == pytest.approx(
        2 / 9 * 69 * 9.80665 * 2.557**2 / 1.7 * 1e-3, rel=1e-3
    )


@settings(max_examples=40)
@given(haematocrits, fields)
def test_no_cell_is_lost_or_made(haematocrit: float, field: float) -> None:
    settled = settle(haematocrit, 100, field)
    assert haematocrit == pytest.approx(sum(settled.profile) / LAYERS)
    assert all(-1e-12 <= layer <= 1 for layer in settled.profile)
    assert 0 <= settled.plasma_share < 1
    assert haematocrit == pytest.approx(settled.packed_haematocrit * (1 - settled.plasma_share))


@settings(max_examples=40)
@given(haematocrits, fields, st.floats(1, 3))
def test_more_field_never_leaves_less_clear_plasma(haematocrit: float, field: float, times: float) -> None:
    assert (
        settle(haematocrit, 100, field).plasma_share
        <= settle(haematocrit, 100, field * times).plasma_share + 0.011
    )


@settings(max_examples=40)
@given(haematocrits, fields)
def test_crowding_rises_downwards(haematocrit: float, field: float) -> None:
    profile = settle(haematocrit, 100, field).profile
    assert all(upper <= lower + 1e-9 for upper, lower in pairwise(profile))


@pytest.mark.parametrize(("haematocrit", "share"), [(0.30, 0.15), (0.40, 0.10), (0.50, 0.05)])
def test_the_clear_layer_first_grows_at_the_speed_of_the_crowd(haematocrit: float, share: float) -> None:
    # Kynch: the interface falls at v (1 − Hct)ⁿ until the wave from the bottom meets it.
    field = share * 100 / ((1 - haematocrit) ** 4.65) / (lone_cell_um_per_s() / 1000)
    assert settle(haematocrit, 100, field).plasma_share == pytest.approx(share, abs=0.012)


def test_without_a_spin_nothing_has_happened() -> None:
    settled = settle(0.4, 100, 0)
    assert (0.4, 0.0) == pytest.approx((settled.packed_haematocrit, settled.plasma_share), abs=1e-9)


def test_hard_spins_reach_the_haematocrits_of_the_trade_and_light_ones_do_not() -> None:
    # Targets of 0.70 to 0.80 after a hard spin (5000 × g for 5 min, from memory); a light one leaves much plasma.
    assert 0.70 < settle(0.39, 100, 5000 * 300).packed_haematocrit < 0.80
    assert settle(0.39, 100, 2000 * 180).packed_haematocrit < 0.60


def test_half_the_depth_with_half_the_field_is_the_same() -> None:
    assert settle(0.4, 100, 1_000_000).profile == pytest.approx(settle(0.4, 50, 500_000).profile)


def test_a_moved_programme_is_estimated_to_pack_alike() -> None:
    old = g_seconds(4200, 200, 60, 600, 120)
    hold = hold_s_for_other_rotor(
        rpm=4200, radius_mm=200, speed_up_s=60, hold_s=600, slow_down_s=120,
        new_rpm=3600, new_radius_mm=230, new_speed_up_s=90, new_slow_down_s=150,
    )  # fmt: skip
    new = g_seconds(3600, 230, 90, hold, 150)
    assert settle(0.39, 100, old).packed_haematocrit == pytest.approx(
        settle(0.39, 100, new).packed_haematocrit
    )


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: settle(39, 100, 1), "haematocrit"),
        (lambda: settle(0.4, 1, 1), "depth of blood"),
        (lambda: settle(0.4, 100, -1), "field over time"),
        (lambda: settle(0.4, 100, 1, lone_um_per_s=0), "speed of a cell"),
        (lambda: settle(0.4, 100, 1, exponent=1), "exponent"),
        (lambda: settle(0.4, 5, 20_000_000), "nothing more to say"),
        (lambda: lone_cell_um_per_s(5), "volume of a cell"),
        (lambda: lone_cell_um_per_s(70, 0), "difference of density"),
        (lambda: lone_cell_um_per_s(70, 0.07, 0), "viscosity"),
    ],
)
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()
