"""What becomes of a product's end when something happens to it: opened, irradiated, thawed, its additive lost.

No change ever lengthens; the earliest end counts and says why. Every period is an argument, for each site sets its
own; the ones given here are published for human blood.
"""

from datetime import datetime
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from buffycoat.science.errors import OutOfRange, within
from buffycoat.science.shelf_life import after_hours, elapsed, last_moment_of_day, shortest

_HOUR_S: Final = 3600


class End(NamedTuple):
    """When it must be used by, and what decides that."""

    ends_at: datetime
    because: str


def end_after_changes(
    own_end: datetime,
    zone: ZoneInfo,
    *,
    end_without_additive: datetime | None = None,
    irradiated_at: datetime | None = None,
    irradiated_days: int = 28,
    opened_at: datetime | None = None,
    opened_hours: float = 24,
    thawed_at: datetime | None = None,
    thawed_hours: float = 24,
) -> End:
    """Give the end of a product after all that happened to it, and what decides.

    The earliest of its own end and those of its changes; days end at 23:59, hours are time that passed.
    Arguments: own_end, with its zone; zone, where the blood was collected; end_without_additive, if the additive did
    not go over; each change with its zone, if it happened; irradiated_days, 0 to 36 525; hours, 0 to 8784.
    Raises: OutOfRange outside those ranges, or for a change after the end that the product had by itself.
    Range: one change of a kind: of several, give the first opening, irradiation and thaw. What is pooled ends with its
    shortest part.
    Source: 21 CFR 610.53: 28 days after irradiation or its own end, whichever is shorter; 24 hours after it was opened.
    UK guidelines for blood services: 24 hours after a thaw, in the cold. Sites and sources differ.

    >>> from datetime import UTC
    >>> utc, own = ZoneInfo("UTC"), datetime(2026, 2, 12, 23, 59, tzinfo=UTC)
    >>> end_after_changes(own, utc, irradiated_at=datetime(2026, 1, 20, 12, tzinfo=UTC)).because
    'its own end'
    >>> end_after_changes(own, utc, irradiated_at=datetime(2026, 1, 2, 12, tzinfo=UTC)).because
    '28 days after it was irradiated'
    """
    ends = {"its own end": own_end}
    if end_without_additive:
        ends["its additive was lost"] = end_without_additive
    if irradiated_at:
        end = last_moment_of_day(_before(own_end, "irradiated", irradiated_at), irradiated_days, zone)
        ends[f"{irradiated_days} days after it was irradiated"] = end
    for change, at, hours in (("opened", opened_at, opened_hours), ("thawed", thawed_at, thawed_hours)):
        if at:
            ends[f"{hours:g} hours after it was {change}"] = after_hours(_before(own_end, change, at), hours)
    first = shortest(*ends.values())
    return End(first, next(why for why, end in ends.items() if end == first))


def plasma_frozen_as(drawn_at: datetime, frozen_at: datetime, fresh_hours: float = 8) -> str:
    """Name frozen plasma by how long after the draw it was frozen; frozen late, it is never fresh frozen again.

    Arguments: drawn_at and frozen_at, with their zones; fresh_hours, 1 to 24, the limit itself included.
    Raises: OutOfRange outside that range, or if it was frozen before it was drawn.
    Range: hours that passed, whatever the clocks did. After its year fresh frozen plasma is plasma, too, up to five
    years from the draw.
    Source: the names of 21 CFR 610.53, with a year for the first two and five for the last; eight hours from memory.

    >>> from datetime import UTC
    >>> drawn = datetime(2026, 3, 1, 9, tzinfo=UTC)
    >>> [plasma_frozen_as(drawn, drawn.replace(hour=hour)) for hour in (17, 18)]
    ['fresh frozen plasma', 'plasma frozen within 24 hours']
    """
    within("hours of fresh plasma", fresh_hours, 1, 24, "h")
    hours = elapsed(drawn_at, frozen_at).total_seconds() / _HOUR_S
    if hours < 0:
        raise OutOfRange("It cannot be frozen before it was drawn: look at both times.")
    if hours > 24:
        return "plasma"
    return "fresh frozen plasma" if hours <= fresh_hours else "plasma frozen within 24 hours"


def _before(own_end: datetime, change: str, at: datetime) -> datetime:
    if elapsed(at, own_end).total_seconds() < 0:
        raise OutOfRange(f"It had reached its own end before it was {change}.")
    return at
