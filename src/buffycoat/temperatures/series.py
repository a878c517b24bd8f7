"""Readings as two columns of numbers: seconds since 1970 in UTC, and hundredths of a degree Celsius."""

import hashlib
import zlib
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

DAY_S = 86_400
COLDEST_CENTI_C, WARMEST_CENTI_C = -10_000, 10_000


class Series(NamedTuple):
    """In order of time, no moment twice."""

    times: NDArray[np.int64]
    centi_c: NDArray[np.int16]


class Conflict(ValueError):
    """Two temperatures for one moment."""


def series_of(pairs: Iterable[tuple[datetime, int]]) -> Series:
    found = list(pairs)
    times = np.array([int(at.timestamp()) for at, _ in found], np.int64)
    return in_order(Series(times, np.array([centi_c for _, centi_c in found], np.int16)))


NONE = Series(np.zeros(0, np.int64), np.zeros(0, np.int16))


def in_order(series: Series) -> Series:
    """Sorted, each reading once. Raises: Conflict."""
    times, centi_c = series
    if len(times) and not bool((times[1:] > times[:-1]).all()):
        order = np.argsort(times, kind="stable")
        times, centi_c = times[order], centi_c[order]
        same = np.append(False, times[1:] == times[:-1])
        unlike = same & np.append(False, centi_c[1:] != centi_c[:-1])
        if unlike.any():
            place = int(np.flatnonzero(unlike)[0])
            at = datetime.fromtimestamp(int(times[place]), UTC)
            raise Conflict(
                f"At {at:%H:%M:%S} UTC on {at.day} {at:%b %Y} there are two temperatures: {centi_c[place - 1] / 100:g} "
                f"and {centi_c[place] / 100:g} °C."
            )
        times, centi_c = times[~same], centi_c[~same]
    return Series(np.ascontiguousarray(times, np.int64), np.ascontiguousarray(centi_c, np.int16))


def joined(parts: Iterable[Series]) -> Series:
    """Raises: Conflict."""
    found = list(parts)
    if not found:
        return NONE
    return in_order(
        Series(
            np.concatenate([each.times for each in found]), np.concatenate([each.centi_c for each in found])
        )
    )


def joined_loosely(parts: Iterable[Series]) -> Series:
    """Of several thermometers, for figures over all of them: the same moment may come twice."""
    found = list(parts)
    times, centi_c = (
        np.concatenate([each.times for each in found]),
        np.concatenate([each.centi_c for each in found]),
    )
    order = np.argsort(times, kind="stable")
    return Series(times[order], centi_c[order])


def between(series: Series, start: datetime, end: datetime) -> Series:
    """From start, up to and with end."""
    low = int(np.searchsorted(series.times, int(start.timestamp()), "left"))
    high = int(np.searchsorted(series.times, int(end.timestamp()), "right"))
    return Series(series.times[low:high], series.centi_c[low:high])


def by_day(series: Series) -> Iterator[tuple[int, Series]]:
    """Day since 1970 in UTC, and its readings."""
    if not len(series.times):
        return
    days = series.times // DAY_S
    cuts = [0, *(np.flatnonzero(days[1:] != days[:-1]) + 1).tolist(), len(days)]
    for low, high in pairwise(cuts):
        yield int(days[low]), Series(series.times[low:high], series.centi_c[low:high])


def packed(series: Series) -> bytes:
    """One day's readings: steps in seconds and temperatures, little-endian, deflated."""
    steps = np.diff(series.times, prepend=series.times[0] // DAY_S * DAY_S).astype("<i4")
    return zlib.compress(steps.tobytes() + series.centi_c.astype("<i2").tobytes(), 1)


def unpacked(day: int, data: bytes) -> Series:
    raw = zlib.decompress(data)
    count = len(raw) // 6
    steps = np.frombuffer(raw, "<i4", count)
    centi_c = np.frombuffer(raw, "<i2", count, offset=4 * count)
    return Series(day * DAY_S + np.cumsum(steps, dtype=np.int64), centi_c.astype(np.int16))


def digest(parts: Iterable[tuple[str, Series]]) -> str:
    """SHA-256 over `name`, then `seconds hundredths` of each reading, a line each: anybody can make it again."""
    made = hashlib.sha256()
    for name, series in parts:
        lines = (
            f"{at} {value}\n"
            for at, value in zip(series.times.tolist(), series.centi_c.tolist(), strict=True)
        )
        made.update(f"{name}\n{''.join(lines)}".encode())
    return made.hexdigest()
