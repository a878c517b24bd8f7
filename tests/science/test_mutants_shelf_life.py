"""A moment without its zone is refused wherever it stands, and a limit by its own name."""

from collections.abc import Callable
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from buffycoat.science.errors import OutOfRange
from buffycoat.science.shelf_life import after_hours, after_years, elapsed, has_expired

AWARE = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
NAIVE = AWARE.replace(tzinfo=None)


@pytest.mark.parametrize(
    "of",
    [
        lambda: elapsed(NAIVE, AWARE),
        lambda: elapsed(AWARE, NAIVE),
        lambda: has_expired(NAIVE, AWARE),
        lambda: has_expired(AWARE, NAIVE),
    ],
)
def test_a_moment_needs_its_zone(of: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange, match="A moment needs its zone"):
        of()


def test_years_and_hours_do_not_run_backwards() -> None:
    assert AWARE == after_hours(AWARE, 0)
    with pytest.raises(OutOfRange, match="number of hours must be"):
        after_hours(AWARE, -0.5)
    with pytest.raises(OutOfRange, match="number of years must be"):
        after_years(AWARE, -1, ZoneInfo("Europe/Oslo"))
