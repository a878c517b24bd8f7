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
    "six steadily up or down": "six points in a row, each higher than the one before, or each lower",
    "fourteen up and down in turn": "fourteen points in a row, up and down in turn",
    "fifteen within one sigma": "fifteen points in a row no more than one sigma from the centre, on either side",
    "eight beyond one sigma": "eight points in a row more than one sigma from the centre, on either side",
}
WESTERN_ELECTRIC: Final = tuple(RULES)[:4]
NELSON: Final = (
    "beyond three sigma",
    "nine on one side",
    "six steadily up or down",
    "fourteen up and down in turn",
    "two of three beyond two sigma",
    "four of five beyond one sigma",
    "fifteen within one sigma",
    "eight beyond one sigma",
)
_ZONED: Final = {"two of three beyond two sigma", "four of five beyond one sigma"}
_RUNNING: Final = {"eight on one side", "nine on one side"}
_MOVING: Final = {"six steadily up or down", "fourteen up and down in turn"}
_SPREAD: Final = {"fifteen within one sigma", "eight beyond one sigma"}
_LONGEST_RUN: Final = 9
_LONGEST_WAY: Final = 5
_MOST_TURNS: Final = 13
_LONGEST_SPREAD: Final = 15


@dataclass(frozen=True, kw_only=True)
class Memory:
    """All that the rules asked for need to know of the points before.

    Four zones; how long the run on one side is; the last point, how many moves went one way (down is negative) and how
    many turned back in turn; how many points lay within one sigma (positive) or beyond it (negative).
    """

    zones: tuple[int, ...] = ()
    run: int = 0
    last: float | None = None
    way: int = 0
    turns: int = 0
    spread: int = 0


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

    Arguments: z, a number; rules, names out of RULES; WESTERN_ELECTRIC has four of them, NELSON eight. The memory holds
    only what these rules need, so keep to the same rules from point to point.
    Raises: OutOfRange for an unknown rule or a z that is not a number.
    Range: independent normal points: with all four Western Electric rules a false alarm every 91.75 points.
    Source: Western Electric, Statistical Quality Control Handbook; C. W. Champ and W. H. Woodall, Technometrics 1987,
    from memory; L. S. Nelson, Journal of Quality Technology 1984: each of his eight false in fewer than six of a
    thousand windows.

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
    zones: tuple[int, ...] = ()
    run, last, way, turns, spread = 0, memory.last, 0, 0, 0
    if not _ZONED.isdisjoint(rules):
        zones = (*memory.zones, here)
    if not _RUNNING.isdisjoint(rules):
        run = _on(memory.run, side, _LONGEST_RUN)
    if not _MOVING.isdisjoint(rules):
        move = 0 if last is None else (z > last) - (z < last)
        turns = min(_MOST_TURNS, memory.turns + 1) if move * memory.way < 0 else abs(move)
        last, way = z, _on(memory.way, move, _LONGEST_WAY)
    if not _SPREAD.isdisjoint(rules):
        spread = _on(memory.spread, 1 if abs(here) <= 1 else -1, _LONGEST_SPREAD)
    broken = {
        "beyond three sigma": abs(here) == 4,
        "two of three beyond two sigma": _some(zones[-3:], side, 3, 2),
        "four of five beyond one sigma": _some(zones[-5:], side, 2, 4),
        "eight on one side": abs(run) >= 8,
        "nine on one side": abs(run) >= 9,
        "six steadily up or down": abs(way) >= 5,
        "fourteen up and down in turn": turns >= 13,
        "fifteen within one sigma": spread >= 15,
        "eight beyond one sigma": spread <= -8,
    }
    kept = Memory(zones=zones[-4:], run=run, last=last, way=way, turns=turns, spread=spread)
    return kept, tuple(rule for rule in RULES if rule in rules and broken[rule])


def alarms(
    points: Iterable[float], centre: float, sigma: float, rules: Collection[str] = WESTERN_ELECTRIC
) -> tuple[tuple[int, tuple[str, ...]], ...]:
    """Give the numbers, from 1, of the points that break a rule, each with the names of the rules.

    Arguments: points; centre; sigma, above 0; rules, by name: the four of Western Electric,
    if none are named.
    Raises: OutOfRange as `step`, or for a sigma of nought.
    Range: independent normal points: with all four Western Electric rules a false alarm every 91.75 points. An alarm is
    given for every point at which the pattern stands.
    Source: Western Electric, Statistical Quality Control Handbook; L. S. Nelson, Journal of Quality Technology 1984;
    C. W. Champ and W. H. Woodall, Technometrics 1987, from memory.

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


def _on(count: int, way: int, most: int) -> int:
    """A signed count of the same way in a row, one further; it starts anew where the way changes."""
    return max(-most, min(most, count + way)) if count * way > 0 else way


def _some(zones: tuple[int, ...], side: int, from_zone: int, wanted: int) -> bool:
    """Whether enough lie out on the side of the newest point, which must be one of them."""
    out = [each * side >= from_zone for each in zones]
    return sum(out) >= wanted and out[-1]
