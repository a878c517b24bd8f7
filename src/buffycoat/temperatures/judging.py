"""What the site's rule says of a unit that was in a place while it was out of its range. Pure.

The air is measured, and a bag follows it slowly: to take the air's temperature for the bag's is the careful side.
"""

from dataclasses import dataclass

from buffycoat.labels.products import FREEZER
from buffycoat.site.rules import Limits
from buffycoat.temperatures.bands import COLD

KEEP, USE_FIRST, DISCARD = "keep", "use-first", "discard"
VERDICTS = {KEEP: "Keep", USE_FIRST: "Use first", DISCARD: "Discard"}


@dataclass(frozen=True, kw_only=True)
class Exposure:
    """How far and how long; `before`: in how many other alarms the unit was."""

    kept_in: str
    cause: str
    extreme_centi_c: int
    minutes: int
    before: int


@dataclass(frozen=True, kw_only=True)
class Advice:
    """`keys` are the site's limits that it rests on."""

    verdict: str
    because: str
    keys: tuple[str, ...]


def advice(unit: Exposure, site: Limits) -> Advice:
    """Keep if it went neither too far nor too long and was never out before; else discard, with every reason."""
    most_min = site.whole("excursion_longest_min")
    edge = _edge(unit)
    edge_c = site.whole(edge)
    against = []
    if unit.cause == COLD and unit.extreme_centi_c < edge_c * 100:
        against.append(f"it was colder than {edge_c} °C")
    if unit.cause != COLD and unit.extreme_centi_c > edge_c * 100:
        against.append(f"it was warmer than {edge_c} °C".replace("-", "\u2212"))
    if unit.minutes > most_min:
        against.append(f"{unit.minutes} min are longer than {most_min} min")
    if unit.before:
        against.append("it was out of its range before, and once is the most")
    if against:
        return Advice(verdict=DISCARD, because="; ".join(against), keys=(edge, "excursion_longest_min"))
    because = f"not beyond {edge_c} °C, {unit.minutes} of at most {most_min} min, for the first time"
    return Advice(verdict=KEEP, because=because.replace("-", "\u2212"), keys=(edge, "excursion_longest_min"))


def _edge(unit: Exposure) -> str:
    if unit.cause == COLD:
        return "excursion_least_c"
    return "freezer_excursion_most_c" if unit.kept_in == FREEZER else "excursion_most_c"
