"""Clock times of a logger that is set to the site's clocks, as seconds in UTC, also over a change of the clocks."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from buffycoat.temperatures.formats import Unclear

DAY_S = 86_400
EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - a clock on the wall has no zone


def to_utc(local_s: NDArray[np.int64], zone: ZoneInfo) -> NDArray[np.int64]:
    """`local_s` are seconds of the wall clock since 1970, in the order of the file.

    An hour that comes twice in autumn is told by that order; one that spring leaves out cannot have been.
    Raises: Unclear.
    """
    days, day_of = np.unique(local_s // DAY_S, return_inverse=True)
    offsets = np.array([_offset_of_day(int(day), zone) for day in days], np.int64)
    found = local_s - offsets[day_of]
    changing = offsets == _CHANGES
    if changing.any():
        for place in np.flatnonzero(changing[day_of]):
            before = int(found[place - 1]) if place else None
            found[place] = _one(int(local_s[place]), before, zone)
    return found


_CHANGES = 1 << 40


def _offset_of_day(day: int, zone: ZoneInfo) -> int:
    start, end = (_offset(day * DAY_S, zone), _offset((day + 1) * DAY_S, zone))
    return start if start == end else _CHANGES


def _offset(local_s: int, zone: ZoneInfo, fold: int = 0) -> int:
    offset = _wall(local_s, zone, fold).utcoffset()
    assert offset is not None
    return int(offset.total_seconds())


def _wall(local_s: int, zone: ZoneInfo, fold: int) -> datetime:
    return (EPOCH + timedelta(seconds=local_s)).replace(tzinfo=zone, fold=fold)


def _one(local_s: int, before: int | None, zone: ZoneInfo) -> int:
    first, second = (local_s - _offset(local_s, zone, fold) for fold in (0, 1))
    if first > second:  # fold 0 is then the later of two that were not
        wall = _wall(local_s, zone, 0)
        raise Unclear(
            f"{wall:%H:%M} on {wall.day} {wall:%b %Y} was left out when the clocks went forward, so this logger's "
            "clock is not changed with them: say how far it is from UTC."
        )
    return second if before is not None and first <= before and second > before else first
