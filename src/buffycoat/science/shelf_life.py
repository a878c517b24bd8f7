"""Dating: how long a product keeps, across midnight, leap years and clock changes.

A period of days ends at 23:59 local time of the collection day plus n (the collection day is day 0); a period
of hours is elapsed time. Everything handed back is UTC: two aware times with the same zone object would
otherwise be subtracted as wall-clock time, an hour wrong over a clock change.
"""

import calendar
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import MAXYEAR, UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from buffycoat.science.errors import OutOfRange, whole, within

LAST_MINUTE: Final = time(23, 59)
MOST_DAYS: Final = 36_525
MOST_HOURS: Final = 24.0 * 366
MOST_YEARS: Final = 100
_NO_SUCH_YEAR: Final = "The calendar here runs from the year 1 to 9999: look at the year again."


def local_to_utc(local: datetime, zone: ZoneInfo, fold: int | None = None) -> datetime:
    """Turn a local wall-clock time into UTC, refusing a time that did not exist or happened twice.

    Arguments: local, without a zone; zone; fold, 0 or 1, of a time that happens twice.
    Raises: OutOfRange if the time is aware, never happened, or happened twice and no fold is given.
    Range: any date the zone's table knows.
    Source: PEP 495; the round trip through UTC is the test for a time that does not exist.

    >>> local_to_utc(datetime(2026, 6, 1, 12, 0), ZoneInfo("Europe/Berlin")).isoformat()
    '2026-06-01T10:00:00+00:00'
    >>> local_to_utc(datetime(2026, 3, 29, 2, 30), ZoneInfo("Europe/Berlin"))
    Traceback (most recent call last):
    ...
    buffycoat.science.errors.OutOfRange: 02:30 on 29 March 2026 did not happen here: the clocks went forward. \
Give the time on the clock.
    """
    if local.tzinfo is not None:
        raise OutOfRange("A local time is wanted, without a zone of its own.")
    if fold not in (None, 0, 1):
        raise OutOfRange("A time that happened twice is the first (0) or the second (1) of the two.")
    first, second = (_utc(local.replace(tzinfo=zone, fold=each)) for each in (0, 1))
    said = f"{local:%H:%M} on {local.day} {local:%B %Y}"
    if first.astimezone(zone).replace(tzinfo=None, fold=0) != local.replace(fold=0):
        raise OutOfRange(f"{said} did not happen here: the clocks went forward. Give the time on the clock.")
    if first == second:
        return first
    if fold is None:
        raise OutOfRange(
            f"{said} happened twice here: the clocks went back. Say if it was the first or the second."
        )
    return second if fold else first


def last_moment_of_day(drawn_at: datetime, days: int, zone: ZoneInfo) -> datetime:
    """Give the end of a period of days: 23:59 local time on the collection day plus `days`.

    Arguments: drawn_at, with its zone; days, whole, 0 to 36 525; zone, where the blood was collected.
    Raises: OutOfRange for a naive time, a fraction of a day, or a last day that the zone skipped.
    Range: where 23:59 happens twice the later one is meant, for it ends the day.
    Source: collection day is day 0, UK guidelines for blood services 6.5; day counts 21 CFR 610.53.

    >>> berlin = ZoneInfo("Europe/Berlin")
    >>> last_moment_of_day(datetime(2024, 1, 31, 9, 0, tzinfo=UTC), 35, berlin).astimezone(berlin).isoformat()
    '2024-03-06T23:59:00+01:00'
    """
    whole("number of days", days, 0, MOST_DAYS)
    with _calendar():
        return _end_of(_local_date(drawn_at, zone) + timedelta(days=days), zone)


def after_months(drawn_at: datetime, months: int, zone: ZoneInfo) -> datetime:
    """Give the end of a period of calendar months: 23:59 local on the same day of the month, or the month's last.

    Arguments: drawn_at, with its zone; months, whole, 0 to 1200; zone, where the blood was collected.
    Raises: OutOfRange for a naive time, a number of months outside the range, or an end after the year 9999.
    Range: calendar months, so the length in days varies.
    Source: calendar arithmetic; agrees with dateutil's relativedelta.

    >>> oslo = ZoneInfo("Europe/Oslo")
    >>> after_months(datetime(2025, 8, 31, 9, 0, tzinfo=UTC), 6, oslo).astimezone(oslo).date().isoformat()
    '2026-02-28'
    """
    whole("number of months", months, 0, 12 * MOST_YEARS)
    day = _local_date(drawn_at, zone)
    years, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + years, month + 1
    if year > MAXYEAR:
        raise OutOfRange(_NO_SUCH_YEAR)
    return _end_of(date(year, month, min(day.day, calendar.monthrange(year, month)[1])), zone)


def after_years(drawn_at: datetime, years: int, zone: ZoneInfo) -> datetime:
    """Give the end of a period of calendar years: 23:59 local, 29 February becoming 28 where there is none.

    Arguments: drawn_at, with its zone; years, whole, 0 to 100; zone, where the blood was collected.
    Raises: OutOfRange for a naive time, a number of years outside the range, or an end after the year 9999.
    Range: calendar years; 5 years from 29 February 2024 is 28 February 2029, not 1825 days.
    Source: calendar arithmetic; agrees with dateutil's relativedelta.

    >>> oslo = ZoneInfo("Europe/Oslo")
    >>> after_years(datetime(2024, 2, 29, 9, 0, tzinfo=UTC), 5, oslo).astimezone(oslo).date().isoformat()
    '2029-02-28'
    """
    whole("number of years", years, 0, MOST_YEARS)
    return after_months(drawn_at, 12 * years, zone)


def after_hours(start: datetime, hours: float) -> datetime:
    """Give the moment a number of hours of elapsed time after a start, whatever the clocks did meanwhile.

    Arguments: start, with its zone; hours, 0 to 8784.
    Raises: OutOfRange for a naive start or hours outside the range.
    Range: elapsed time; over a clock change the wall clock shows an hour more or less.
    Source: calendar arithmetic: elapsed time in UTC.

    >>> berlin = ZoneInfo("Europe/Berlin")
    >>> after_hours(datetime(2026, 3, 28, 20, 0, tzinfo=berlin), 8).astimezone(berlin).isoformat()
    '2026-03-29T05:00:00+02:00'
    """
    within("number of hours", hours, 0, MOST_HOURS)
    with _calendar():
        return _utc(start) + timedelta(hours=hours)


def elapsed(start: datetime, end: datetime) -> timedelta:
    """Give the time that passed between two moments, negative if the end lies before the start.

    Arguments: start and end, with their zones, which may differ.
    Raises: OutOfRange for a naive time.
    Range: any.
    Source: calendar arithmetic: subtraction in UTC.

    >>> berlin = ZoneInfo("Europe/Berlin")
    >>> elapsed(datetime(2026, 3, 28, 23, tzinfo=berlin), datetime(2026, 3, 29, 7, tzinfo=berlin))
    datetime.timedelta(seconds=25200)
    """
    return _utc(end) - _utc(start)


def shortest(*moments: datetime) -> datetime:
    """Give the earliest of several ends, for a product keeps no longer than the shortest-lived of its parts.

    Arguments: one or more moments with their zones.
    Raises: OutOfRange for none at all or a naive one.
    Range: any.
    Source: 21 CFR 610.50 and 610.53.

    >>> shortest(datetime(2026, 2, 12, tzinfo=UTC), datetime(2026, 2, 17, tzinfo=UTC)).isoformat()
    '2026-02-12T00:00:00+00:00'
    """
    if not moments:
        raise OutOfRange("There is no end to choose from.")
    return min(_utc(moment) for moment in moments)


def days_left(expires_at: datetime, at: datetime, zone: ZoneInfo) -> int:
    """Count the calendar days from a moment to an expiry: 0 on the last day, negative after it.

    Arguments: expires_at and at, with their zones; zone, whose midnights count.
    Raises: OutOfRange for a naive time.
    Range: whole local days, whatever the hour.
    Source: our own convention, the one people use when they look at a date.

    >>> berlin = ZoneInfo("Europe/Berlin")
    >>> days_left(datetime(2026, 3, 6, 22, 59, tzinfo=UTC), datetime(2026, 3, 1, 8, tzinfo=UTC), berlin)
    5
    """
    return (_local_date(expires_at, zone) - _local_date(at, zone)).days


def has_expired(expires_at: datetime, at: datetime) -> bool:
    """Say whether a moment lies after an expiry; the last moment itself is still good.

    Arguments: expires_at and at, with their zones. Raises: OutOfRange for a naive time.
    Range: to the microsecond; seconds after 23:59:00 of the last day are too late.
    Source: our own convention.

    >>> has_expired(datetime(2026, 3, 6, 22, 59, tzinfo=UTC), datetime(2026, 3, 6, 22, 59, tzinfo=UTC))
    False
    """
    return _utc(at) > _utc(expires_at)


@contextmanager
def _calendar() -> Iterator[None]:
    try:
        yield
    except OverflowError:
        raise OutOfRange(_NO_SUCH_YEAR) from None


def _utc(moment: datetime) -> datetime:
    if moment.utcoffset() is None:
        raise OutOfRange("A moment needs its zone; this one has none.")
    with _calendar():
        return moment.astimezone(UTC)


def _local_date(moment: datetime, zone: ZoneInfo) -> date:
    with _calendar():
        return _utc(moment).astimezone(zone).date()


def _end_of(day: date, zone: ZoneInfo) -> datetime:
    return local_to_utc(datetime.combine(day, LAST_MINUTE), zone, fold=1)
