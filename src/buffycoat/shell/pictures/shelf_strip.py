"""What to use first: one row a unit, time to the right, a line for today, colour only on the last days."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from buffycoat.shell import words
from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture

WIDTH = 1080
_NAME, _LEFT, _RIGHT = 300.0, 316.0, 900.0
_HEAD, _ROW = 58.0, 34.0


@dataclass(frozen=True, kw_only=True)
class Unit:
    """`name` is what stands at the left, such as the end of the code and the product."""

    name: str
    note: str
    starts_on: date
    expires_on: date
    promised: bool = False


def draw_shelf_strip(
    units: Sequence[Unit], *, today: date, horizon_days: int = 56, last_days: int = 7
) -> Picture:
    """Rows in the order given. A bar that runs past the horizon ends in an arrow; its row still says the date."""
    first, days = today - timedelta(days=7), horizon_days + 7
    height = _HEAD + len(units) * _ROW + 8

    def x(on: date) -> float:
        return _LEFT + (_RIGHT - _LEFT) * min(max((on - first).days, 0), days) / days

    alt = _alt(units, today, last_days)
    body = _key(last_days) + _weeks(today, horizon_days, x, height)
    for i, unit in enumerate(units):
        body += _row(unit, today, last_days, first + timedelta(days=days), x, _HEAD + i * _ROW)
    body.append(d.line(x(today), 30, x(today), height - 4, "today"))
    return Picture(
        svg=d.framed(WIDTH, height, "".join(body), alt, kind="shelf"),
        alt=alt,
        columns=("Unit", "Note", "From", "Expires", "Left"),
        rows=tuple(
            (u.name, u.note, words.day(u.starts_on), words.day(u.expires_on), left(u.expires_on, today))
            for u in units
        ),
    )


def left(expires_on: date, today: date) -> str:
    days = (expires_on - today).days
    if days < 0:
        return "expired"
    if days < 2:
        return ("last day", "1 day")[days]
    return f"{words.grouped(days)} days"


def _alt(units: Sequence[Unit], today: date, last_days: int) -> str:
    if not units:
        return "Nothing is on the shelf."
    soon = [unit for unit in units if 0 <= (unit.expires_on - today).days <= last_days]
    over = [unit for unit in units if unit.expires_on < today]
    many = f"{len(units)} unit{'s' * (len(units) != 1)} on the shelf"
    told = f"{many}; {len(soon)} expire{'s' * (len(soon) == 1)} within {last_days} days"
    if soon:
        told += f", first {min(soon, key=lambda unit: unit.expires_on).name}"
    return told + (f"; {len(over)} {'is' if len(over) == 1 else 'are'} expired." if over else ".")


def _key(last_days: int) -> list[str]:
    """What colour and hatching mean."""
    return [
        d.rect(0, 8, 26, 16, "life-last"),
        d.text(34, 22, f"last {last_days} days", size=d.SMALL),
        d.rect(150, 8, 26, 16, "life"),
        d.rect(150, 8, 26, 16, "life-hatch", fill=d.hatched("strokes")),
        d.text(184, 22, "promised", size=d.SMALL),
    ]


def _weeks(today: date, horizon_days: int, x: Callable[[date], float], height: float) -> list[str]:
    drawn = [
        d.text(x(today), 22, f"today, {words.day(today)[:-5]}", size=d.SMALL, bold=True, anchor="middle")
    ]
    for week in range(1, horizon_days // 7 + 1):
        on = today + timedelta(days=7 * week)
        drawn.append(d.line(x(on), _HEAD - 10, x(on), height - 4, "week"))
        if week % 2 == 0:
            drawn.append(
                d.text(x(on), 44, words.day(on)[:-5], size=d.SMALL, anchor="middle", kind="words-soft")
            )
    return drawn


def _row(
    unit: Unit, today: date, last_days: int, end: date, x: Callable[[date], float], y: float
) -> list[str]:
    start, stop, foot = x(unit.starts_on), x(unit.expires_on), y + 22
    name = d.wrapped(unit.name, d.SMALL, _NAME)
    shown = name[0] if len(name) == 1 else d.wrapped(unit.name, d.SMALL, _NAME - 17)[0].rstrip(" ,·") + "…"
    drawn = [
        d.text(0, foot, shown, size=d.SMALL, bold=True),
        d.rect(start, y + 6, max(stop - start, 2), 20, "life"),
    ]
    if unit.promised:
        drawn.append(d.rect(start, y + 6, max(stop - start, 2), 20, "life-hatch", fill=d.hatched("strokes")))
    warm = x(max(unit.expires_on - timedelta(days=last_days), unit.starts_on))
    if unit.expires_on <= end and warm < stop:
        drawn.append(d.rect(warm, y + 6, stop - warm, 20, "life-last"))
    elif unit.expires_on > end:
        drawn.append(d.polygon([(stop, y + 6), (stop + 12, y + 16), (stop, y + 26)], "life-on"))
    says = f"{words.day(unit.expires_on)[:-5]}, {left(unit.expires_on, today)}"
    if unit.expires_on > end:
        says = words.day(unit.expires_on)
    drawn.append(
        d.text(_RIGHT + 20, foot, says, size=d.SMALL, bold=(unit.expires_on - today).days <= last_days)
    )
    return drawn
