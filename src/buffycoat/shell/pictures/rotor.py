"""A loaded rotor seen from above: what lies in each bucket, how opposite ones differ, where it all pulls."""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from buffycoat.science.balance import residual_vector_g
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.shell import words
from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.picture import Picture

WIDTH, CIRCLE = 900, 600
_CENTRE = 300.0
_PANEL_X, _BAR = 628.0, 150.0
_RING = 38.0  # the limit, drawn as a ring about the axis
_FARTHEST = 1.4  # how far off the axis the dot is drawn at most, in rings


@dataclass(frozen=True, kw_only=True)
class Place:
    """One bucket. `bag_code` None: no bag, only the bucket and perhaps filler."""

    label: str
    bag_code: str | None = None
    bag_g: int = 0
    filler_g: int = 0
    bucket_g: int = 0

    @property
    def mass_g(self) -> int:
        return self.bag_g + self.filler_g + self.bucket_g


def draw_rotor(places: Sequence[Place], *, pair_limit_g: int, vector_limit_g: int | None = None) -> Picture:
    """Places stand at equal angles, the first at the top, numbered clockwise; an even number of them."""
    pairs = list(zip(places, places[len(places) // 2 :], strict=False))
    residual = residual_vector_g([place.mass_g for place in places])
    limit_g = vector_limit_g or pair_limit_g
    wheel = _Wheel(len(places))
    alt = _alt(places, pairs, pair_limit_g, abs(residual), limit_g)
    body = [
        d.circle(_CENTRE, _CENTRE, _CENTRE - 4, "rotor-rim"),
        *(
            d.line(_CENTRE, _CENTRE, wheel.spot(i).real, wheel.spot(i).imag, "rotor-arm")
            for i in range(len(places))
        ),
        *_hub(residual, limit_g),
        *(part for i, place in enumerate(places) for part in _bucket(place, wheel.spot(i), wheel.radius)),
        *_panel(pairs, pair_limit_g),
    ]
    return Picture(
        svg=d.framed(WIDTH, CIRCLE, "".join(body), alt, kind="rotor"),
        alt=alt,
        columns=("Place", "Bag", "Bag mass", "Filler", "Opposite", "Difference"),
        rows=tuple(_row(places, i) for i in range(len(places))),
    )


def _row(places: Sequence[Place], i: int) -> tuple[str, ...]:
    place, other = places[i], places[(i + len(places) // 2) % len(places)]
    return (
        place.label,
        _code(place.bag_code) if place.bag_code else "no bag",
        words.grams(place.bag_g),
        words.grams(place.filler_g) if place.filler_g else "none",
        other.label,
        words.grams(abs(place.mass_g - other.mass_g)),
    )


def _code(code: str) -> str:
    try:
        return str(read_code(code))
    except BadCode:
        return code


def _ending(code: str) -> str:
    """The four figures a person looks for on the bag."""
    try:
        return f"…{read_code(code).text[8:12]}"
    except BadCode:
        return code if len(code) <= 6 else f"…{code[-4:]}"


def _alt(
    places: Sequence[Place],
    pairs: Sequence[tuple[Place, Place]],
    pair_limit_g: int,
    residual_g: float,
    limit_g: int,
) -> str:
    near, far = max(pairs, key=lambda pair: abs(pair[0].mass_g - pair[1].mass_g))
    apart = abs(near.mass_g - far.mass_g)
    limit = f"the limit is {words.grams(pair_limit_g)}"
    if apart > pair_limit_g:
        return f"Not in balance: places {near.label} and {far.label} are {words.grams(apart)} apart; {limit}."
    if residual_g > limit_g:
        return (
            f"Not in balance: all places together pull {words.grams(round(residual_g))} to one side; "
            f"the limit is {words.grams(limit_g)}."
        )
    filled = [f"{words.grams(place.filler_g)} in place {place.label}" for place in places if place.filler_g]
    filler = f" Filler: {', '.join(filled)}." if filled else " No filler is needed."
    return f"In balance: opposite places are at most {words.grams(apart)} apart; {limit}.{filler}"


class _Wheel:
    """Where the buckets stand: at true angles, the first at the top, clockwise."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.radius = 62.0 if count <= 8 else 54.0

    def spot(self, i: int) -> complex:
        far = _CENTRE - 20 - self.radius
        return complex(_CENTRE, _CENTRE) + cmath.rect(far, 2 * math.pi * i / self.count - math.pi / 2)


def _bucket(place: Place, spot: complex, radius: float) -> list[str]:
    x, y = spot.real, spot.imag
    drawn = [d.circle(x, y, radius, "bucket")]
    if place.filler_g:
        drawn.append(d.circle(x, y, radius, "bucket-hatch", fill=d.hatched("net")))
    drawn.append(d.circle(x, y, radius - 10, "bucket-in" if place.bag_code else "bucket-in bucket-empty"))
    lines = [_ending(place.bag_code), words.grams(place.bag_g)] if place.bag_code else ["no bag"]
    if place.filler_g:
        lines.append(f"+{words.NO_BREAK}{words.grams(place.filler_g)}")
    step = d.SMALL * 1.2
    foot = y - len(lines) * step / 2 + d.SMALL * 0.95
    for i, line in enumerate(lines):
        bold = i == 0 and place.bag_code is not None
        drawn.append(d.text(x, foot + i * step, line, size=d.SMALL, bold=bold, anchor="middle"))
    inward = complex(_CENTRE, _CENTRE) - spot
    badge = spot + inward / abs(inward) * radius
    drawn.append(d.circle(badge.real, badge.imag, 15, "badge"))
    drawn.append(
        d.text(
            badge.real,
            badge.imag + 6,
            place.label,
            size=d.SMALL,
            bold=True,
            anchor="middle",
            kind="badge-text",
        )
    )
    return drawn


def _hub(residual: complex, limit_g: int) -> list[str]:
    """The axis, the limit as a ring, and a dot where all masses together pull."""
    rings = min(abs(residual) / limit_g, _FARTHEST) if limit_g else 0.0
    # residual_vector_g counts angles from the first place; on the page that is straight up, clockwise
    off = cmath.rect(rings * _RING, cmath.phase(residual) - math.pi / 2) if abs(residual) > 1e-9 else 0j
    too_far = abs(residual) > limit_g
    return [
        d.circle(_CENTRE, _CENTRE, 96, "rotor-hub"),
        d.circle(_CENTRE, _CENTRE - 22, _RING, "limit-ring"),
        d.line(_CENTRE - 6, _CENTRE - 22, _CENTRE + 6, _CENTRE - 22, "axis"),
        d.line(_CENTRE, _CENTRE - 28, _CENTRE, _CENTRE - 16, "axis"),
        d.circle(_CENTRE + off.real, _CENTRE - 22 + off.imag, 7, "pull-too-far" if too_far else "pull"),
        d.text(
            _CENTRE, _CENTRE + 52, f"pull {words.grams(round(abs(residual)))}", bold=True, anchor="middle"
        ),
        d.text(_CENTRE, _CENTRE + 74, f"limit {words.grams(limit_g)}", size=d.SMALL, anchor="middle"),
    ]


def _panel(pairs: Sequence[tuple[Place, Place]], limit_g: int) -> list[str]:
    """Each pair of opposite places: the difference in g, and as a bar against the limit."""
    step = 66.0
    y = _CENTRE - (len(pairs) * step + 30) / 2 + 8
    drawn = [
        d.text(_PANEL_X, y, "Opposite places", bold=True),
        d.text(_PANEL_X, y + 23, f"limit {words.grams(limit_g)}", size=d.SMALL),
    ]
    for i, (near, far) in enumerate(pairs):
        drawn += _pair(near, far, limit_g, y + 62 + i * step)
    return drawn


def _pair(near: Place, far: Place, limit_g: int, y: float) -> list[str]:
    apart = abs(near.mass_g - far.mass_g)
    too_far = apart > limit_g
    says = f"{words.grams(apart)} apart" + (": too much" if too_far else "")
    filled = min(apart / limit_g, 1.35) * _BAR if limit_g else 0.0
    drawn = [
        d.text(_PANEL_X, y, f"{near.label} and {far.label}", size=d.SMALL, bold=True),
        d.text(_PANEL_X + 88, y, says, size=d.SMALL, bold=too_far),
        d.rect(_PANEL_X, y + 9, _BAR, 14, "bar-track"),
    ]
    if filled:
        drawn.append(d.rect(_PANEL_X, y + 9, filled, 14, "bar-too-far" if too_far else "bar"))
    drawn.append(d.line(_PANEL_X + _BAR, y + 4, _PANEL_X + _BAR, y + 28, "bar-limit"))
    return drawn
