"""The trace of a place: its lines over time, the band it should keep, what left it, and where nobody knows."""

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.words import duration, moment
from buffycoat.temperatures.bands import CAUSES, NO_LOWER_C
from buffycoat.temperatures.series import Series
from buffycoat.temperatures.spells import Spell
from buffycoat.temperatures.tracing import HAND, Trace
from buffycoat.temperatures.words import band_words, degrees

WIDTH, HEIGHT = 1080.0, 430.0
LEFT, RIGHT, TOP, BOTTOM = 74.0, 1062.0, 64.0, 372.0
COLUMNS = 240  # a line is drawn through the least and most of each: no peak is lost, and the page stays light
BROKEN = timedelta(hours=1)
NAMED = 3  # so many of the longest excursions are told in the picture; the table tells all

X = Callable[[float], float]


def draw_trace(trace: Trace) -> Picture:
    x, y, ticks = _scales(trace)
    body = [*_band(trace, y), *_times(trace, x), *_heights(ticks, y)]
    body += [part for pause in trace.pauses for part in _pause(trace, pause, x)]
    body += [part for spell in trace.spells for part in _shade(trace, spell, x)]
    for place, (name, series) in enumerate(trace.lines):
        body.append(_line(series, x, y, "trace-dots" if name == HAND else f"trace-line-{place % 3}"))
    body += _told(trace, x)
    alt = alt_of(trace)
    return Picture(
        svg=d.framed(WIDTH, HEIGHT, "".join(body), alt, kind="trace"),
        alt=alt,
        columns=("What", "From", "Until", "For", "Worst"),
        rows=tuple(_rows(trace)),
    )


def alt_of(trace: Trace) -> str:
    many = sum(len(series.times) for _, series in trace.lines)
    span = f"{trace.name}, {trace.window}: {many} readings"
    if not trace.spells:
        out = f"always {band_words(trace.band)}"
    else:
        worst = max(trace.spells, key=lambda each: each.lasted)
        longest = duration(int(worst.lasted.total_seconds()))
        times = _times_in_words(len(trace.spells))
        extreme = degrees(worst.extreme_centi_c)
        often = f"{times}, the longest" if len(trace.spells) > 1 else times
        out = f"outside {band_words(trace.band)} {often} for {longest}, {extreme} at the worst"
    pauses = f"; {_times_in_words(len(trace.pauses))} without a reading" if trace.pauses else ""
    return f"{span}, {out}{pauses}."


def _times_in_words(many: int) -> str:
    return {1: "once", 2: "twice"}.get(many, f"{many} times")


def _rows(trace: Trace) -> Iterator[tuple[str, ...]]:
    zone = trace.site.zone
    for name, series in trace.lines:
        span = f"{degrees(int(series.centi_c.min()))} to {degrees(int(series.centi_c.max()))}"
        first, last = (datetime.fromtimestamp(int(each), tz=zone) for each in series.times[[0, -1]])
        yield f"{name}, {len(series.times)} readings", moment(first, zone), moment(last, zone), "", span
    for spell in trace.spells:
        until = moment(spell.ended_at, zone) if spell.ended_at else "goes on"
        lasted = duration(int(spell.lasted.total_seconds()))
        yield CAUSES[spell.cause], moment(spell.since, zone), until, lasted, degrees(spell.extreme_centi_c)
    for start, end in trace.pauses:
        lasted = duration(int((end - start).total_seconds()))
        yield "No reading", moment(start, zone), moment(end, zone), lasted, ""


def _scales(trace: Trace) -> tuple[X, X, list[int]]:
    start, length = trace.start.timestamp(), (trace.end - trace.start).total_seconds()
    values = [
        int(value) for _, series in trace.lines for value in (series.centi_c.min(), series.centi_c.max())
    ]
    edges = [trace.band.high_centi_c] + ([] if trace.band.low_c == NO_LOWER_C else [trace.band.low_centi_c])
    least, most = min(*values, *edges) // 100 - 1, -(-max(*values, *edges) // 100) + 1
    step = next(step for step in (1, 2, 5, 10, 20, 50) if (most - least) / step <= 8)
    low, high = least // step * step, -(-most // step) * step

    def x(at: float) -> float:
        return LEFT + (RIGHT - LEFT) * min(max((at - start) / length, 0), 1)

    def y(centi_c: float) -> float:
        return BOTTOM - (BOTTOM - TOP) * (centi_c / 100 - low) / (high - low)

    return x, y, list(range(low, high + 1, step))


def _band(trace: Trace, y: X) -> list[str]:
    top = y(trace.band.high_centi_c)
    foot = BOTTOM if trace.band.low_c == NO_LOWER_C else y(trace.band.low_centi_c)
    lines = [d.line(LEFT, edge, RIGHT, edge, "trace-edge") for edge in {top, foot} if edge < BOTTOM]
    return [d.rect(LEFT, top, RIGHT - LEFT, foot - top, "trace-band"), *lines]


def _times(trace: Trace, x: X) -> Iterator[str]:
    """At local midnights; within a day or two, at full hours too."""
    zone, length = trace.site.zone, trace.end - trace.start
    hours = 4 if length <= timedelta(days=1) else 24
    days = max(1, round(length.days / 8))
    at = trace.start.astimezone(zone).replace(hour=0, minute=0, second=0, microsecond=0)
    number = 0
    while at <= trace.end:
        if at >= trace.start:
            place = x(at.timestamp())
            words = f"{at:%H:%M}" if hours < 24 and at.hour else f"{at.day} {at:%b}"
            yield d.line(place, TOP, place, BOTTOM, "week")
            if hours < 24 or number % days == 0:
                yield d.text(place, BOTTOM + 24, words, size=d.SMALL, anchor="middle", kind="words-soft")
            number += 1
        at = (at.replace(tzinfo=None) + timedelta(hours=hours)).replace(tzinfo=zone)


def _heights(ticks: Sequence[int], y: X) -> Iterator[str]:
    for tick in ticks:
        height = y(tick * 100)
        yield d.line(LEFT - 6, height, LEFT, height, "axis")
        yield d.text(LEFT - 12, height + 6, degrees(tick * 100).split()[0], size=d.SMALL, anchor="end")
    yield d.text(4, TOP - 14, "°C", size=d.SMALL, bold=True)


def _line(series: Series, x: X, y: X, kind: str) -> str:
    """Broken where nothing was told for a while."""
    times, values = _thinned(series)
    steps, before = [], None
    for at, value in zip(times, values, strict=True):
        broken = before is None or at - before > max(
            BROKEN.total_seconds(), (times[-1] - times[0]) / COLUMNS * 3
        )
        steps.append(f"{'M' if broken else 'L'}{x(at):.0f} {y(value):.1f}")
        before = at
    if kind == "trace-dots":
        return "".join(d.circle(x(at), y(value), 6, kind) for at, value in zip(times, values, strict=True))
    return d.path("".join(steps), f"trace-line {kind}")


def _thinned(series: Series) -> tuple[list[float], list[float]]:
    times, values = series.times, series.centi_c
    if len(times) <= 2 * COLUMNS:
        return times.tolist(), values.tolist()
    cuts = np.linspace(0, len(times), COLUMNS + 1).astype(int)
    wanted: list[int] = []
    for low, high in pairwise(cuts.tolist()):
        least, most = low + int(values[low:high].argmin()), low + int(values[low:high].argmax())
        wanted += sorted({least, most})
    return times[wanted].tolist(), values[wanted].tolist()


def _shade(trace: Trace, spell: Spell, x: X) -> list[str]:
    left, right = x(spell.since.timestamp()), x((spell.ended_at or trace.end).timestamp())
    width = max(right - left, 3)
    return [
        d.rect(left, TOP, width, BOTTOM - TOP, "trace-out"),
        d.rect(left, TOP, width, BOTTOM - TOP, "trace-hatch", fill=d.hatched("strokes")),
    ]


def _pause(trace: Trace, pause: tuple[datetime, datetime], x: X) -> list[str]:
    left, right = (x(each.timestamp()) for each in pause)
    return [d.rect(left, TOP, max(right - left, 2), BOTTOM - TOP, "trace-pause", fill=d.hatched("dots"))]


def _told(trace: Trace, x: X) -> Iterator[str]:
    """How long and how far, over the longest excursions; names of lines below."""
    longest = sorted(trace.spells, key=lambda each: each.lasted, reverse=True)[:NAMED]
    for place, spell in enumerate(sorted(longest, key=lambda each: each.since)):
        lasted = duration(int(spell.lasted.total_seconds()))
        words = f"{lasted}, {degrees(spell.extreme_centi_c)}"
        half = d.width_of(words, d.SMALL) / 2
        middle = x((spell.since + (spell.seen_until - spell.since) / 2).timestamp())
        middle = min(max(middle, LEFT + half), RIGHT - half)
        yield d.text(middle, 20 + 20 * (place % 2), words, size=d.SMALL, bold=True, anchor="middle")
    left = LEFT
    for place, (name, _) in enumerate(trace.lines):
        kind = "trace-dots" if name == HAND else f"trace-line trace-line-{place % 3}"
        yield (
            d.path(f"M{left:.0f} {HEIGHT - 12:.0f}h34", kind)
            if name != HAND
            else d.circle(left + 17, HEIGHT - 12, 6, kind)
        )
        yield d.text(left + 42, HEIGHT - 6, name, size=d.SMALL)
        left += 42 + d.width_of(name, d.SMALL) + 30
    if trace.pauses:
        yield d.rect(left, HEIGHT - 20, 34, 16, "trace-pause", fill=d.hatched("dots"))
        yield d.text(left + 42, HEIGHT - 6, "no reading", size=d.SMALL)
