"""What the trace of a place shows: its lines, band, excursions and pauses over a window that is named."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from buffycoat.journal.book import Book
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.models import PlaceRow
from buffycoat.temperatures.alarms import temperatures
from buffycoat.temperatures.bands import Band, band_of
from buffycoat.temperatures.keeping_readings import load, tampered
from buffycoat.temperatures.models import Thermometer
from buffycoat.temperatures.series import Series, series_of
from buffycoat.temperatures.spells import Spell, kinetic_c, silences, spells, worst_window
from buffycoat.temperatures.watching import by_hand

WINDOWS = {1: "24 hours", 7: "7 days", 30: "30 days", 90: "90 days", 365: "a year"}
COLD_WINDOW = timedelta(hours=24)
HOLDS = timedelta(hours=1)
NEVER_C = -273.15
HAND = "By hand"


@dataclass(frozen=True, kw_only=True)
class Trace:
    """`kinetic_c` is that of the warmest thermometer; `worst` the end and temperature of its worst 24 hours."""

    name: str
    start: datetime
    end: datetime
    band: Band
    lines: list[tuple[str, Series]]
    spells: list[Spell]
    pauses: list[tuple[datetime, datetime]]
    kinetic_c: float | None
    worst: tuple[datetime, float] | None
    window: str
    sealed: int
    tampered: list[object]
    site: Limits


def traced(row: PlaceRow, now: datetime, days: int, site: Limits | None = None) -> Trace:
    site = site or limits(Book())
    start, band, state = (
        now - timedelta(days=days),
        band_of(row.appliance, site),
        temperatures(Book(), row.place),
    )
    measured = [(each.name, load(each, start, now)) for each in Thermometer.objects.filter(place=row.place)]
    measured = [(name, series) for name, series in measured if len(series.times)]
    by_hand_now = [(at, fact.now_centi_c) for at, fact in state.read if start <= at <= now]
    lines = [*measured, *([(HAND, series_of(by_hand_now))] if by_hand_now else [])]
    pause = timedelta(minutes=site.whole("sensor_silent_min"))
    parts = [series for _, series in measured]
    warmest = max(parts, key=lambda each: kinetic_c(each, HOLDS) or NEVER_C, default=None)
    sealed = [day for day in state.sealed if start.date() <= day <= now.date()]
    return Trace(
        name=row.name,
        start=start,
        end=now,
        band=band,
        lines=lines,
        spells=spells(parts, band) if parts else [s for s in by_hand(state, band) if s.seen_until >= start],
        pauses=silences(parts, pause),
        kinetic_c=kinetic_c(warmest, HOLDS) if warmest else None,
        worst=worst_window(warmest, COLD_WINDOW, HOLDS) if warmest else None,
        window=WINDOWS[days],
        sealed=len(sealed),
        tampered=list(tampered(row.place, sealed)) if days <= 30 else [],
        site=site,
    )
