"""Dating against the regulations' day counts, and hour limits over every kind of clock change."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.science.errors import OutOfRange
from buffycoat.science.shelf_life import (
    after_hours,
    after_months,
    after_years,
    days_left,
    elapsed,
    has_expired,
    last_moment_of_day,
    local_to_utc,
    shortest,
)

BERLIN, LONDON, NEW_YORK = ZoneInfo("Europe/Berlin"), ZoneInfo("Europe/London"), ZoneInfo("America/New_York")
ZONES = [
    BERLIN,
    LONDON,
    NEW_YORK,
    ZoneInfo("Australia/Lord_Howe"),
    ZoneInfo("Asia/Kathmandu"),
    ZoneInfo("UTC"),
]
NAIVE = datetime.fromisoformat("2026-01-01")
zones = st.sampled_from(ZONES)
moments = st.datetimes(
    datetime.fromisoformat("2000-01-01"), datetime.fromisoformat("2090-01-01"), timezones=st.just(UTC)
)


def drawn(day: str, zone: ZoneInfo = BERLIN, at: str = "10:30") -> datetime:
    return datetime.fromisoformat(f"{day}T{at}").replace(tzinfo=zone)


def last_day(end: datetime, zone: ZoneInfo = BERLIN) -> str:
    local = end.astimezone(zone)
    assert (23, 59, 0) == (local.hour, local.minute, local.second)
    return local.date().isoformat()


@pytest.mark.parametrize(
    ("day", "days", "end"),
    [
        ("2024-01-31", 35, "2024-03-06"),
        ("2024-01-31", 42, "2024-03-13"),
        ("2024-01-29", 21, "2024-02-19"),
        ("2026-02-28", 35, "2026-04-04"),
        ("2024-12-01", 35, "2025-01-05"),
        ("2023-12-31", 5, "2024-01-05"),
        ("2024-02-10", 21, "2024-03-02"),
        ("2024-02-10", 35, "2024-03-16"),
        ("2024-02-10", 42, "2024-03-23"),
    ],
)
def test_9_1_and_9_4_day_counts_from_the_collection_day(day: str, days: int, end: str) -> None:
    # Day counts of 21 CFR 610.53; dates by the calendar.
    assert end == last_day(last_moment_of_day(drawn(day), days, BERLIN))


@pytest.mark.parametrize(
    ("at", "day"), [("00:00", "2026-06-10"), ("00:01", "2026-06-10"), ("23:59", "2026-06-10")]
)
def test_9_3_the_collection_day_is_day_nought_whatever_the_hour(at: str, day: str) -> None:
    # UK guidelines for blood services 6.5.
    assert day == last_day(last_moment_of_day(drawn("2026-06-10", at=at), 0, BERLIN))
    assert "2026-06-11" == last_day(last_moment_of_day(drawn("2026-06-10", at=at), 1, BERLIN))


def test_9_3_the_day_is_that_of_the_zone_of_the_draw() -> None:
    late = datetime(2026, 6, 10, 23, 30, tzinfo=UTC)
    assert "2026-06-11" == last_day(last_moment_of_day(late, 0, BERLIN))
    assert "2026-06-10" == last_day(last_moment_of_day(late, 0, NEW_YORK), NEW_YORK)


def test_9_2_and_9_5_irradiation_never_lengthens() -> None:
    # 21 CFR 610.50 and 610.53: 28 days from irradiation or the original dating, whichever is shorter.
    original = last_moment_of_day(drawn("2026-01-01"), 42, BERLIN)
    irradiated = last_moment_of_day(drawn("2026-01-20"), 28, BERLIN)
    assert "2026-02-17" == last_day(irradiated)
    assert "2026-02-12" == last_day(shortest(original, irradiated))


@pytest.mark.parametrize(("whole_blood_days", "end"), [(21, "2026-03-27"), (35, "2026-04-10")])
def test_9_6_liquid_plasma_keeps_five_days_longer_than_its_blood(whole_blood_days: int, end: str) -> None:
    # 21 CFR 610.53: 26 days with citrate-phosphate-dextrose, 40 with adenine.
    assert end == last_day(last_moment_of_day(drawn("2026-03-01"), whole_blood_days + 5, BERLIN))


@pytest.mark.parametrize(
    ("day", "years", "end"),
    [("2024-02-29", 1, "2025-02-28"), ("2024-02-29", 5, "2029-02-28"), ("2020-02-29", 4, "2024-02-29")],
)
def test_9_8_leap_days_and_calendar_years(day: str, years: int, end: str) -> None:
    # Agrees with dateutil's relativedelta.
    assert end == last_day(after_years(drawn(day), years, BERLIN))


def test_9_8_years_counted_in_days_would_end_a_day_early() -> None:
    assert "2029-02-27" == last_day(last_moment_of_day(drawn("2024-02-29"), 1825, BERLIN))
    assert "2024-02-28" == last_day(last_moment_of_day(drawn("2020-02-29"), 1460, BERLIN))


@pytest.mark.parametrize(
    ("day", "months", "end"),
    [("2025-08-31", 6, "2026-02-28"), ("2023-08-31", 6, "2024-02-29"), ("2026-01-31", 36, "2029-01-31"),
     ("2026-12-15", 1, "2027-01-15"), ("2026-12-31", 0, "2026-12-31")],
)  # fmt: skip
def test_months_end_on_the_same_day_or_the_last(day: str, months: int, end: str) -> None:
    assert end == last_day(after_months(drawn(day), months, BERLIN))


@pytest.mark.parametrize(
    ("zone", "start", "hours", "end", "naive"),
    [
        (BERLIN, "2026-03-28T20:00", 8, "2026-03-29T05:00:00+02:00", "04:00"),
        (BERLIN, "2026-10-24T20:00", 8, "2026-10-25T03:00:00+01:00", "04:00"),
        (NEW_YORK, "2026-03-08T00:30", 8, "2026-03-08T09:30:00-04:00", "08:30"),
        (LONDON, "2026-03-28T18:30", 24, "2026-03-29T19:30:00+01:00", "18:30"),
    ],
)
def test_15_1_to_15_6_an_hour_limit_is_elapsed_time(
    zone: ZoneInfo, start: str, hours: int, end: str, naive: str
) -> None:
    # zoneinfo with tzdata 2026; the wall-clock answer would be an hour wrong.
    begin = datetime.fromisoformat(start).replace(tzinfo=zone)
    assert end == after_hours(begin, hours).astimezone(zone).isoformat()
    assert naive == f"{begin + timedelta(hours=hours):%H:%M}"


def test_15_9_a_time_that_did_not_exist_is_refused() -> None:
    with pytest.raises(
        OutOfRange, match="02:30 on 29 March 2026 did not happen here: the clocks went forward"
    ):
        local_to_utc(datetime.fromisoformat("2026-03-29T02:30"), BERLIN)


def test_a_time_that_happened_twice_needs_first_or_second() -> None:
    twice = datetime.fromisoformat("2026-10-25T02:30")
    with pytest.raises(
        OutOfRange, match="02:30 on 25 October 2026 happened twice here: the clocks went back"
    ):
        local_to_utc(twice, BERLIN)
    assert datetime(2026, 10, 25, 0, 30, tzinfo=UTC) == local_to_utc(twice, BERLIN, fold=0)
    assert datetime(2026, 10, 25, 1, 30, tzinfo=UTC) == local_to_utc(twice, BERLIN, fold=1)


@pytest.mark.parametrize(("day", "hours"), [("2026-03-29", 23), ("2026-10-25", 25), ("2026-06-01", 24)])
def test_15_10_lengths_of_days(day: str, hours: int) -> None:
    begin = drawn(day, at="00:00")
    end = (begin.replace(tzinfo=None) + timedelta(days=1)).replace(tzinfo=BERLIN)
    assert timedelta(hours=hours) == elapsed(begin, end)


@pytest.mark.parametrize(("night", "hours"), [(28, 7), (27, 8)])
def test_15_11_a_night_in_march(night: int, hours: int) -> None:
    begin = datetime(2026, 3, night, 23, tzinfo=BERLIN)
    assert timedelta(hours=hours) == elapsed(begin, datetime(2026, 3, night + 1, 7, tzinfo=BERLIN))


def test_15_11_a_night_in_october() -> None:
    begin, end = datetime(2026, 10, 24, 23, tzinfo=BERLIN), datetime(2026, 10, 25, 7, tzinfo=BERLIN)
    assert timedelta(hours=9) == elapsed(begin, end)
    assert timedelta(hours=8) == end - begin


def test_where_the_last_minute_happens_twice_the_later_one_ends_the_day() -> None:
    # Brazil put its clocks back at midnight until 2019.
    sao_paulo = ZoneInfo("America/Sao_Paulo")
    end = last_moment_of_day(datetime(2018, 2, 17, 12, tzinfo=UTC), 0, sao_paulo)
    assert datetime(2018, 2, 18, 2, 59, tzinfo=UTC) == end


def test_a_day_that_the_zone_skipped_has_no_last_moment() -> None:
    # Samoa had no 30 December 2011.
    with pytest.raises(OutOfRange, match="did not happen here"):
        last_moment_of_day(
            datetime(2011, 12, 29, 12, tzinfo=ZoneInfo("Pacific/Apia")), 1, ZoneInfo("Pacific/Apia")
        )


@given(moments, st.integers(0, 3_000), zones)
def test_a_period_of_days_ends_that_many_days_on_and_is_counted_down(
    at: datetime, days: int, zone: ZoneInfo
) -> None:
    end = last_moment_of_day(at, days, zone)
    assert days == days_left(end, at, zone)
    assert UTC == end.tzinfo
    assert timedelta(days=days - 1, hours=22) < end - at < timedelta(days=days + 1, hours=2) or days == 0


@given(moments, st.integers(0, 100), zones)
def test_years_keep_the_day_of_the_year(at: datetime, years: int, zone: ZoneInfo) -> None:
    begin, end = at.astimezone(zone).date(), after_years(at, years, zone).astimezone(zone).date()
    assert begin.year + years == end.year
    assert (begin.month, begin.day) == (end.month, end.day) or ((2, 29), (2, 28)) == (
        (begin.month, begin.day),
        (end.month, end.day),
    )


@given(moments, st.floats(0, 2_000), zones)
def test_hours_are_the_same_in_every_zone(at: datetime, hours: float, zone: ZoneInfo) -> None:
    assert after_hours(at, hours) == after_hours(at.astimezone(zone), hours)
    assert elapsed(at.astimezone(zone), after_hours(at, hours)).total_seconds() == pytest.approx(
        hours * 3600, abs=1e-5
    )


@given(moments, zones)
def test_every_moment_that_happened_can_be_read_back_from_the_clock(at: datetime, zone: ZoneInfo) -> None:
    local = at.astimezone(zone)
    assert at == local_to_utc(local.replace(tzinfo=None, fold=0), zone, fold=local.fold)


@given(st.lists(moments, min_size=1, max_size=6))
def test_the_shortest_is_one_of_them_and_none_is_shorter(ends: list[datetime]) -> None:
    assert sorted(ends)[0] == shortest(*reversed(ends))


def test_days_left_are_calendar_days_and_go_below_nought() -> None:
    end = last_moment_of_day(drawn("2026-03-01"), 10, BERLIN)
    assert [10, 1, 0, -1] == [
        days_left(end, drawn(f"2026-03-{day:02d}", at=at), BERLIN)
        for day, at in ((1, "23:58"), (10, "00:00"), (11, "23:59"), (12, "00:00"))
    ]


def test_the_last_moment_is_still_good_and_the_next_is_not() -> None:
    end = last_moment_of_day(drawn("2026-03-01"), 10, BERLIN)
    assert [False, True] == [has_expired(end, end), has_expired(end, end + timedelta(microseconds=1))]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: last_moment_of_day(NAIVE, 21, BERLIN), "needs its zone"),
        (lambda: last_moment_of_day(drawn("2026-01-01"), -1, BERLIN), "number of days"),
        (lambda: last_moment_of_day(drawn("2026-01-01"), 2.5, BERLIN), "number of days"),
        (lambda: after_months(drawn("2026-01-01"), -1, BERLIN), "number of months"),
        (lambda: after_years(drawn("2026-01-01"), 101, BERLIN), "number of years"),
        (lambda: after_hours(NAIVE, 8), "needs its zone"),
        (lambda: after_hours(drawn("2026-01-01"), -8), "number of hours"),
        (lambda: after_hours(drawn("2026-01-01"), float("nan")), "number of hours"),
        (lambda: shortest(), "no end to choose"),
        (lambda: shortest(NAIVE), "needs its zone"),
        (lambda: local_to_utc(drawn("2026-01-01"), BERLIN), "without a zone"),
        (lambda: local_to_utc(NAIVE, BERLIN, fold=2), "first"),
        (lambda: has_expired(NAIVE, drawn("2026-01-01")), "needs its zone"),
    ],
)
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: after_months(drawn("9999-12-01"), 1, BERLIN),
        lambda: after_years(drawn("9999-01-01"), 1, BERLIN),
        lambda: after_years(drawn("9950-01-01"), 100, NEW_YORK),
        lambda: last_moment_of_day(drawn("9999-12-30"), 3, BERLIN),
        lambda: last_moment_of_day(drawn("9999-12-31", NEW_YORK), 0, NEW_YORK),
        lambda: after_hours(drawn("9999-12-31"), 24),
        lambda: days_left(drawn("9999-12-31", NEW_YORK, "23:00"), drawn("2026-01-01"), BERLIN),
        lambda: has_expired(datetime(1, 1, 1, tzinfo=BERLIN), drawn("2026-01-01")),
    ],
)
def test_what_lies_outside_the_calendar_is_refused(wrong) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match="from the year 1 to 9999"):
        wrong()


def test_the_last_day_of_the_calendar_is_still_a_day() -> None:
    assert "9999-12-31" == last_day(after_years(drawn("9998-12-31"), 1, BERLIN))
    assert "9999-12-30" == last_day(after_months(drawn("9999-11-30"), 1, BERLIN))


def test_the_ends_of_the_ranges_are_themselves_allowed() -> None:
    begin = drawn("1990-01-01")
    assert "2090-01-01" == last_day(last_moment_of_day(begin, 36_525, BERLIN))
    assert "2090-01-01" == last_day(after_months(begin, 1_200, BERLIN))
    assert "2090-01-01" == last_day(after_years(begin, 100, BERLIN))
    assert timedelta(days=366) == elapsed(begin, after_hours(begin, 366 * 24))
    for wrong in (
        lambda: last_moment_of_day(begin, 36_526, BERLIN),
        lambda: after_months(begin, 1_201, BERLIN),
        lambda: after_hours(begin, 366 * 24 + 0.01),
    ):
        with pytest.raises(OutOfRange, match="must be"):
            wrong()
