"""What a run of temperatures means: excursions, gaps, and mean kinetic temperature over a stated window."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final, NamedTuple

from buffycoat.science.errors import OutOfRange, within

ZERO_C_IN_K: Final = 273.15
HEAT_OVER_GAS_K: Final = 10_000.0


class Reading(NamedTuple):
    """A temperature at an aware moment; it is taken to hold until the next reading."""

    at: datetime
    temperature_c: float


@dataclass(frozen=True, kw_only=True)
class Excursion:
    """A time outside the limits: the first reading outside to the next one inside, or to the last reading."""

    start: datetime
    end: datetime
    extreme_c: float
    above: bool
    over: bool

    @property
    def lasted(self) -> timedelta:
        """From start to end."""
        return self.end - self.start


class Kinetic(NamedTuple):
    """The mean kinetic temperature of a window that ends at a moment."""

    until: datetime
    temperature_c: float


def mean_kinetic_c(
    temperatures_c: Sequence[float],
    weights: Sequence[float] | None = None,
    heat_over_gas_k: float = HEAT_OVER_GAS_K,
) -> float:
    """Give the one temperature that would do as much harm as a run of them.

    MKT = (ΔH/R) / −ln(Σ w e^(−ΔH/RT) / Σ w). Arguments: temperatures_c, −100 to 100 °C; weights, the times, none
    negative; heat_over_gas_k, 83.144 kJ/mol over 8.3144 J/mol/K unless the product has its own.
    Raises: OutOfRange for none, weights that do not match, or values outside those ranges.
    Range: never a release rule for blood; a long window hides a short excursion.
    Source: definition of the pharmacopoeias, from memory; 20 and 30 °C give 26.26.

    >>> round(mean_kinetic_c([20, 30]), 6), round(mean_kinetic_c([4, 14], [23, 1]), 6)
    (26.259887, 4.767094)
    """
    times = [1.0] * len(temperatures_c) if weights is None else list(weights)
    if len(times) != len(temperatures_c):
        raise OutOfRange("Each temperature needs its own weight.")
    for weight in times:
        within("weight", weight, 0, 1e12)
    if not math.fsum(times) > 0:
        raise OutOfRange("There is no time to take a mean over.")
    within("heat over gas constant", heat_over_gas_k, 1_000, 50_000, "K")
    kelvin = [within("temperature", each, -100, 100, "°C") + ZERO_C_IN_K for each in temperatures_c]
    # Against the warmest, so that the exponentials of a deep freezer do not vanish.
    top = max(kelvin)
    harm = math.fsum(
        time * math.exp(heat_over_gas_k * (1 / top - 1 / each))
        for time, each in zip(times, kelvin, strict=True)
    )
    return 1 / (1 / top - math.log(harm / math.fsum(times)) / heat_over_gas_k) - ZERO_C_IN_K


def kinetic_windows(readings: Sequence[Reading], window: timedelta) -> tuple[Kinetic, ...]:
    """Give the mean kinetic temperature of every full window that ends at a reading.

    Arguments: readings, in order of time; window, longer than nought: a day for the cold, 30 days for rooms.
    Raises: OutOfRange for fewer than two readings, a wrong order, or readings that do not fill one window.
    Range: a window must hold the excursion it is asked about; a year hides a bad month.
    Source: a pharmacopoeia's discussion paper, 44(4), as reported: 23.98 °C over 52 weeks hid 28.98 °C in 30 days.

    >>> from datetime import UTC
    >>> hours = [Reading(datetime(2026, 6, 1, h, tzinfo=UTC), 14 if h == 5 else 4) for h in range(24)]
    >>> [round(each.temperature_c, 2) for each in kinetic_windows(hours, timedelta(hours=22))]
    [4.83, 4.83]
    """
    _in_order(readings)
    if window <= timedelta(0):
        raise OutOfRange("The window must be longer than nought.")
    found = []
    for last in range(1, len(readings)):
        until = readings[last].at
        start = until - window
        if start < readings[0].at:
            continue
        held = [
            (now.temperature_c, (min(then.at, until) - max(now.at, start)).total_seconds())
            for now, then in pairwise(readings[: last + 1])
            if then.at > start
        ]
        found.append(Kinetic(until, mean_kinetic_c([each[0] for each in held], [each[1] for each in held])))
    if not found:
        raise OutOfRange("The readings do not fill one window.")
    return tuple(found)


def excursions(readings: Sequence[Reading], low_c: float, high_c: float) -> tuple[Excursion, ...]:
    """Find every time outside the limits; a reading on a limit is inside.

    Arguments: readings, in order of time, at least one; low_c and high_c, −200 to 100 °C in that order.
    Raises: OutOfRange for no reading, a wrong order or wrong limits.
    Range: nothing is known between readings; use `gaps` beside it. One that still goes on at the end is not over.
    Source: our own convention.

    >>> from datetime import UTC
    >>> run = [Reading(datetime(2026, 6, 1, 8, 10 * n, tzinfo=UTC), c) for n, c in enumerate([4, 7, 9, 6, 1])]
    >>> [(str(each.lasted), each.extreme_c, each.above, each.over) for each in excursions(run, 2, 6)]
    [('0:20:00', 9, True, True), ('0:00:00', 1, False, False)]
    """
    _in_order(readings, fewest=1)
    within("lower limit", low_c, -200, 100, "°C")
    within("upper limit", high_c, low_c, 100, "°C")
    found: list[Excursion] = []
    open_since: list[Reading] = []
    for reading in readings:
        side = (reading.temperature_c > high_c) - (reading.temperature_c < low_c)
        if open_since and side != (1 if open_since[0].temperature_c > high_c else -1):
            found.append(_excursion(open_since, reading.at, high_c, over=True))
            open_since = []
        if side:
            open_since.append(reading)
    if open_since:
        found.append(_excursion(open_since, readings[-1].at, high_c, over=False))
    return tuple(found)


def gaps(readings: Sequence[Reading], longest: timedelta) -> tuple[tuple[datetime, datetime], ...]:
    """Find every pause between readings longer than allowed: a time nobody can vouch for.

    Arguments: readings in order; longest, the longest pause allowed.
    Raises: OutOfRange for no reading or a wrong order.
    Range: a pause of exactly the longest is allowed; it says nothing of the time before the first or after the last.
    Source: our own convention.

    >>> from datetime import UTC
    >>> run = [Reading(datetime(2026, 6, 1, h, tzinfo=UTC), 4) for h in (8, 9, 12)]
    >>> [(start.hour, end.hour) for start, end in gaps(run, timedelta(hours=1))]
    [(9, 12)]
    """
    _in_order(readings, fewest=1)
    return tuple((now.at, then.at) for now, then in pairwise(readings) if then.at - now.at > longest)


def _excursion(outside: list[Reading], end: datetime, high_c: float, *, over: bool) -> Excursion:
    too_warm = outside[0].temperature_c > high_c
    extreme = (max if too_warm else min)(reading.temperature_c for reading in outside)
    return Excursion(start=outside[0].at, end=end, extreme_c=extreme, above=too_warm, over=over)


def _in_order(readings: Sequence[Reading], fewest: int = 2) -> None:
    if len(readings) < fewest:
        raise OutOfRange(f"At least {fewest} readings are needed.")
    for reading in readings:
        within("temperature", reading.temperature_c, -200, 100, "°C")
        if reading.at.utcoffset() is None:
            raise OutOfRange("A reading needs a moment with its zone.")
    for now, then in pairwise(readings):
        if then.at <= now.at:
            raise OutOfRange("The readings are not in order of time.")
