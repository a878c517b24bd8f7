"""The visits that are due as an iCalendar feed (RFC 5545): numbers of donors and days, and nothing of any person.

Each person has a secret link of their own; it ends with their password, and when they may no longer sign in.
"""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.urls import reverse
from django.utils.crypto import constant_time_compare, salted_hmac
from icalendar import Calendar, Event

from buffycoat.donors.calendar import DonorWeeks
from buffycoat.donors.models import CallRow
from buffycoat.donors.rules import stream_of
from buffycoat.journal.book import version_of
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import Limits

SALT = "buffycoat.donors.feed"


def _key(user: AbstractBaseUser) -> str:
    return salted_hmac(SALT, f"{user.pk} {user.password}", algorithm="sha256").hexdigest()


def path_for(user: Any) -> str:
    return reverse("donor-visits", args=[user.pk, _key(user)])


def holds(user: AbstractBaseUser, key: str) -> bool:
    return constant_time_compare(key, _key(user))


def of_visits(found: Iterable[DonorWeeks], site: Limits) -> bytes:
    """One whole-day event for each donor that has a day. What is written about a donor raises its sequence."""
    made = Calendar()
    made.add("prodid", "-//Buffycoat//visits of donors//EN")
    made.add("version", "2.0")
    made.add("x-wr-calname", f"Donors, {site.text('site_name')}")
    for each in found:
        if each.on:
            made.add_component(_event(each, site))
    return bytes(made.to_ical())


def _event(each: DonorWeeks, site: Limits) -> Event:
    """A visit keeps its name until the donor has given; the next one has a new name."""
    assert each.on
    row, event = each.row, Event()
    given = CallRow.objects.filter(donor=row.donor).count()
    event.add("uid", f"{row.donor}-{given + 1}@{site.text('site_code').lower()}.invalid")
    event.add("sequence", version_of(stream_of(row.donor)))
    event.add("summary", f"Donor may give again: {row.species} {show_code(row.donor)}")
    event.add("dtstart", each.on)
    event.add("dtend", each.on + timedelta(days=1))
    event.add("dtstamp", row.last_drawn_at or datetime.combine(each.on, datetime.min.time(), UTC))
    event.add("transp", "TRANSPARENT")
    return event
