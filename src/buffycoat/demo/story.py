"""The demo told from its first day to `until`, all of it through the same commands that people use.

Weeks are counted from the Monday of the last one, and chance has one fixed seed: the same end tells the same story.
"""

from datetime import UTC, date, datetime, timedelta
from random import Random

from django.db import transaction

from buffycoat.demo.bench import PEOPLE, Bench
from buffycoat.demo.history import CLEARS_SHELVES, WEEKS, live_through
from buffycoat.demo.house import ZONE, local, open_house
from buffycoat.demo.last_day import leave_in_hand
from buffycoat.demo.problems import finds_problems
from buffycoat.demo.temperatures import measures

SEED = 450
DEMO_LETTERS = "DEMA"


def tell_story(*, until: datetime | None = None, letters: str = DEMO_LETTERS) -> None:
    """Fills an empty bank with three months of work that end at `until` (now, if not given).

    `letters` stand in all its codes.
    """
    end = (until or datetime.now(UTC)).astimezone(UTC).replace(second=0, microsecond=0)
    last_day = end.astimezone(ZONE).date()
    first_monday = _monday(last_day) - timedelta(weeks=WEEKS)
    bench = Bench(chance=Random(SEED), by=PEOPLE[0], at=end)
    with transaction.atomic():
        house = open_house(bench, letters, first_day=first_monday - timedelta(weeks=1), last_day=last_day)
        live_through(bench, house, first_monday=first_monday, last_day=last_day)
        bench.at = min(end, local(last_day, CLEARS_SHELVES))
        bench.clears_expired()
        finds_problems(bench, end)
        measures(house, end)
        leave_in_hand(bench, house, end)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


__all__ = ["PEOPLE", "tell_story"]
