"""Pictures beside results: the bag, the rotor, and a small curve in the same strokes."""

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Any

from buffycoat.science.balance import Loading
from buffycoat.science.composition import Layer
from buffycoat.science.control_charts import Chart
from buffycoat.science.finding import Search, chance_of_enough
from buffycoat.science.sampling import accept_probability
from buffycoat.science.settling import Settled
from buffycoat.shell.pictures import drawing as d
from buffycoat.shell.pictures.bag import draw_bag
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.pictures.rotor import Place, draw_rotor
from buffycoat.shell.words import scaled

_WIDTH, _HEIGHT = 560, 340
_LEFT, _RIGHT, _TOP, _FOOT = 72.0, 440.0, 48.0, 280.0
Point = tuple[float, float]


def bag(layers: Sequence[Layer], given: Mapping[str, Any]) -> Picture:
    return draw_bag(layers)


def rotor(loading: Loading, given: Mapping[str, Any]) -> Picture | None:
    """Drawn to the gram, so there is none where a mass or a limit is finer than that."""
    fine = [place.mass_g for place in loading.places] + [given["pair_limit_g"], given["vector_limit_g"] or 0]
    if any(mass != round(mass) for mass in fine):
        return None
    places = [
        Place(
            label=str(place.number),
            bag_code=" + ".join(load.label for load in place.loads) or None,
            bag_g=round(sum(load.mass_g for load in place.loads)),
            filler_g=round(place.filler_g),
            bucket_g=round(place.bucket_g),
        )
        for place in loading.places
    ]
    vector_limit_g = given["vector_limit_g"] and round(given["vector_limit_g"])
    return draw_rotor(places, pair_limit_g=round(given["pair_limit_g"]), vector_limit_g=vector_limit_g)


def control_chart(found: Chart | tuple[Chart, ...], given: Mapping[str, Any]) -> Picture:
    chart = found if isinstance(found, Chart) else found[0]
    numbered = list(enumerate(chart.points, start=1))
    limits = {"upper": max(chart.upper), "centre": chart.centre, "lower": min(chart.lower)}
    says = ", ".join(str(number) for number in chart.outside) or "none"
    return draw_curve(
        numbered,
        across="number",
        up="value",
        alt=f"{len(numbered)} points; beyond a limit: {says}.",
        lines={name: at for name, at in limits.items() if abs(at) != float("inf")},
        dots=True,
    )


def chances(found: Search, given: Mapping[str, Any]) -> Picture:
    """The chance of enough for every number tested up to twice what is wanted."""
    needed, share, chance = given["needed"], given["compatible_share"], given["chance"]
    most = max(found.number + found.number // 2, needed + 3)
    step = max(1, most // 120)
    points = [(float(n), chance_of_enough(n, needed, share)) for n in range(needed, most + 1, step)]
    return draw_curve(
        points,
        across="number tested",
        up="chance of enough",
        alt=f"The chance of enough rises with the number tested and reaches {chance:g} at {found.number}.",
        lines={"wanted": chance},
        at=float(found.number),
    )


def passing(found: float, given: Mapping[str, Any]) -> Picture:
    """The chance of passing against the share that fails."""
    tested, allowed, share = given["tested"], given["failures_allowed"], given["failing_share"]
    widest = min(1.0, max(2 * share, 3 * (allowed + 2) / tested))
    points = [(widest * n / 60, accept_probability(tested, allowed, widest * n / 60)) for n in range(61)]
    return draw_curve(
        points,
        across="share that fails",
        up="chance of passing",
        alt=f"The chance of passing falls as more fail; it is {found:.3g} where a share of {share:g} fails.",
        at=share,
    )


def column(found: Settled, given: Mapping[str, Any]) -> Picture:
    """The haematocrit down the column."""
    count = len(found.profile)
    # Each layer is one step of the stair.
    points = [((place + edge) / count, crowd) for place, crowd in enumerate(found.profile) for edge in (0, 1)]
    return draw_curve(
        points,
        across="depth, as a share, from the top",
        up="haematocrit",
        alt=f"Clear plasma down to {found.plasma_share:.2f} of the depth; below it a mean haematocrit of "
        f"{found.packed_haematocrit:.2f}. An estimate.",
        lines={"before": given["haematocrit"]},
        at=found.plasma_share,
    )


def temperatures(found: Any, given: Mapping[str, Any]) -> Picture:
    readings = given["readings"]
    hours = [(each.at - readings[0].at) / timedelta(hours=1) for each in readings]
    limits = {name: given[key] for name, key in (("upper", "high_c"), ("lower", "low_c")) if key in given}
    warm = [each.temperature_c for each in readings]
    return draw_curve(
        list(zip(hours, warm, strict=True)),
        across="hours since the first reading",
        up="°C",
        alt=f"{len(readings)} readings from {min(warm):g} to {max(warm):g} °C.",
        lines=limits,
        dots=len(readings) <= 60,
    )


def draw_curve(
    points: Sequence[Point],
    *,
    across: str,
    up: str,
    alt: str,
    lines: Mapping[str, float] | None = None,
    at: float | None = None,
    dots: bool = False,
) -> Picture:
    """A curve through points, with named levels across it and one place marked by an upright stroke."""
    lines = lines or {}
    left, right = _span([x for x, _ in points])
    low, high = _span([y for _, y in points] + list(lines.values()))

    def x_of(x: float) -> float:
        return _LEFT + (x - left) / (right - left) * (_RIGHT - _LEFT)

    def y_of(y: float) -> float:
        return _FOOT - (y - low) / (high - low) * (_FOOT - _TOP)

    body = [d.line(_LEFT, _TOP, _LEFT, _FOOT, "axis"), d.line(_LEFT, _FOOT, _RIGHT, _FOOT, "axis")]
    body += [
        d.text(_LEFT, _TOP - 26, up, size=d.SMALL),
        d.text((_LEFT + _RIGHT) / 2, _HEIGHT - 12, across, size=d.SMALL, anchor="middle"),
    ]
    body += [d.text(x_of(x), _FOOT + 24, _short(x), size=d.SMALL, anchor="middle") for x in (left, right)]
    body += [d.text(_LEFT - 10, y_of(y) + 6, _short(y), size=d.SMALL, anchor="end") for y in (low, high)]
    names = sorted(lines.items(), key=lambda named: -named[1])
    heights = d.spread([y_of(level) for _, level in names], [22] * len(names), _TOP - 12, _FOOT + 12)
    for (name, level), height in zip(names, heights, strict=True):
        body.append(d.path(f"M{_LEFT:.1f} {y_of(level):.1f}H{_RIGHT:.1f}", "limit-ring"))
        body.append(d.text(_RIGHT + 8, height + 6, f"{name} {_short(level)}", size=d.SMALL))
    steps = "L".join(f"{x_of(x):.1f} {y_of(y):.1f}" for x, y in points)
    body.append(d.path(f"M{steps}", "lead-stop"))
    if dots:
        body += [d.circle(x_of(x), y_of(y), 4.5, "time-dot") for x, y in points]
    if at is not None:
        body.append(d.line(x_of(at), _TOP, x_of(at), _FOOT, "today"))
        body.append(d.text(x_of(at), _TOP - 5, _short(at), size=d.SMALL, bold=True, anchor="middle"))
    return Picture(
        svg=d.framed(_WIDTH, _HEIGHT, "".join(body), alt, kind="curve"),
        alt=alt,
        columns=(across, up),
        rows=tuple((_short(x), _short(y)) for x, y in points),
    )


def _span(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    room = 0.0 if high > low else abs(high) * 0.1 or 1.0
    return low - room, high + room


def _short(value: float) -> str:
    size = max((places for places in (3, 2, 1) if abs(value) < 10 ** (3 - places)), default=0)
    return scaled(round(value * 10**size), size)
