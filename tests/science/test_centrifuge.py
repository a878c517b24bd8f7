"""Field and speed against published figures and numerical integration."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants, integrate

from buffycoat.science import centrifuge
from buffycoat.science.centrifuge import (
    angular_impulse,
    clearing_factor,
    derated_rpm,
    equivalent_hold_s,
    g_seconds,
    hold_s_for_other_rotor,
    imbalance_force_n,
    rcf_from_rpm,
    rpm_from_rcf,
)
from buffycoat.science.errors import OutOfRange

speeds = st.floats(1, 20_000)
radii = st.floats(10, 500)
times = st.floats(0, 3_600)


def test_1_1_the_constant_for_centimetres_is_the_printed_one() -> None:
    # Standard gravity, BIPM; the printed 1.118e-5 is in laboratory practicals.
    own = rcf_from_rpm(1, 10)
    assert own == pytest.approx(1.118e-5, rel=3e-4)
    assert own == pytest.approx(4 * math.pi**2 / 3600 * 0.01 / constants.g, rel=1e-12)


def test_1_2_the_coarse_form_for_millimetres_is_within_two_parts_in_a_thousand() -> None:
    assert rcf_from_rpm(1000, 1) == pytest.approx(1.12, rel=2e-3)
    assert rcf_from_rpm(1, 1) == pytest.approx(1.11824e-6, rel=1e-5)


def test_1_3_the_form_for_inches_is_28_40_and_not_quite_the_printed_28_38() -> None:
    # Transfusion handbooks, from memory: 28.38.
    assert rcf_from_rpm(1000, 25.4) == pytest.approx(28.4034, rel=1e-5)
    assert rcf_from_rpm(1000, 25.4) == pytest.approx(28.38, rel=1e-3)


def test_1_4_ten_thousand_turns_at_five_centimetres() -> None:
    # A laboratory practical: 5590 × g.
    assert rcf_from_rpm(10_000, 50) == pytest.approx(5590, rel=5e-4)
    assert rcf_from_rpm(10_000, 50) == pytest.approx(5591.22, abs=0.005)


def test_a_blood_bag_rotor_of_250_mm_at_4200_turns() -> None:
    # Operator's manuals, 1.118 r (rpm/1000)²: 4930 × g; 5000 × g needs 4230 rpm.
    assert rcf_from_rpm(4200, 250) == pytest.approx(4930, rel=3e-4)
    assert rpm_from_rcf(5000, 250) == pytest.approx(4230, rel=3e-4)


@pytest.mark.parametrize(
    ("rcf", "radius_mm", "rpm"),
    [
        (5000, 254, 4195.656),
        (2000, 254, 2653.566),
        (4200, 200, 4333.526),
        (600, 100, 2316.367),
        (200, 100, 1337.355),
    ],
)
def test_1_6_speed_from_field(rcf: float, radius_mm: float, rpm: float) -> None:
    # Own computation.
    assert rpm_from_rcf(rcf, radius_mm) == pytest.approx(rpm, abs=1e-3)


@given(speeds, radii)
def test_1_6_there_and_back_is_the_same(rpm: float, radius_mm: float) -> None:
    assert rpm_from_rcf(rcf_from_rpm(rpm, radius_mm), radius_mm) == pytest.approx(rpm, rel=1e-12)


@pytest.mark.parametrize(
    ("greatest", "density", "rpm"),
    [(20_000, 1.7, 16803.36), (4200, 1.4, 3888.44), (10_000, 1.2, 10_000), (4200, 1.0, 4200)],
)
def test_1_7_a_dense_load_slows_the_rotor_and_a_light_one_does_not_speed_it(
    greatest: float, density: float, rpm: float
) -> None:
    # Rotor handbooks, from memory.
    assert derated_rpm(greatest, density) == pytest.approx(rpm, abs=0.005)


@pytest.mark.parametrize(
    ("rpm", "up", "hold", "down", "impulse"),
    [(3500, 60, 600, 120, 8.866194620e7), (4000, 90, 420, 180, 8.948441324e7)],
)
def test_1_8_the_impulse_equals_numerical_integration(
    rpm: float, up: float, hold: float, down: float, impulse: float
) -> None:
    # Own computation and scipy.integrate.quad.
    def squared(t: float) -> float:
        share = min(t / up, 1.0, (up + hold + down - t) / down)
        return (rpm * math.pi / 30 * share) ** 2

    by_scipy, _ = integrate.quad(squared, 0, up + hold + down, points=[up, up + hold], epsrel=1e-12)
    assert angular_impulse(rpm, up, hold, down) == pytest.approx(impulse, rel=1e-9)
    assert angular_impulse(rpm, up, hold, down) == pytest.approx(by_scipy, rel=1e-9)


def test_1_8_equivalent_holds() -> None:
    assert [660.0, 510.0] == [equivalent_hold_s(60, 600, 120), equivalent_hold_s(90, 420, 180)]


def test_1_11_the_constant_of_the_clearing_factor() -> None:
    # Rotor handbooks, from memory: 2.53e11.
    assert clearing_factor(100, 100 * math.e, 1) == pytest.approx(2.53e11, rel=2e-3)
    assert clearing_factor(100, 100 * math.e, 1) == pytest.approx(2.533030e11, rel=1e-6)


@given(speeds, radii, times, times, times)
def test_moving_a_programme_to_another_rotor_keeps_g_seconds(
    rpm: float, radius_mm: float, up: float, hold: float, down: float
) -> None:
    new_hold = hold_s_for_other_rotor(
        rpm=rpm,
        radius_mm=radius_mm,
        speed_up_s=up,
        hold_s=hold,
        slow_down_s=down,
        new_rpm=rpm * 0.9,
        new_radius_mm=radius_mm * 0.8,
        new_speed_up_s=up,
        new_slow_down_s=down,
    )
    assert g_seconds(rpm * 0.9, radius_mm * 0.8, up, new_hold, down) == pytest.approx(
        g_seconds(rpm, radius_mm, up, hold, down), rel=1e-9, abs=1e-6
    )


def test_a_new_programme_of_ramps_alone_is_refused() -> None:
    with pytest.raises(OutOfRange, match="ramps"):
        hold_s_for_other_rotor(
            rpm=2000, radius_mm=200, speed_up_s=10, hold_s=10, slow_down_s=10,
            new_rpm=4000, new_radius_mm=200, new_speed_up_s=120, new_slow_down_s=120,
        )  # fmt: skip


@given(st.floats(0, 50), speeds, radii)
def test_imbalance_is_mass_times_field(residual_g: float, rpm: float, radius_mm: float) -> None:
    weight_n = residual_g / 1000 * constants.g
    assert imbalance_force_n(residual_g, rpm, radius_mm) == pytest.approx(
        weight_n * rcf_from_rpm(rpm, radius_mm)
    )


@given(speeds, radii)
def test_the_field_grows_with_the_radius_and_the_square_of_speed(rpm: float, radius_mm: float) -> None:
    assert rcf_from_rpm(2 * rpm, radius_mm) == pytest.approx(4 * rcf_from_rpm(rpm, radius_mm))
    assert rcf_from_rpm(rpm, 2 * radius_mm) == pytest.approx(2 * rcf_from_rpm(rpm, radius_mm))


@pytest.mark.parametrize(
    ("name", "arguments", "words"),
    [
        ("rcf_from_rpm", (-1, 100), "speed must be between 0 and 150000 rpm"),
        ("rcf_from_rpm", (math.nan, 100), "speed"),
        ("rcf_from_rpm", (4000, 0), "radius must be more than 0"),
        ("rpm_from_rcf", (-1, 100), "field"),
        ("rpm_from_rcf", (100, 1001), "radius"),
        ("derated_rpm", (4000, 0), "density of the load"),
        ("derated_rpm", (4000, 1.2, 0.1), "design density"),
        ("angular_impulse", (4000, -1, 1, 1), "time of speeding up"),
        ("angular_impulse", (4000, 1, 1, -1), "time of slowing down"),
        ("imbalance_force_n", (-1, 4000, 100), "residual mass"),
        ("clearing_factor", (100, 90, 4000), "largest radius"),
    ],
)
def test_values_outside_the_range_are_refused(name: str, arguments: tuple[float, ...], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        getattr(centrifuge, name)(*arguments)
