"""Named run rules: patterns that chance seldom makes, looked for one point at a time.

Each rule has a name, not a number, because the books number them differently; one calls eight on one side a run,
another nine.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Final

from buffycoat.science.errors import OutOfRange, above

RULES: Final = {
    "beyond three sigma": "one point more than three sigma from the centre",
    "two of three beyond two sigma": "two of three points in a row more than two sigma out on one side",
    "four of five beyond one sigma": "four of five points in a row more than one sigma out on one side",
    "eight on one side": "eight points in a row on one side of the centre",
    "nine on one side": "nine points in a row on one side of the centre",
}
WESTERN_ELECTRIC: Final = tuple(RULES)[:4]
_RUNS: Final = {"eight on one side": 8, "nine on one side": 9}


@dataclass(frozen=True, kw_only=True)
class Memory:
    """All that the rules need to know of the points before: four zones, and how long the run on one side is."""

    zones: tuple[int, ...] = ()
    run: int = 0


def zone(z: float) -> int:
    """Give how many whole sigmas a point lies out, with its side: 1 to 4 above the centre, −1 to −4 below, 0 on it.

    >>> [zone(z) for z in (0.5, 1.5, 2.5, 3.5, -0.5, -3.5, 0)]
    [1, 2, 3, 4, -1, -4, 0]
    """
    size = 1 + sum(abs(z) > bound for bound in (1, 2, 3))
    return size if z > 0 else -size if z < 0 else 0


def step(
    memory: Memory, z: float, rules: Collection[str] = WESTERN_ELECTRIC
) -> tuple[Memory, tuple[str, ...]]:
    """Take one more point, in sigmas from the centre; give the new memory and the names of the rules it breaks.

    Arguments: z, a number; rules, names out of RULES.
    Raises: OutOfRange for an unknown rule or a z that is not a number.
    Range: independent normal points: with all four Western Electric rules a false alarm every 91.75 points.
    Source: Western Electric, Statistical Quality Control Handbook; C. W. Champ and W. H. Woodall, Technometrics 1987,
    from memory.

    >>> memory, told = step(Memory(), 2.2)
    >>> step(memory, 2.3)[1]
    ('two of three beyond two sigma',)
    """
    for rule in rules:
        if rule not in RULES:
            raise OutOfRange(f"There is no run rule {rule!r}; there are {', '.join(RULES)}.")
    if z != z:
        raise OutOfRange("A point is not a number.")
    here = zone(z)
    side = (here > 0) - (here < 0)
    zones = (*memory.zones, here)
    run = memory.run + side if memory.run * side > 0 else side
    broken = {
        "beyond three sigma": abs(here) == 4,
        "two of three beyond two sigma": _some(zones[-3:], side, 3, 2),
        "four of five beyond one sigma": _some(zones[-5:], side, 2, 4),
        "eight on one side": abs(run) >= 8,
        "nine on one side": abs(run) >= 9,
    }
    longest = max(_RUNS.values())
    kept = Memory(zones=zones[-4:], run=max(-longest, min(longest, run)))
    return kept, tuple(rule for rule in RULES if rule in rules and broken[rule])


def alarms(
    points: Iterable[float], centre: float, sigma: float, rules: Collection[str] = WESTERN_ELECTRIC
) -> tuple[tuple[int, tuple[str, ...]], ...]:
    """Give the numbers, from 1, of the points that break a rule, each with the names of the rules.

    Arguments: points; centre; sigma, above 0; rules as for `step`.
    Raises: OutOfRange as `step`, or for a sigma of nought.
    Range: as for `step`; an alarm is given for every point at which the pattern stands.
    Source: Western Electric, as for `step`.

    >>> alarms([50, 57, 50, 56.5, 60.5], 50, 3)
    ((4, ('two of three beyond two sigma',)), (5, ('beyond three sigma', 'two of three beyond two sigma')))
    """
    above("sigma", sigma, 0, 1e12)
    memory, told = Memory(), []
    for number, point in enumerate(points, start=1):
        memory, broken = step(memory, (point - centre) / sigma, rules)
        if broken:
            told.append((number, broken))
    return tuple(told)


def _some(zones: tuple[int, ...], side: int, from_zone: int, wanted: int) -> bool:
    """Whether enough lie out on the side of the newest point, which must be one of them."""
    return (
        side != 0
        and zones[-1] * side >= from_zone
        and sum(each * side >= from_zone for each in zones) >= wanted
    )
