"""When each donor may give again, as far as the register knows: age, interval, vaccine, medicine, deferral."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from buffycoat.donors.models import CallRow, DonorRow
from buffycoat.donors.rules import may_give_again_on
from buffycoat.shell.words import day
from buffycoat.site.rules import Limits

WEEKS = 12
DRAWN, NOT_YET, MAY, STOPPED = "gave", "not yet", "may give", "deferred"


@dataclass(frozen=True, kw_only=True)
class DonorWeeks:
    """One donor's weeks from this one on; `on` is the first day on which the calendar lets it give."""

    row: DonorRow
    on: date | None
    because: str
    weeks: tuple[str, ...]


def add_months(born_on: date, months: int) -> date:
    """The first day on which so many whole months are lived; after a shorter month, the day after it.

    >>> add_months(date(2024, 2, 29), 12), add_months(date(2024, 3, 10), 12)
    (datetime.date(2025, 3, 1), datetime.date(2025, 3, 10))
    """
    years, month = divmod(born_on.year * 12 + born_on.month - 1 + months, 12)
    try:
        return date(years, month + 1, born_on.day)
    except ValueError:
        return date(years + (month + 1) // 12, (month + 1) % 12 + 1, 1)


def reasons_of(row: DonorRow, site: Limits) -> Iterable[tuple[date, str]]:
    """Each day before which it may not give, and why."""
    yield add_months(row.born_on, site.whole(f"{row.species}_least_age_months")), "too young"
    if row.last_drawn_at:
        yield may_give_again_on(row.species, row.last_drawn_at, site), "gave lately"
    if row.vaccinated_on:
        yield row.vaccinated_on + timedelta(days=site.whole("vaccine_deferral_days")), "vaccinated"
    if row.not_before:
        yield row.not_before, row.deferred


def earliest_on(row: DonorRow, site: Limits, today: date) -> date | None:
    """None: not by any day to come, for it is retired, too old, held, or deferred until that is lifted."""
    if row.retired or row.held or row.deferred_until_lifted:
        return None
    on = max(before for before, _ in reasons_of(row, site))
    return on if max(on, today) < _too_old_on(row, site) else None


def standing_of(row: DonorRow, site: Limits, today: date) -> str:
    """From when it may give again, or why no day is known, in a few words."""
    on = earliest_on(row, site, today)
    if row.retired:
        return "retired"
    if row.held:
        return "waits: positive test"
    if row.deferred_until_lifted:
        return "deferred"
    if on is None:
        return "too old"
    if on > today:
        return f"from {day(on)}"
    return f"since {day(on)}" if row.last_drawn_at else "now"


def _too_old_on(row: DonorRow, site: Limits) -> date:
    return add_months(row.born_on, site.whole(f"{row.species}_most_age_months") + 1)


def weeks_of(row: DonorRow, today: date, site: Limits) -> DonorWeeks:
    monday, on = today - timedelta(days=today.weekday()), earliest_on(row, site, today)
    weeks = []
    for number in range(WEEKS):
        last_day = monday + timedelta(days=7 * number + 6)
        weeks.append(STOPPED if on is None else MAY if on <= last_day < _too_old_on(row, site) else NOT_YET)
    because = row.held or row.deferred if row.held or row.deferred_until_lifted else ""
    if on is None and not because:
        because = "too old"
    if on and on > today:
        because = next(why for before, why in reasons_of(row, site) if before == on)
    return DonorWeeks(row=row, on=on, because=because, weeks=tuple(weeks))


def calendar(today: date, site: Limits) -> list[DonorWeeks]:
    """Every donor that is not retired; who may give soonest comes first."""
    found = [weeks_of(row, today, site) for row in DonorRow.objects.filter(retired="")]
    return sorted(found, key=lambda each: (each.on is None, each.on or date.max, each.row.name))


@dataclass(frozen=True, kw_only=True)
class CallDue:
    row: CallRow
    due_on: date


def calls_due(today: date, site: Limits) -> list[CallDue]:
    """Draws after which the owner was not called, oldest first; those still to come are in it too."""
    days = timedelta(days=site.whole("owner_call_days"))
    rows = CallRow.objects.filter(called=False, donor__retired="").select_related("donor")
    return [CallDue(row=row, due_on=row.gave_at.astimezone(site.zone).date() + days) for row in rows]
