"""Every day that is over is sealed into the book: how many readings of a place, least, most, and their SHA-256."""

from collections import defaultdict
from datetime import UTC, date, datetime, timedelta

from buffycoat.journal.book import Book
from buffycoat.journal.record import record
from buffycoat.site.rules import limits
from buffycoat.storage.models import PlaceRow
from buffycoat.temperatures.bands import Band, band_of
from buffycoat.temperatures.keeping_readings import of_day
from buffycoat.temperatures.models import DayOfReadings
from buffycoat.temperatures.rules import SealedDay, SealTemperatures
from buffycoat.temperatures.series import digest, joined_loosely
from buffycoat.temperatures.spells import kinetic_c, silences, spells
from buffycoat.temperatures.watching import PROGRAM

SETTLED = timedelta(hours=1)  # so long after midnight, readings on their way have come
HOLDS = timedelta(hours=1)  # a reading counts for at most so long in the mean


def seal_days(now: datetime | None = None) -> int:
    """Gives how many days of places were sealed. Raises: Refused, if readings of a sealed day are gone."""
    now = now or datetime.now(UTC)
    last = (now - SETTLED).astimezone(UTC).date() - timedelta(days=1)
    due = DayOfReadings.objects.filter(sealed=False, day__lte=last)
    by_place: dict[str, set[date]] = defaultdict(set)
    for place, day in due.values_list("thermometer__place", "day"):
        by_place[place].add(day)
    for place, days in by_place.items():
        band = band_of(PlaceRow.objects.get(pk=place).appliance, limits(Book()))
        sealed = tuple(sealed_day(place, day, band) for day in sorted(days))
        record(SealTemperatures(place=place, days=sealed), by=PROGRAM, happened_at=now)
        DayOfReadings.objects.filter(thermometer__place=place, day__in=days).update(sealed=True)
    return sum(map(len, by_place.values()))


def sealed_day(place: str, day: date, band: Band) -> SealedDay:
    named = of_day(place, day)
    parts = [series for _, series in named]
    kinetic = kinetic_c(joined_loosely(parts), HOLDS)
    return SealedDay(
        day=day,
        readings=sum(len(each.times) for each in parts),
        least_centi_c=min(int(each.centi_c.min()) for each in parts),
        most_centi_c=max(int(each.centi_c.max()) for each in parts),
        kinetic_centi_c=None if kinetic is None else round(kinetic * 100),
        silences=len(silences(parts, HOLDS)),
        excursions=len(spells(parts, band)),
        sha256=digest(named),
    )
