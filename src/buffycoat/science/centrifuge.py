"""What a spin does to a bag: field, speed, derating, the sum of field over time, and what an imbalance pulls."""

import math
from typing import Final

from buffycoat.science import constants
from buffycoat.science.errors import OutOfRange, above, within

FASTEST_RPM: Final = 150_000.0
LARGEST_RADIUS_MM: Final = 1_000.0
LARGEST_RCF: Final = 2_000_000.0
LONGEST_S: Final = 7.0 * 86_400


def rcf_from_rpm(rpm: float, radius_mm: float) -> float:
    """Give the relative centrifugal force, in multiples of standard gravity, at a radius.

    RCF = (2π rpm / 60)² r / g. Arguments: rpm, 0 to 150 000 turns a minute; radius_mm, above 0 to 1000 mm, from the
    axis to the point meant: smallest, mean or largest radius give different answers at one speed.
    Raises: OutOfRange outside those ranges.
    Range: exact; the printed short form 1.118 × r × (rpm/1000)² is good to 0.03 %.
    Source: standard gravity, BIPM; a laboratory practical gives 5590 × g for 10 000 rpm at 5 cm.

    >>> round(rcf_from_rpm(10_000, 50))
    5591
    """
    radius_m = above("radius", radius_mm, 0, LARGEST_RADIUS_MM, "mm") / 1000
    return rad_per_s(rpm) ** 2 * radius_m / constants.STANDARD_GRAVITY.value


def rpm_from_rcf(rcf: float, radius_mm: float) -> float:
    """Give the speed that makes a field at a radius.

    rpm = 60 / 2π × √(RCF g / r). Arguments: rcf, 0 to 2 000 000 × g; radius_mm as for `rcf_from_rpm`.
    Raises: OutOfRange outside those ranges.
    Range: exact; the inverse of `rcf_from_rpm`.
    Source: own computation: 5000 × g at 254 mm.

    >>> round(rpm_from_rcf(5000, 254), 3)
    4195.656
    """
    within("field", rcf, 0, LARGEST_RCF, "× g")
    radius_m = above("radius", radius_mm, 0, LARGEST_RADIUS_MM, "mm") / 1000
    return math.sqrt(rcf * constants.STANDARD_GRAVITY.value / radius_m) * 30 / math.pi


def rad_per_s(rpm: float) -> float:
    """Turn turns a minute into radians a second.

    ω = 2π rpm / 60. Arguments: rpm, 0 to 150 000. Raises: OutOfRange outside that range.
    Range: exact.
    Source: mechanics.

    >>> round(rad_per_s(60), 6)
    6.283185
    """
    return within("speed", rpm, 0, FASTEST_RPM, "rpm") * math.pi / 30


def derated_rpm(
    greatest_rpm: float,
    density_g_per_ml: float,
    design_density_g_per_ml: float = constants.ROTOR_DESIGN_DENSITY.value,
) -> float:
    """Give the highest speed allowed for a load denser than the rotor was designed for.

    N = N_max √(design density / density), and never above N_max.
    Arguments: greatest_rpm, 0 to 150 000; density_g_per_ml, above 0 to 25; design_density_g_per_ml, 0.5 to 25.
    Raises: OutOfRange outside those ranges.
    Range: the maker's manual decides; 1.2 g/mL is only the usual design density.
    Source: rotor handbooks, from memory.

    >>> round(derated_rpm(4200, 1.4), 2)
    3888.44
    """
    within("greatest speed", greatest_rpm, 0, FASTEST_RPM, "rpm")
    above("density of the load", density_g_per_ml, 0, 25, "g/mL")
    within("design density of the rotor", design_density_g_per_ml, 0.5, 25, "g/mL")
    return greatest_rpm * math.sqrt(min(1.0, design_density_g_per_ml / density_g_per_ml))


def angular_impulse(rpm: float, speed_up_s: float, hold_s: float, slow_down_s: float) -> float:
    """Give ω²t of a run in rad²/s: the sum of the field over time, with speed changing in straight lines.

    ω² (t_up / 3 + t_hold + t_down / 3). Arguments: rpm, 0 to 150 000; three times, 0 to 604 800 s; hold_s is at full
    speed, without the ramps.
    Raises: OutOfRange outside those ranges.
    Range: straight ramps; a soft start or a brake that grips late needs the machine's own record.
    Source: own computation, equal to numerical integration: 3500 rpm with 60, 600 and 120 s.

    >>> f"{angular_impulse(3500, 60, 600, 120):.9e}"
    '8.866194620e+07'
    """
    return rad_per_s(rpm) ** 2 * equivalent_hold_s(speed_up_s, hold_s, slow_down_s)


def equivalent_hold_s(speed_up_s: float, hold_s: float, slow_down_s: float) -> float:
    """Give the time at full speed that has the same ω²t as a run with its ramps.

    t = t_up / 3 + t_hold + t_down / 3. Arguments: three times, 0 to 604 800 s; hold_s is at full speed, without the
    ramps.
    Raises: OutOfRange outside that range.
    Range: straight ramps; a soft start or a brake that grips late needs the machine's own record.
    Source: own computation: the integral of a straight ramp squared.

    >>> equivalent_hold_s(60, 600, 120), equivalent_hold_s(90, 420, 180)
    (660.0, 510.0)
    """
    for name, value in (("speeding up", speed_up_s), ("holding", hold_s), ("slowing down", slow_down_s)):
        within(f"time of {name}", value, 0, LONGEST_S, "s")
    return (speed_up_s + slow_down_s) / 3 + hold_s


def g_seconds(rpm: float, radius_mm: float, speed_up_s: float, hold_s: float, slow_down_s: float) -> float:
    """Give g·s of a run: relative centrifugal force summed over time at one radius.

    RCF × (t_up / 3 + t_hold + t_down / 3). Arguments, errors and range as for `rcf_from_rpm` and `angular_impulse`.
    Source: mechanics: ω²t times radius over standard gravity.

    >>> round(g_seconds(3500, 254, 60, 600, 120))
    2296415
    """
    return rcf_from_rpm(rpm, radius_mm) * equivalent_hold_s(speed_up_s, hold_s, slow_down_s)


def hold_s_for_other_rotor(
    *,
    rpm: float,
    radius_mm: float,
    speed_up_s: float,
    hold_s: float,
    slow_down_s: float,
    new_rpm: float,
    new_radius_mm: float,
    new_speed_up_s: float,
    new_slow_down_s: float,
) -> float:
    """Give the hold time that keeps g·s at the named radius when a validated programme moves to another rotor.

    t = old g·s / new field − a third of the new ramps.
    Arguments: as for `g_seconds`, old and new; use the same kind of radius (largest, say) for both.
    Raises: OutOfRange outside the ranges, or when the ramps alone already give more than the old programme.
    Range: kept is the field summed over time at that radius, and with it how far a lone cell sinks. Not kept are the
    field itself, the way the cells have to go, the wall, packing under load and warmth; so it is a trial to be
    validated, not a validated programme. Like bags, fields within about a factor of two.
    Source: mechanics: cells sink in proportion to the field; to keep g·s is common practice, no source.

    >>> round(hold_s_for_other_rotor(rpm=4200, radius_mm=250, speed_up_s=60, hold_s=600, slow_down_s=120,
    ...     new_rpm=4000, new_radius_mm=230, new_speed_up_s=60, new_slow_down_s=120), 1)
    730.9
    """
    wanted = g_seconds(rpm, radius_mm, speed_up_s, hold_s, slow_down_s)
    field = rcf_from_rpm(above("new speed", new_rpm, 0, FASTEST_RPM, "rpm"), new_radius_mm)
    hold = wanted / field - equivalent_hold_s(new_speed_up_s, 0, new_slow_down_s)
    if hold < 0:
        raise OutOfRange("The ramps of the new programme alone already give more than the old programme.")
    return hold


def imbalance_force_n(residual_g: float, rpm: float, radius_mm: float) -> float:
    """Give the force with which a residual mass at a radius pulls at the axis, in newtons.

    F = m ω² r. Arguments: residual_g, 0 to 100 000 g, the vector sum; rpm and radius_mm as for `rcf_from_rpm`.
    Raises: OutOfRange outside those ranges.
    Range: static imbalance only; the rotor's own limit decides.
    Source: mechanics; 5 g at 250 mm and 4200 rpm pull with 242 N, the weight of 25 kg.

    >>> round(imbalance_force_n(5, 4200, 250))
    242
    """
    within("residual mass", residual_g, 0, 100_000, "g")
    return residual_g / 1000 * rcf_from_rpm(rpm, radius_mm) * constants.STANDARD_GRAVITY.value


def clearing_factor(smallest_mm: float, largest_mm: float, rpm: float) -> float:
    """Give the clearing factor k of a rotor: hours to clear a particle of one svedberg.

    k = 10¹³ ln(r_max / r_min) / (3600 ω²). Arguments: radii, above 0 to 1000 mm; rpm, above 0.
    Raises: OutOfRange outside those ranges or if the radii are in the wrong order.
    Range: water at 20 °C, dilute.
    Source: k = 2.53 × 10¹¹ ln(r_max / r_min) / rpm², rotor handbooks, from memory.

    >>> round(clearing_factor(100, 100 * math.e, 1000) * 1000**2 / 1e11, 3)
    2.533
    """
    above("smallest radius", smallest_mm, 0, LARGEST_RADIUS_MM, "mm")
    above("largest radius", largest_mm, smallest_mm, LARGEST_RADIUS_MM, "mm")
    above("speed", rpm, 0, FASTEST_RPM, "rpm")
    return 1e13 * math.log(largest_mm / smallest_mm) / (3600 * rad_per_s(rpm) ** 2)
