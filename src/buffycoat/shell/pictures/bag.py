"""A bag after the spin, its layers with areas in proportion to their millilitres, and the line to stop at."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate

from buffycoat.science.composition import Layer
from buffycoat.shell import words
from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture

WIDTH, HEIGHT = 440, 400
_MIDDLE, _TOP, _HALF, _TALL = 112.0, 56.0, 90.0, 338.0
_ROUND = 4.5  # the pillow: |x/a|^n + |y/b|^n = 1
_STEPS = 800
_LABEL_X = 236.0
KINDS = {"plasma": "", "buffy": "dots", "cells": "strokes", "additive": "waves", "other": "net"}


@dataclass(frozen=True, kw_only=True)
class StopLine:
    """How much of the topmost layer is pressed off, and what then stays of it."""

    express_ml: float
    express_g: float
    leave_ml: float


def kind_of(name: str) -> str:
    low = name.lower()
    for kind, sign in (("buffy", "buffy"), ("cells", "cell"), ("additive", "additive"), ("plasma", "plasma")):
        if sign in low:
            return kind
    return "other"


def draw_bag(
    layers: Sequence[Layer],
    *,
    stop_line: StopLine | None = None,
    capacity_ml: float | None = None,
    what: str = "bag",
) -> Picture:
    """Draws the layers from the top. `capacity_ml` fills the whole outline: give it to compare bags on one scale."""
    shown = [layer for layer in layers if layer.volume_ml > 0]
    total_ml = sum(layer.volume_ml for layer in shown)
    full_ml = max(capacity_ml or 0, total_ml * 1.06) or 1
    edges = [_depth_at(1 - left / full_ml) for left in accumulate(
        (layer.volume_ml for layer in shown), lambda left, ml: left - ml, initial=total_ml
    )]  # fmt: skip
    stop_y = _depth_at(1 - (total_ml - stop_line.express_ml) / full_ml) if stop_line else 0.0
    alt = _alt(shown, stop_line, what)
    body = [_ports(), d.polygon(_outline(_TOP, _TOP + _TALL), "bag-glass")]
    body += [_band(layer, upper, lower) for layer, upper, lower in zip(shown, edges, edges[1:], strict=False)]
    body += [d.polygon(_outline(_TOP, _TOP + _TALL), "bag-edge")]
    body += _labels(shown, edges, stop_line, stop_y)
    return Picture(
        svg=d.framed(WIDTH, HEIGHT, "".join(body), alt, kind="bag"),
        alt=alt,
        columns=("Layer, from the top", "Volume", "Mass"),
        rows=_rows(shown, stop_line),
    )


def _rows(layers: Sequence[Layer], stop: StopLine | None) -> tuple[tuple[str, ...], ...]:
    rows = [
        (_name(layer), words.millilitres(round(layer.volume_ml)), words.grams(round(layer.mass_g)))
        for layer in layers
    ]
    if stop:
        rows.append(
            ("To press off", words.millilitres(round(stop.express_ml)), words.grams(round(stop.express_g)))
        )
        rows.append(("To leave on the cells", words.millilitres(round(stop.leave_ml)), ""))
    return tuple(rows)


def _name(layer: Layer) -> str:
    return layer.name[:1].upper() + layer.name[1:]


def _alt(layers: Sequence[Layer], stop: StopLine | None, what: str) -> str:
    holds = ", ".join(f"{layer.name} {words.millilitres(round(layer.volume_ml))}" for layer in layers)
    if not layers:
        return f"The {what} is empty."
    if stop is None:
        return f"The {what} holds, from the top: {holds}."
    off = f"{words.grams(round(stop.express_g))} ({words.millilitres(round(stop.express_ml))})"
    stays = words.millilitres(round(stop.leave_ml))
    return f"Press off {off} and stop at the line: {stays} stays on the cells. From the top: {holds}."


def half_width(y: float) -> float:
    """Half the width of the outline at a height on the page."""
    from_middle = min(1.0, abs(y - _TOP - _TALL / 2) / (_TALL / 2))
    return float(_HALF * (1 - from_middle**_ROUND) ** (1 / _ROUND))


@cache
def _area_above() -> tuple[float, ...]:
    """Area above each of the steps down the bag, as a share of the whole."""
    slice_tall = _TALL / _STEPS
    slices = [half_width(_TOP + (i + 0.5) * slice_tall) for i in range(_STEPS)]
    sums = list(accumulate(slices, initial=0.0))
    return tuple(each / sums[-1] for each in sums)


def _depth_at(share: float) -> float:
    """The height on the page above which lies that share of the bag's area."""
    areas = _area_above()
    share = min(1.0, max(0.0, share))
    i = next(n for n in range(1, _STEPS + 1) if areas[n] >= share - 1e-12)
    within = (share - areas[i - 1]) / (areas[i] - areas[i - 1])
    return _TOP + (i - 1 + within) * _TALL / _STEPS


def _outline(upper: float, lower: float) -> list[tuple[float, float]]:
    """The part of the pillow between two heights, clockwise from the upper left."""
    count = max(2, int((lower - upper) / 1.5))
    heights = [upper + (lower - upper) * i / count for i in range(count + 1)]
    right = [(_MIDDLE + half_width(y), y) for y in heights]
    left = [(_MIDDLE - half_width(y), y) for y in reversed(heights)]
    return right + left


def _band(layer: Layer, upper: float, lower: float) -> str:
    kind, points = kind_of(layer.name), _outline(upper, lower)
    pattern = KINDS[kind]
    over = d.polygon(points, "bag-hatch", d.hatched(pattern)) if pattern else ""
    return d.polygon(points, f"bag-layer bag-{kind}") + over


def _ports() -> str:
    """Two ports and the tubing that leads the plasma away."""
    tube = f"M{_MIDDLE - 26:.0f} {_TOP + 4:.0f}V24C{_MIDDLE - 26:.0f} 4 {_MIDDLE + 20:.0f} 4 {_MIDDLE + 44:.0f} 9"
    ports = "".join(d.rect(_MIDDLE + x - 8, _TOP - 22, 16, 30, "bag-port", corner=3) for x in (-26, 26))
    return d.path(tube, "bag-tube") + ports


def _labels(
    layers: Sequence[Layer], edges: Sequence[float], stop: StopLine | None, stop_y: float
) -> list[str]:
    """Beside the bag: each layer's name and numbers, and the line to stop at, moved apart so that none overlaps."""
    told: list[tuple[float, float, list[str], str]] = []  # wanted height, height on the bag, lines, kind
    for i, (layer, upper, lower) in enumerate(zip(layers, edges, edges[1:], strict=False)):
        at = (upper + (stop_y if stop and i == 0 else lower)) / 2
        sums = f"{words.millilitres(round(layer.volume_ml))} · {words.grams(round(layer.mass_g))}"
        told.append((at, at, [*d.wrapped(_name(layer), d.PLAIN, WIDTH - _LABEL_X), sums], "layer"))
    if stop:
        off = f"press off {words.grams(round(stop.express_g))}"
        told.insert(
            1,
            (stop_y, stop_y, ["Stop here", off, f"leave {words.millilitres(round(stop.leave_ml))}"], "stop"),
        )
    tall = [len(lines) * d.PLAIN * d.LINE + 14 for _, _, lines, _ in told]
    middles = d.spread([wanted for wanted, *_ in told], tall, 6, HEIGHT - 6)
    drawn: list[str] = []
    for (_, at, lines, kind), middle, height in zip(told, middles, tall, strict=True):
        drawn += _label(at, middle, height, lines, stop=kind == "stop")
    return drawn


def _label(at: float, middle: float, height: float, lines: list[str], *, stop: bool) -> list[str]:
    edge = _MIDDLE + half_width(at)
    lead = f"M{edge if stop else edge - 12:.1f} {at:.1f}H{_MIDDLE + _HALF + 10:.1f}L{_LABEL_X - 10:.1f} {middle:.1f}"
    head = middle - height / 2 + 7 + d.PLAIN
    drawn = [d.path(lead, "lead-stop" if stop else "lead")]
    if stop:
        left = _MIDDLE - half_width(at)
        drawn.insert(0, d.line(left - 12, at, edge, at, "stop-line"))
        drawn.insert(1, d.polygon([(left - 14, at - 9), (left - 14, at + 9), (left, at)], "stop-mark"))
        drawn.append(
            d.line(_LABEL_X - 8, middle - height / 2 + 6, _LABEL_X - 8, middle + height / 2 - 6, "stop-side")
        )
    else:
        drawn.append(d.circle(edge - 12, at, 3, "lead-dot"))
    drawn.append(d.text(_LABEL_X, head, lines[0], bold=True))
    drawn.append(d.lines_of_text(_LABEL_X, head + d.PLAIN * d.LINE, lines[1:]))
    return drawn
