"""Which bag goes in which bucket, and the least filler that makes opposite buckets equal.

Places stand at equal angles and are numbered from 1; the place opposite i is i + n/2. The maker's manual of the
centrifuge has the last word on limits, bucket types and what may stand opposite what.
"""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from buffycoat.science.balance_groups import Group, Problem, arrange, least_filler, steadied
from buffycoat.science.errors import OutOfRange, above, whole, within

MOST_PLACES = 48
MOST_BAGS_A_PLACE = 12
_MG = 1000


@dataclass(frozen=True, kw_only=True)
class Load:
    """A bag to be spun: what is written on it and what it weighs, to the milligram at the finest."""

    label: str
    mass_g: float

    def __post_init__(self) -> None:
        above(f"mass of {self.label or 'a bag'}", self.mass_g, 0, 20_000, "g")


@dataclass(frozen=True, kw_only=True)
class Place:
    """One place of the loaded rotor."""

    number: int
    loads: tuple[Load, ...]
    bucket_g: float
    filler_g: float

    @property
    def mass_g(self) -> float:
        """Bucket, bags and filler together."""
        return math.fsum((self.bucket_g, self.filler_g, *(load.mass_g for load in self.loads)))


@dataclass(frozen=True, kw_only=True)
class Loading:
    """A loaded rotor; `proven` says whether it is known that no less filler would do."""

    places: tuple[Place, ...]
    proven: bool

    @property
    def filler_g(self) -> float:
        """All filler together."""
        return math.fsum(place.filler_g for place in self.places)

    @property
    def fillers(self) -> int:
        """How many places take filler."""
        return sum(1 for place in self.places if place.filler_g > 0)

    @property
    def pairs(self) -> tuple[tuple[Place, Place], ...]:
        """Each place with the one opposite."""
        half = len(self.places) // 2
        return tuple(zip(self.places[:half], self.places[half:], strict=True))

    @property
    def largest_difference_g(self) -> float:
        """The largest difference between opposite places."""
        return max(abs(near.mass_g - far.mass_g) for near, far in self.pairs)

    @property
    def residual_g(self) -> float:
        """The length of the vector sum of all places; 0 is a rotor in balance."""
        return residual_g([place.mass_g for place in self.places])


def residual_vector_g(masses_g: Sequence[float]) -> complex:
    """Add up masses standing at equal angles as vectors; the first stands at angle 0.

    R = Σ mₖ e^(2πik/n). Arguments: masses_g, one for each place, none negative.
    Raises: OutOfRange for fewer than two places or a negative mass.
    Range: equal radius and height; only static balance.
    Source: statics.

    >>> abs(residual_vector_g([500, 500])) < 1e-9
    True
    """
    count = whole("number of places", len(masses_g), 2, MOST_PLACES)
    for mass in masses_g:
        within("mass in a place", mass, 0, 100_000, "g")
    return sum((mass * cmath.rect(1, 2 * math.pi * k / count) for k, mass in enumerate(masses_g)), 0j)


def residual_g(masses_g: Sequence[float]) -> float:
    """Give the length of the vector sum of masses standing at equal angles.

    |Σ mₖ e^(2πik/n)|. Arguments and errors as for `residual_vector_g`.
    Range: necessary and not sufficient: opposite buckets must also be equal within the rotor's own limit.
    Source: statics; four places of 600, 610, 605 and 600 g leave √125 g.

    >>> round(residual_g([600, 610, 605, 600]), 7)
    11.1803399
    """
    return abs(residual_vector_g(masses_g))


def can_balance(places: int, equal_loads: int) -> bool:
    """Say whether a number of equal loads can be put in balance at all.

    True if both the loads and the empty places are sums of prime divisors of the number of places.
    Arguments: places, 2 to 48; equal_loads, 0 to places.
    Raises: OutOfRange outside those ranges.
    Range: vector balance of equal loads; it may need arrangements that pair limits forbid (5 of 12: 0, 4, 8 and 3, 9).
    Source: G. Sivek, On vanishing sums of distinct roots of unity, Integers 2010, from memory.

    >>> [k for k in range(7) if can_balance(6, k)]
    [0, 2, 3, 4, 6]
    """
    whole("number of places", places, 2, MOST_PLACES)
    whole("number of loads", equal_loads, 0, places)
    return _sum_of_prime_divisors(places, equal_loads) and _sum_of_prime_divisors(
        places, places - equal_loads
    )


@cache
def _sum_of_prime_divisors(places: int, total: int) -> bool:
    primes = [p for p in range(2, places + 1) if places % p == 0 and all(p % q for q in range(2, p))]
    return total == 0 or any(total >= p and _sum_of_prime_divisors(places, total - p) for p in primes)


def balance(
    loads: Sequence[Load],
    places: int,
    *,
    pair_limit_g: float,
    buckets_g: Sequence[float] | None = None,
    vector_limit_g: float | None = None,
    filler_step_g: float = 1,
    bags_per_place: int = 1,
) -> Loading:
    """Put bags into the places of a rotor so that opposite places are equal, with the least filler.

    Least total filler first, then fewest places with filler, then a small vector sum. Opposite places that hold no
    bag stay empty unless their buckets differ by more than the limit.

    Arguments: loads; places, even, 2 to 48; pair_limit_g, the largest difference of opposite places, 0 to 1000 g;
    buckets_g, the empty buckets in order (None: all equal); vector_limit_g, the largest vector sum, if the rotor has
    one; filler_step_g, the smallest piece of filler, 0.001 to 100 g; bags_per_place, 1 to 12.
    Raises: OutOfRange with the reason in words when it cannot be done.
    Range: masses count to the milligram. Up to 12 places and 24 bags are searched whole, and the answer is exact and
    `proven` unless that was too much; a larger rotor is improved part by part, and proven only where it reaches what
    nothing can beat. Filler added only for the vector sum is not proven least.
    Source: own method: two halves of the rotor meet, checked against brute force and mixed-integer programming.

    >>> bags = [Load(label="A", mass_g=610), Load(label="B", mass_g=600)]
    >>> loading = balance(bags, 4, pair_limit_g=2)
    >>> loading.filler_g, loading.largest_difference_g, [len(place.loads) for place in loading.places]
    (8.0, 2.0, [1, 0, 1, 0])
    """
    _refuse(loads, places, buckets_g, pair_limit_g, vector_limit_g, filler_step_g, bags_per_place)
    empty_g = list(buckets_g) if buckets_g is not None else [0.0] * places
    problem = Problem(
        masses=tuple(_whole_mg(load.mass_g) for load in loads),
        buckets=tuple(_whole_mg(mass) for mass in empty_g),
        limit=_whole_mg(pair_limit_g),
        step=_whole_mg(filler_step_g),
        a_place=bags_per_place,
        vector_limit=None if vector_limit_g is None else vector_limit_g * _MG,
    )
    groups, proven = least_filler(problem)
    if groups is None:
        comes = "comes" if proven else "was found that comes"
        raise OutOfRange(
            f"With filler in pieces of {filler_step_g:g} g no arrangement {comes} within {pair_limit_g:g} g: "
            "use finer filler."
        )
    placed = arrange(problem, groups)
    steady = steadied(problem, placed)
    if steady is None:
        raise OutOfRange(
            f"No filler in pieces of {filler_step_g:g} g brings the vector sum within {vector_limit_g:g} g."
        )
    return _loading(loads, empty_g, steady, proven and steady == placed)


def _loading(
    loads: Sequence[Load], empty_g: Sequence[float], groups: Sequence[Group], proven: bool
) -> Loading:
    sides = [(group.near, group.near_filler) for group in groups] + [
        (group.far, group.far_filler) for group in groups
    ]
    return Loading(
        places=tuple(
            Place(
                number=number,
                loads=tuple(loads[index] for index in held),
                bucket_g=empty_g[number - 1],
                filler_g=filler / _MG,
            )
            for number, (held, filler) in enumerate(sides, start=1)
        ),
        proven=proven,
    )


def _refuse(
    loads: Sequence[Load],
    places: int,
    buckets_g: Sequence[float] | None,
    pair_limit_g: float,
    vector_limit_g: float | None,
    filler_step_g: float,
    bags_per_place: int,
) -> None:
    whole("number of places", places, 2, MOST_PLACES)
    if places % 2:
        raise OutOfRange(f"A rotor of {_count(places)} places has no opposite places to make equal.")
    within("limit for opposite places", pair_limit_g, 0, 1_000, "g")
    within("smallest piece of filler", filler_step_g, 0.001, 100, "g")
    whole("number of bags in a place", bags_per_place, 1, MOST_BAGS_A_PLACE)
    if vector_limit_g is not None:
        within("limit for the vector sum", vector_limit_g, 0, 10_000, "g")
    if buckets_g is not None:
        if len(buckets_g) != places:
            raise OutOfRange(f"{_things(len(buckets_g), 'bucket')} in a rotor of {_count(places)} places.")
        for bucket in buckets_g:
            within("mass of an empty bucket", bucket, 0, 20_000, "g")
    if not loads:
        raise OutOfRange("There is no bag to spin.")
    labels = [load.label for load in loads]
    for label in labels:
        if labels.count(label) > 1:
            raise OutOfRange(f"The bag {label} is there twice.")
    if len(loads) > places * bags_per_place:
        each = "" if bags_per_place == 1 else f", {_count(bags_per_place)} in each"
        raise OutOfRange(f"{_things(len(loads), 'bag')} in a rotor of {_count(places)} places{each}.")


def _things(number: int, noun: str) -> str:
    return f"{_count(number).capitalize()} {noun}{'' if number == 1 else 's'}"


def _count(number: int) -> str:
    words = "no one two three four five six seven eight nine ten eleven twelve".split()
    return words[number] if 0 <= number < len(words) else str(number)


def _whole_mg(mass_g: float) -> int:
    return round(mass_g * _MG)
