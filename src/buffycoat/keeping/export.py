"""A day of the journal as text, for an auditor: checked with `sha256sum` and a few lines of anything."""

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from django.db.models import Max, Min

from buffycoat.journal.chain import START
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.keeping.sealed_text import write_rows


@dataclass(frozen=True, kw_only=True)
class Day:
    path: Path
    entries: int
    before: str
    after: str
    is_over: bool


def export_day(day: date, folder: Path, zone: ZoneInfo) -> Day:
    """Writes what was recorded on that day of the site: from its first entry to its last, with all between.

    Between, for the server's clock may have been put back; the numbers of the entries have no gap.
    """
    now = datetime.now(UTC)
    # Where the clocks change at midnight, 00:00 comes twice or never: the day begins with the first of its moments.
    begins_at, ends_at = (
        datetime.combine(each, time(), zone).astimezone(UTC) for each in (day, day + timedelta(days=1))
    )
    if begins_at > now:
        raise Refused(f"{day:%d %b %Y} is still to come.")
    first, last = _numbers(begins_at, ends_at)
    before = Entry.objects.filter(number=first - 1).values_list("hash", flat=True).first() or START
    sealed = list(
        Entry.objects.filter(number__range=(first, last)).order_by("number").values_list("hash", "line")
    )
    path = folder / f"journal-{day:%Y-%m-%d}.txt"
    text = "".join(write_rows(before, sealed)).encode()
    folder.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text)
    path.with_suffix(".txt.sha256").write_text(f"{hashlib.sha256(text).hexdigest()}  {path.name}\n")
    after = sealed[-1][0] if sealed else before
    return Day(path=path, entries=len(sealed), before=before, after=after, is_over=ends_at <= now)


def _numbers(begins_at: datetime, ends_at: datetime) -> tuple[int, int]:
    """First and last number; for a day without entries an empty range at its place in the book."""
    of_day = Entry.objects.filter(recorded_at__gte=begins_at, recorded_at__lt=ends_at)
    found = of_day.aggregate(first=Min("number"), last=Max("number"))
    if found["first"] is not None:
        return found["first"], found["last"]
    last = Entry.objects.filter(recorded_at__lt=begins_at).aggregate(last=Max("number"))["last"] or 0
    return last + 1, last
