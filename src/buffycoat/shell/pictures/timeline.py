"""What happened, in order, with the time between and who did it. What was struck stays, struck through."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from buffycoat.shell import words
from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture

WIDTH = 780
_LINE_X, _WORDS_X = 200.0, 226.0
_GAP_TOLD_MIN = 60


@dataclass(frozen=True, kw_only=True)
class Event:
    """`at_text` is the time as the page says it; `minute_offset` counts from any start, for the gaps."""

    at_text: str
    minute_offset: int
    title: str
    detail: str = ""
    by: str = ""
    struck: bool = False


def draw_timeline(events: Sequence[Event]) -> Picture:
    alt = _alt(events)
    body: list[str] = []
    dots: list[tuple[float, bool]] = []
    y = 8.0
    for i, event in enumerate(events):
        if i:
            y += _gap(body, event.minute_offset - events[i - 1].minute_offset, y)
        dots.append((y + 12, event.struck))
        y += _told(body, event, y)
    if dots:
        body.insert(0, d.line(_LINE_X, dots[0][0], _LINE_X, dots[-1][0], "time-line"))
    body += [d.circle(_LINE_X, at, 7, "time-dot-struck" if struck else "time-dot") for at, struck in dots]
    return Picture(
        svg=d.framed(WIDTH, y + 6, "".join(body), alt, kind="timeline"),
        alt=alt,
        columns=("When", "What", "Details", "By"),
        rows=tuple((e.at_text, e.title + (" (struck)" if e.struck else ""), e.detail, e.by) for e in events),
    )


def _alt(events: Sequence[Event]) -> str:
    standing = [event for event in events if not event.struck]
    if not standing:
        return "Nothing that counts has happened yet."
    first, last = standing[0], standing[-1]
    if first is last:
        return f"{first.title}, {first.at_text}; nothing since."
    struck = len(events) - len(standing)
    longest = max(pairwise(standing), key=lambda pair: pair[1].minute_offset - pair[0].minute_offset)
    told = words.duration((longest[1].minute_offset - longest[0].minute_offset) * 60)
    return (
        f"{len(standing)} steps from “{first.title}”, {first.at_text}, to “{last.title}”, {last.at_text}; "
        f"the longest time between two is {told}, before “{longest[1].title}”."
        + (f" {struck} struck." if struck else "")
    )


def _gap(body: list[str], minutes: int, y: float) -> float:
    """Room between two events; an hour or more is said in words beside the line."""
    if minutes < _GAP_TOLD_MIN:
        return 12
    body.append(
        d.text(_WORDS_X, y + 24, f"{words.duration(minutes * 60)} later", size=d.SMALL, kind="words-soft")
    )
    return 42


def _told(body: list[str], event: Event, y: float) -> float:
    room = WIDTH - _WORDS_X - 8
    struck = "words-struck" if event.struck else ""
    when = d.wrapped(event.at_text, d.SMALL, _LINE_X - 20)
    title = d.wrapped(event.title + (" (struck)" if event.struck else ""), d.PLAIN, room)
    detail = d.wrapped(event.detail, d.SMALL, room) if event.detail else []
    by = d.wrapped(f"by {event.by}", d.SMALL, room) if event.by else []
    foot = y + 18
    body.append(d.lines_of_text(0, foot, when, size=d.SMALL, kind=struck or "words-soft"))
    body.append(d.lines_of_text(_WORDS_X, foot, title, bold=True, kind=struck))
    foot += len(title) * d.PLAIN * d.LINE
    body.append(d.lines_of_text(_WORDS_X, foot, detail, size=d.SMALL, kind=struck))
    foot += len(detail) * d.SMALL * d.LINE
    body.append(d.lines_of_text(_WORDS_X, foot, by, size=d.SMALL, kind="words-soft"))
    foot += len(by) * d.SMALL * d.LINE
    return max(foot, y + 18 + len(when) * d.SMALL * d.LINE) - y - 8
