"""Ends after changes of state, by the regulations' periods, and how late plasma is called."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.science.changes_of_state import end_after_changes, plasma_frozen_as
from buffycoat.science.errors import OutOfRange
from buffycoat.science.shelf_life import after_years, last_moment_of_day

BERLIN = ZoneInfo("Europe/Berlin")


def berlin(said: str, fold: int = 0) -> datetime:
    return datetime.fromisoformat(said).replace(tzinfo=BERLIN, fold=fold)


DRAWN = berlin("2026-01-01T09:00")
IN_ADDITIVE, WITHOUT = (last_moment_of_day(DRAWN, days, BERLIN) for days in (42, 21))


def told(**changes: object) -> tuple[str, str]:
    end = end_after_changes(IN_ADDITIVE, BERLIN, **changes)  # type: ignore[arg-type]
    return end.ends_at.astimezone(BERLIN).isoformat(), end.because


def test_unchanged_it_ends_by_itself() -> None:
    assert ("2026-02-12T23:59:00+01:00", "its own end") == told()


@pytest.mark.parametrize(
    ("irradiated", "end", "because"),
    [
        ("2026-01-20T12:00", "2026-02-12T23:59:00+01:00", "its own end"),
        ("2026-01-15T12:00", "2026-02-12T23:59:00+01:00", "its own end"),
        ("2026-01-14T23:59", "2026-02-11T23:59:00+01:00", "28 days after it was irradiated"),
    ],
)
def test_9_5_irradiation_gives_28_days_or_its_own_end_whichever_is_shorter(
    irradiated: str, end: str, because: str
) -> None:
    # 21 CFR 610.53; collected on 1 January 2026, 42 days.
    assert (end, because) == told(irradiated_at=berlin(irradiated))


def test_9_1_an_opened_bag_keeps_24_hours_that_passed() -> None:
    # 21 CFR 610.53; on 28 March 2026 the clocks go forward in the night.
    end = end_after_changes(
        last_moment_of_day(berlin("2026-03-20T09:00"), 42, BERLIN), BERLIN, opened_at=berlin("2026-03-28T18:30")
    )  # fmt: skip
    assert ("2026-03-29T19:30:00+02:00", "24 hours after it was opened") == (
        end.ends_at.astimezone(BERLIN).isoformat(), end.because,
    )  # fmt: skip


def test_9_1_a_lost_additive_takes_the_end_back_to_that_without_it() -> None:
    # 21 CFR 610.53: red cells 42 days in additive and 21 without, after citrate-phosphate-dextrose.
    assert ("2026-01-22T23:59:00+01:00", "its additive was lost") == told(end_without_additive=WITHOUT)


def test_9_2_of_several_changes_the_shortest_counts() -> None:
    # 21 CFR 610.50.
    changes = {
        "end_without_additive": WITHOUT,
        "irradiated_at": berlin("2026-01-02T10:00"),
        "irradiated_days": 14,
        "opened_at": berlin("2026-01-03T10:00"),
        "opened_hours": 4,
        "thawed_at": berlin("2026-01-03T09:00"),
        "thawed_hours": 4.5,
    }
    assert ("2026-01-03T13:30:00+01:00", "4.5 hours after it was thawed") == told(**changes)
    del changes["thawed_at"]
    assert ("2026-01-03T14:00:00+01:00", "4 hours after it was opened") == told(**changes)
    del changes["opened_at"]
    assert ("2026-01-16T23:59:00+01:00", "14 days after it was irradiated") == told(**changes)


def test_frozen_plasma_keeps_24_hours_after_a_thaw() -> None:
    # UK guidelines for blood services; in the night of 25 October 2026 the clocks go back.
    end = end_after_changes(after_years(DRAWN, 1, BERLIN), BERLIN, thawed_at=berlin("2026-10-24T20:00"))
    assert ("2026-10-25T19:00:00+01:00", "24 hours after it was thawed") == (
        end.ends_at.astimezone(BERLIN).isoformat(), end.because,
    )  # fmt: skip


@given(st.dictionaries(st.sampled_from(["irradiated_at", "opened_at", "thawed_at"]), st.integers(0, 42 * 24)))
def test_no_change_ever_lengthens(hours: dict[str, int]) -> None:
    changes = {change: DRAWN.astimezone(UTC) + timedelta(hours=after) for change, after in hours.items()}
    end = end_after_changes(IN_ADDITIVE, BERLIN, **changes)  # type: ignore[arg-type]
    assert end.ends_at <= IN_ADDITIVE
    assert (end.ends_at == IN_ADDITIVE) == (end.because == "its own end")


@pytest.mark.parametrize("change", ["irradiated", "opened", "thawed"])
def test_what_has_ended_is_not_changed_any_more(change: str) -> None:
    end_after_changes(IN_ADDITIVE, BERLIN, **{f"{change}_at": IN_ADDITIVE})  # type: ignore[arg-type]
    with pytest.raises(OutOfRange, match=f"had reached its own end before it was {change}"):
        end_after_changes(
            IN_ADDITIVE, BERLIN, **{f"{change}_at": IN_ADDITIVE + timedelta(seconds=1)}  # type: ignore[arg-type]
        )  # fmt: skip


@pytest.mark.parametrize(
    ("frozen", "name"),
    [
        ("2026-01-01T09:00:00", "fresh frozen plasma"),
        ("2026-01-01T17:00:00", "fresh frozen plasma"),
        ("2026-01-01T17:00:01", "plasma frozen within 24 hours"),
        ("2026-01-02T09:00:00", "plasma frozen within 24 hours"),
        ("2026-01-02T09:00:01", "plasma"),
    ],
)
def test_9_1_plasma_frozen_late_is_not_fresh_frozen(frozen: str, name: str) -> None:
    assert name == plasma_frozen_as(DRAWN, berlin(frozen))


@pytest.mark.parametrize(
    ("hours", "name"), [(1, "plasma frozen within 24 hours"), (6, "fresh frozen plasma"), (24, "fresh frozen plasma")]
)  # fmt: skip
def test_the_hours_of_fresh_plasma_are_those_of_the_site(hours: float, name: str) -> None:
    assert name == plasma_frozen_as(DRAWN, berlin("2026-01-01T15:00"), hours)


def test_15_1_the_hours_to_the_freezer_are_those_that_passed() -> None:
    # Drawn at 20:00 before the clocks go forward: eight hours end at 05:00, not 04:00.
    assert "fresh frozen plasma" == plasma_frozen_as(berlin("2026-03-28T20:00"), berlin("2026-03-29T05:00"))
    assert "plasma frozen within 24 hours" == plasma_frozen_as(
        berlin("2026-10-24T20:00"), berlin("2026-10-25T03:01")
    )


def test_9_1_fresh_frozen_plasma_past_its_year_is_plasma_to_the_end_of_the_fifth() -> None:
    # 21 CFR 610.53: one year, and five.
    ends = [after_years(DRAWN, years, BERLIN).astimezone(BERLIN).date().isoformat() for years in (1, 5)]
    assert ["2027-01-01", "2031-01-01"] == ends


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (lambda: plasma_frozen_as(DRAWN, berlin("2026-01-01T08:59:59")), "before it was drawn"),
        (lambda: plasma_frozen_as(DRAWN, DRAWN, 0.9), "hours of fresh plasma must be between 1 and 24 h"),
        (lambda: plasma_frozen_as(DRAWN, DRAWN, 24.1), "hours of fresh plasma must be between 1 and 24 h"),
        (lambda: told(irradiated_at=DRAWN, irradiated_days=-1), "number of days must be"),
        (lambda: told(opened_at=DRAWN, opened_hours=-1), "number of hours must be"),
        (lambda: end_after_changes(datetime.fromisoformat("2026-02-12"), BERLIN), "needs its zone"),
    ],
)
def test_values_outside_the_range_are_refused(wrong, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(OutOfRange, match=words):
        wrong()
