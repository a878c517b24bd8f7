"""A month of the shelf: nothing is lost between its start and its end but what is told."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from buffycoat.labels.models import UnitRow
from buffycoat.site.rules import SetLimit
from buffycoat.storage.forms import OTHER, REASONS
from buffycoat.storage.rules import DiscardUnit
from buffycoat.storage.waste import Passed, bounds, coded, month_of
from tests.pages import text

FIRST, AFTER = bounds(datetime(2026, 2, 1, tzinfo=UTC).date(), ZoneInfo("UTC"))
DAY = timedelta(days=1)


def unit(came, left=None, reason="expired", *, divided=False, given=False, value=0):
    """Came and left so many days after the first of the month."""
    left_at = None if left is None else FIRST + left * DAY
    return Passed(
        came_at=FIRST + came * DAY,
        left_at=left_at,
        reason=reason,
        divided=divided,
        given=given,
        value=value,
    )


def test_a_month_tells_what_stood_came_and_was_lost_by_reason():
    units = [
        unit(-5),
        unit(-5, -1, "clotted"),
        unit(-5, 3, "clotted", value=40),
        unit(2, 9, "expired", value=90),
        unit(4, 6, "", divided=True, value=7),
        unit(4, 6, "", given=True, value=7),
        unit(5, 40, "expired"),
        unit(28),
    ]
    month = month_of(units, FIRST, AFTER)
    assert (2, 4, 1, 1, 2) == (month.start, month.came, month.given, month.divided, month.end)
    assert (("expired", 1), ("clotted", 1)) == month.lost
    assert (2, 130, 40.0) == (month.lost_in_all, month.value_lost, month.lost_percent)


def test_a_month_without_a_unit_has_no_share_of_losses():
    assert None is month_of([], FIRST, AFTER).lost_percent


DAYS = st.integers(-40, 60)
UNITS = st.lists(
    st.builds(
        lambda came, stays, reason, divided, given: unit(
            came, None if stays is None else came + stays, reason, divided=divided, given=given
        ),
        DAYS,
        st.none() | st.integers(0, 60),
        st.sampled_from(REASONS),
        st.booleans(),
        st.booleans(),
    )
)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(UNITS)
def test_what_stood_and_came_is_what_was_lost_divided_and_stands(units):
    month = month_of(units, FIRST, AFTER)
    left = month.given + month.divided + month.lost_in_all
    assert month.start + month.came == month.end + left


@pytest.mark.parametrize(
    ("month", "first", "after"),
    [("2026-01-15", "2026-01-01", "2026-02-01"), ("2026-12-01", "2026-12-01", "2027-01-01")],
)
def test_a_month_begins_and_ends_in_the_zone_of_the_site(month, first, after):
    zone = ZoneInfo("Europe/Lisbon")
    found = bounds(datetime.fromisoformat(month).date(), zone)
    assert (f"{first}T00:00:00+00:00", f"{after}T00:00:00+00:00") == tuple(each.isoformat() for each in found)


@pytest.mark.parametrize(
    ("reason", "code"),
    [*((reason.capitalize(), reason) for reason in REASONS), ("Fell down the stairs", OTHER), ("", OTHER)],
)
def test_the_coded_reason_is_read_from_what_was_recorded(reason, code):
    assert code == coded(reason)
    assert code == coded(f"{reason}: more of it") or not reason


def test_the_page_draws_the_month_and_says_what_it_cost(client, walk):
    walk.do(SetLimit(key="value_red_cells", value=80, reason="invented"))
    cells = walk.units(walk.on_the_shelf("cat"))["red-cells"]
    walk.do(DiscardUnit(unit=cells, reason="Clotted: a thread"))
    page = text(client.get(reverse("stock-lost"), {"month": f"{walk.at:%Y-%m}"}))
    for words in ("1 unit lost", "worth 80 money", "Clotted"):
        assert words in page
    assert 2 == UnitRow.objects.count()
    assert 404 == client.get(reverse("stock-lost"), {"month": "2026-13"}).status_code
