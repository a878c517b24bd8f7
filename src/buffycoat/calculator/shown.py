"""How values of several parts are told line by line, where their own parts are not what a reader asks for."""

import cmath
import math
from collections.abc import Mapping, Sequence
from datetime import datetime

from buffycoat.calculator.results import UTC_ZONE, Line
from buffycoat.science.balance import Loading
from buffycoat.science.composition import Content, Layer, haematocrit_of, mass_g, volume_ml
from buffycoat.science.control_charts import Chart
from buffycoat.science.numbering import Code
from buffycoat.science.reconcile import Reconciled, say_misfit
from buffycoat.science.settling import Settled
from buffycoat.science.warmth import Kinetic

MOST_POINTS = 60


def content(bag: Content) -> tuple[Line, ...]:
    """What a bag is as a whole, at the usual densities, and its four volumes."""
    return _whole(bag) + _parts(bag)


def left_and_taken(bags: tuple[Content, Content]) -> tuple[Line, ...]:
    return _bags(dict(zip(("left in the bag", "taken off"), bags, strict=True)))


def split(bags: Sequence[Content]) -> tuple[Line, ...]:
    return _bags({f"part {place}": bag for place, bag in enumerate(bags, start=1)})


def _bags(bags: Mapping[str, Content]) -> tuple[Line, ...]:
    """The whole of every bag first, and then the parts of each."""
    return tuple(
        line for tell in (_whole, _parts) for label, bag in bags.items() for line in tell(bag, label)
    )


def _whole(bag: Content, label: str = "") -> tuple[Line, ...]:
    total = volume_ml(bag)
    lines = (
        Line(label=_named(label, "volume"), value=total, unit="mL", decimals=1),
        Line(label=_named(label, "mass at 20 °C"), value=mass_g(bag), unit="g", decimals=1),
    )
    if total <= 0:
        return lines
    return (*lines, Line(label=_named(label, "haematocrit"), value=haematocrit_of(bag), decimals=4))


def _parts(bag: Content, label: str = "") -> tuple[Line, ...]:
    names = ("red cells", "plasma", "anticoagulant", "additive")
    return tuple(
        Line(label=_named(label, name), value=part, unit="mL", decimals=1)
        for name, part in zip(names, bag.parts_ml, strict=True)
    )


def layers(found: Sequence[Layer]) -> tuple[Line, ...]:
    return tuple(
        line
        for each in found
        for line in (
            Line(label=f"{_capital(each.name)}: volume", value=each.volume_ml, unit="mL", decimals=1),
            Line(label=f"{_capital(each.name)}: mass", value=each.mass_g, unit="g", decimals=1),
        )
    )


def loading(found: Loading) -> tuple[Line, ...]:
    whole = (
        Line(label="Filler in all", value=found.filler_g, unit="g", decimals=3),
        Line(label="Places that take filler", value=found.fillers),
        Line(
            label="Largest difference of opposite places",
            value=found.largest_difference_g,
            unit="g",
            decimals=3,
        ),
        Line(label="Vector sum", value=found.residual_g, unit="g", decimals=2),
        Line(label="Proven: no less filler would do", value=found.proven),
    )
    return whole + tuple(
        Line(
            label=f"Place {place.number}",
            value=(" + ".join(load.label for load in place.loads) or "no bag")
            + (f", {place.filler_g:g} g of filler" if place.filler_g else ""),
        )
        for place in found.places
    )


def utc(found: datetime) -> tuple[Line, ...]:
    return (Line(label="In UTC", value=found, zone=UTC_ZONE),)


def vector(found: complex) -> tuple[Line, ...]:
    # Next to nothing points nowhere.
    angle = math.degrees(cmath.phase(found)) % 360 if abs(found) > 1e-9 else 0.0
    return (
        Line(label="Length", value=abs(found), unit="g", decimals=2),
        Line(label="Angle, from the first place", value=angle, unit="°", decimals=1),
    )


def settled(found: Settled) -> tuple[Line, ...]:
    return (
        Line(label="Clear plasma, share of the depth (estimate)", value=found.plasma_share, decimals=3),
        Line(label="Haematocrit below the plasma (estimate)", value=found.packed_haematocrit, decimals=3),
        Line(label="Depths a lone cell would have sunk", value=found.depths, decimals=2),
    )


def chart(found: Chart, label: str = "") -> tuple[Line, ...]:
    beyond = ", ".join(map(str, found.outside)) or "none"
    lines = [
        Line(label=_named(label, "points beyond a limit"), value=beyond),
        Line(label=_named(label, "centre"), value=found.centre, decimals=4),
    ]
    for name, limits in (("lower", found.lower), ("upper", found.upper)):
        each = (limits[0],) if len(set(limits)) == 1 else limits[:MOST_POINTS]
        lines += [
            Line(label=_named(label, _numbered(f"{name} limit", place, each)), value=limit, decimals=4)
            for place, limit in enumerate(each, start=1)
            if math.isfinite(limit)
        ]
    lines += [
        Line(label=_named(label, f"point {place}"), value=point, decimals=4)
        for place, point in enumerate(found.points[:MOST_POINTS], start=1)
    ]
    return tuple(lines)


def means_and_ranges(found: tuple[Chart, Chart]) -> tuple[Line, ...]:
    return chart(found[0], "means") + chart(found[1], "ranges")


def sums_above_and_below(found: tuple[Chart, Chart]) -> tuple[Line, ...]:
    return chart(found[0], "above the target") + chart(found[1], "below the target")


def alarms(found: Sequence[tuple[int, tuple[str, ...]]]) -> tuple[Line, ...]:
    return tuple(Line(label=f"Point {number}", value="; ".join(broken)) for number, broken in found)


def windows(found: Sequence[Kinetic]) -> tuple[Line, ...]:
    warmest = max(found, key=lambda each: each.temperature_c)
    return (
        Line(label="Warmest window", value=warmest.temperature_c, unit="°C", decimals=2),
        Line(label="It ended", value=warmest.until),
        Line(label="Full windows", value=len(found)),
    )


def pauses(found: Sequence[tuple[datetime, datetime]]) -> tuple[Line, ...]:
    return tuple(
        line
        for place, (start, end) in enumerate(found, start=1)
        for line in (
            Line(label=f"Pause {place}: from", value=start),
            Line(label=f"Pause {place}: to", value=end),
        )
    )


RECONCILED = {
    "drawn_g": ("Drawn bag", "g"),
    "pcv": ("PCV of the donor", ""),
    "anticoagulant_ml": ("Anticoagulant", "mL"),
    "plasma_g": ("Plasma pressed off", "g"),
    "cells_g": ("Red cells, before additive", "g"),
    "additive_ml": ("Additive", "mL"),
    "product_g": ("Red cells with additive", "g"),
    "product_haematocrit": ("Haematocrit of the product", ""),
    "red_cells_ml": ("Red cells of the draw", "mL"),
    "plasma_ml": ("Plasma of the draw", "mL"),
    "share_expressed": ("Share of the plasma pressed off", ""),
}


def reconciled(found: Reconciled) -> tuple[Line, ...]:
    """What does not fit first, then every value as the rest says it was."""
    suspects = found.suspects()
    doubtful = " ".join(say_misfit(each) for each in suspects)
    if len(suspects) > 1:
        doubtful = f"No test can tell which of {len(suspects)} is wrong. {doubtful}"
    fit = "All fit." if found.fits() else "They do not fit, and none of them stands out."
    lines = [
        Line(label="Do they fit?", value=doubtful or fit),
        Line(label="Chance of so much disagreement", value=found.probability, decimals=4),
    ]
    for name, each in found.estimates.items():
        label, unit = RECONCILED.get(name, (_capital(name), "g"))
        decimals = 1 if unit else 4
        lines.append(Line(label=label, value=each.value, unit=unit, decimals=decimals))
        lines.append(
            Line(label=f"{label}: standard uncertainty", value=each.sd, unit=unit, decimals=decimals)
        )
    return tuple(lines)


def code(found: Code) -> tuple[Line, ...]:
    return (
        Line(label="Code", value=str(found)),
        Line(label="Sticks to", value=found.noun),
        Line(label="Site", value=found.site),
        Line(label="Serial", value=f"{found.serial:07d}"),
    )


def _numbered(what: str, place: int, among: Sequence[float]) -> str:
    return what if len(among) == 1 else f"{what} of point {place}"


def _named(label: str, what: str) -> str:
    return _capital(f"{label}: {what}" if label else what)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
