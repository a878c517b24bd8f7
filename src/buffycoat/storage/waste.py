"""A month of the shelf: what stood there, what came, what was lost and why, and what stands there at its end."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from buffycoat.labels.products import PRODUCTS
from buffycoat.separation.rules import PLASMA, RED_CELLS, WHOLE_BLOOD
from buffycoat.site.rules import Limits
from buffycoat.storage.forms import OTHER, REASONS
from buffycoat.storage.models import ShelfRow

VALUE_OF = {WHOLE_BLOOD: "value_whole_blood", RED_CELLS: "value_red_cells", PLASMA: "value_plasma"}


@dataclass(frozen=True, kw_only=True)
class Passed:
    """One unit: when it came to the stock, when it left it and why. What was given or divided is not lost."""

    came_at: datetime
    left_at: datetime | None
    reason: str
    divided: bool
    given: bool
    value: int

    def in_stock_at(self, at: datetime) -> bool:
        return self.came_at < at and (self.left_at is None or self.left_at >= at)


@dataclass(frozen=True, kw_only=True)
class Month:
    start: int
    came: int
    given: int
    divided: int
    lost: tuple[tuple[str, int], ...]
    end: int
    value_lost: int

    @property
    def lost_in_all(self) -> int:
        return sum(count for _, count in self.lost)

    @property
    def lost_percent(self) -> float | None:
        """Of all that was there to be used in that month."""
        there = self.start + self.came - self.divided
        return 100 * self.lost_in_all / there if there else None


def coded(reason: str) -> str:
    """The coded reason that stands before what was seen.

    >>> coded("Clotted: a thread in the bag"), coded("The bag broke.")
    ('clotted', 'other')
    """
    head = reason.partition(":")[0].strip().rstrip(".").lower()
    return head if head in REASONS else OTHER


def month_of(units: Iterable[Passed], first: datetime, after: datetime) -> Month:
    """What happened from `first` until before `after`. Start, what came and what left add up to the end."""
    start = came = given = divided = end = value_lost = 0
    lost: Counter[str] = Counter()
    for unit in units:
        start += unit.in_stock_at(first)
        end += unit.in_stock_at(after)
        came += first <= unit.came_at < after
        if unit.left_at and first <= unit.left_at < after:
            if unit.given:
                given += 1
            elif unit.divided:
                divided += 1
            else:
                lost[unit.reason] += 1
                value_lost += unit.value
    by_reason = tuple((reason, lost[reason]) for reason in REASONS if lost[reason])
    return Month(
        start=start, came=came, given=given, divided=divided, lost=by_reason, end=end, value_lost=value_lost
    )


def passed(site: Limits) -> list[Passed]:
    """Every unit that ever came to the stock; one that was lost before it was put away came and left at once."""
    rows = ShelfRow.objects.select_related("unit").exclude(put_away_at=None, left_at=None)
    return [_passed(row, site) for row in rows]


def _passed(row: ShelfRow, site: Limits) -> Passed:
    came_at = row.put_away_at or row.left_at
    assert came_at
    return Passed(
        came_at=came_at,
        left_at=row.left_at,
        reason=coded(row.discarded) if row.discarded else "",
        divided=row.divided,
        given=row.given,
        value=site.whole(VALUE_OF[PRODUCTS[row.unit.product].part]),
    )


def bounds(month: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The first moment of a month, and of the next one."""
    following = date(month.year + month.month // 12, month.month % 12 + 1, 1)
    first, after = (datetime(day.year, day.month, 1, tzinfo=zone) for day in (month, following))
    return first, after
