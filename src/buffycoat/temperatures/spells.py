"""Times outside the band of a place, told from all its thermometers. Pure.

Nothing is known between readings: a spell lasts from the first reading outside to the first one inside again.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np

from buffycoat.science.warmth import (
    HEAT_OVER_GAS_K,
    ZERO_C_IN_K,
    Excursion,
    Reading,
    excursions,
    mean_kinetic_c,
)
from buffycoat.temperatures.bands import COLD, WARM, Band
from buffycoat.temperatures.series import Series


@dataclass(frozen=True, kw_only=True)
class Spell:
    """`ended_at` is None while it goes on; then `seen_until` is its last reading."""

    cause: str
    since: datetime
    seen_until: datetime
    ended_at: datetime | None
    extreme_centi_c: int

    @property
    def lasted(self) -> timedelta:
        return self.seen_until - self.since


def spells(readings: Iterable[Series], band: Band) -> list[Spell]:
    """Of all thermometers of a place; those of one cause that touch are one."""
    found = [
        _spell(each)
        for series in readings
        if len(series.times)
        for each in excursions(_those_that_count(series, band), band.low_c, band.high_c)
    ]
    return [
        spell for cause in (WARM, COLD) for spell in _merged([each for each in found if each.cause == cause])
    ]


def _those_that_count(series: Series, band: Band) -> list[Reading]:
    """Readings outside, and the one after each: all others change nothing, and a year has half a million."""
    centi_c = series.centi_c
    outside = (centi_c > band.high_centi_c) | (centi_c < band.low_centi_c)
    wanted = outside | np.append(False, outside[:-1])
    wanted[-1] = True
    return [
        Reading(datetime.fromtimestamp(at, UTC), value / 100)
        for at, value in zip(series.times[wanted].tolist(), centi_c[wanted].tolist(), strict=True)
    ]


def _spell(found: Excursion) -> Spell:
    return Spell(
        cause=WARM if found.above else COLD,
        since=found.start,
        seen_until=found.end,
        ended_at=found.end if found.over else None,
        extreme_centi_c=round(found.extreme_c * 100),
    )


def _merged(found: Sequence[Spell]) -> list[Spell]:
    merged: list[Spell] = []
    for spell in sorted(found, key=lambda each: each.since):
        before = merged[-1] if merged else None
        if before is None or (before.ended_at is not None and spell.since > before.ended_at):
            merged.append(spell)
            continue
        worst = max if spell.cause == WARM else min
        over = before.ended_at is not None and spell.ended_at is not None
        until = max(before.seen_until, spell.seen_until)
        merged[-1] = Spell(
            cause=spell.cause,
            since=before.since,
            seen_until=until,
            ended_at=until if over else None,
            extreme_centi_c=worst(before.extreme_centi_c, spell.extreme_centi_c),
        )
    return merged


def silences(readings: Iterable[Series], longest: timedelta) -> list[tuple[datetime, datetime]]:
    """Every pause of a place, in which none of its thermometers told anything, longer than allowed."""
    times = np.unique(np.concatenate([series.times for series in readings] or [np.zeros(0, np.int64)]))
    before = np.flatnonzero(np.diff(times) > longest.total_seconds())
    return [
        (datetime.fromtimestamp(int(times[n]), UTC), datetime.fromtimestamp(int(times[n + 1]), UTC))
        for n in before
    ]


def kinetic_c(series: Series, longest: timedelta) -> float | None:
    """Mean kinetic temperature; each reading weighs as long as it held, at most `longest`. None of fewer than two."""
    if len(series.times) < 2:
        return None
    held = np.minimum(np.diff(series.times), longest.total_seconds())
    values, which = np.unique(series.centi_c[:-1], return_inverse=True)
    weights = np.bincount(which, weights=held)
    return mean_kinetic_c([value / 100 for value in values.tolist()], weights.tolist())


def between_hands(read: Sequence[tuple[datetime, int, int, int]], band: Band) -> list[Spell]:
    """What the least and most that a thermometer kept since the last reading by hand tell: at some time, not when.

    Each is (at, now, least, most). The spell is taken to be as long as it can have been.
    """
    found: list[Spell] = []
    for (before, *_), (at, now, least, most) in pairwise([(read[0][0], 0, 0, 0), *read] if read else []):
        for cause, extreme in ((WARM, most), (COLD, least)):
            if not band.holds(extreme):
                over = band.holds(now)
                found.append(
                    Spell(
                        cause=cause,
                        since=before,
                        seen_until=at,
                        ended_at=at if over else None,
                        extreme_centi_c=extreme,
                    )
                )
    return [
        spell for cause in (WARM, COLD) for spell in _merged([each for each in found if each.cause == cause])
    ]


def worst_window(series: Series, window: timedelta, longest: timedelta) -> tuple[datetime, float] | None:
    """The end and mean kinetic temperature of the worst full window that ends at a reading.

    A running sum finds the window, and the plain definition tells its temperature.
    """
    times, centi_c = series
    if len(times) < 2 or times[-1] - times[0] < window.total_seconds():
        return None
    kelvin = centi_c[:-1] / 100 + ZERO_C_IN_K
    held = np.minimum(np.diff(times), longest.total_seconds())
    harm = np.append(0.0, np.cumsum(held * np.exp(HEAT_OVER_GAS_K * (1 / kelvin.max() - 1 / kelvin))))
    time = np.append(0.0, np.cumsum(held))
    ends = np.flatnonzero(times - times[0] >= window.total_seconds())
    starts = np.searchsorted(times, times[ends] - int(window.total_seconds()), "left")
    means = (harm[ends] - harm[starts]) / np.maximum(time[ends] - time[starts], 1)
    worst = int(np.argmax(means))
    low, high = int(starts[worst]), int(ends[worst])
    found = kinetic_c(Series(times[low : high + 1], centi_c[low : high + 1]), longest)
    return None if found is None else (datetime.fromtimestamp(int(times[high]), UTC), found)
