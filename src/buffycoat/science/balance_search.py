"""The search behind `balance`: whole numbers only, and nothing left untried that could cost less.

Bags of one mass are of one kind. A heap of bags is one whole number with a field of bits for each kind, the heaviest
kind in the highest field, so that adding numbers puts heaps together.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice, product
from typing import Final

from buffycoat.science.balance_groups import (
    NO_WAY,
    STEP_COST,
    Group,
    Guess,
    Problem,
    difference_of,
    first_guess,
    groups_of,
    improved,
)

_FIELD: Final = 11
_FEW_SIDES: Final = 2_500
_MANY_SIDES: Final = 60_000
_MOST_LOOKS: Final = 800_000

# Bags that could stand in one place together: mass, heap, number.
Side = tuple[int, int, int]
# Sides of an even and of an odd number of bags, lightest first.
Sides = tuple[list[Side], list[Side]]
# One pair as the search sees it: heap beside the heavier bucket, heap beside the lighter, the buckets' difference.
Choice = tuple[int, int, int]


# A choice with its own cost in front.
Company = tuple[int, int, int, int]


def least_filler(problem: Problem) -> tuple[list[Group] | None, bool]:
    """Find the groups with the least filler and say whether that is proven; None if no filler will do."""
    guess, search = improved(problem, first_guess(problem)), _Search(problem)
    dearest = ((sum(problem.masses) + sum(problem.buckets)) // problem.step + problem.pairs + 1) * STEP_COST
    cost = min(dearest, sum(problem.cost(difference_of(problem, each)) for each in guess))
    allowance, proven = 1, cost <= search.floor
    while not proven:
        # Costs are tried from the least upwards, with twice the allowance each time; the last try is for all of them.
        below = min(search.floor + allowance, cost)
        for most_sides in (_FEW_SIDES, _MANY_SIDES):
            found = search.within(min(below, cost), most_sides)
            if found is not None:
                cost, guess = found[0], search.bags(found[1])
            proven = cost <= search.floor or (search.whole and cost <= below)
            if proven or search.whole or search.tired:
                break
        if cost <= below:
            break
        allowance = max(1, 2 * allowance // STEP_COST) * STEP_COST
    return (groups_of(problem, guess) if cost < dearest else None), proven


class _Search:
    """Branch and bound: the heaviest bag left goes into some pair, with every company that could still be best."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.kinds = sorted(set(problem.masses))
        self.one = {mass: 1 << (_FIELD * kind) for kind, mass in enumerate(self.kinds)}
        self.guard = sum(one << (_FIELD - 1) for one in self.one.values())
        self.everything = sum(self.one[mass] for mass in problem.masses)
        self.classes = tuple(sorted(abs(problem.bucket_difference(pair)) for pair in range(problem.pairs)))
        self.grain = math.gcd(*problem.masses, *self.classes, problem.step)
        self.exact = problem.limit < self.grain and problem.step // self.grain % 2 == 1
        self.floor = self._floor(sorted(problem.masses), self.classes)
        self.known: dict[tuple[int, tuple[int, ...]], tuple[int, list[Choice] | None]] = {}
        self.looks_left = _MOST_LOOKS
        self.least_left = 0
        self.most_sides = 0
        self.whole = True

    @property
    def tired(self) -> bool:
        """Whether this try has looked often enough."""
        return self.looks_left < self.least_left

    def within(self, below: int, most_sides: int) -> tuple[int, list[Choice]] | None:
        """One try for less than `below`, with half the looks that are left; `whole` says if nothing was left out."""
        self.whole, self.most_sides, self.least_left = True, most_sides, self.looks_left // 2
        return self.cheapest(self.everything, self.classes, below)

    def _floor(self, masses: list[int], classes: tuple[int, ...]) -> int:
        """A cost that nothing can beat for these bags, lightest first, in pairs of these bucket differences.

        An odd number of bags leaves one pair with one bag more on one side, at best the lightest against the
        heaviest. And where opposite places must be exactly equal, the sum of everything must become even.
        """
        steps = self._odd_steps(masses) if len(masses) % 2 else 0
        if self.exact:
            steps += (steps - (sum(masses) + sum(classes)) // self.grain) % 2
        return steps * STEP_COST + 1 if steps else 0

    def _odd_steps(self, masses: Sequence[int]) -> int:
        """The least filler for one pair with one bag more on one side, whichever of these are in it, lightest first."""
        most = min(self.problem.a_place, (len(masses) + 1) // 2)
        least = min(sum(masses[:k]) - sum(masses[len(masses) - k + 1 :]) for k in range(1, most + 1))
        return max(0, -(-(least - self.classes[-1] - self.problem.limit) // self.problem.step))

    def masses(self, heap: int) -> list[int]:
        """The bags of a heap, lightest first."""
        found = []
        for mass in self.kinds:
            found += [mass] * (heap & ((1 << _FIELD) - 1))
            heap >>= _FIELD
        return found

    def bags(self, choices: Sequence[Choice]) -> list[Guess]:
        """Name the bags of each choice by index."""
        waiting: dict[int, list[int]] = {mass: [] for mass in self.kinds}
        for index, mass in enumerate(self.problem.masses):
            waiting[mass].append(index)
        return [
            (
                tuple(waiting[mass].pop() for mass in self.masses(near)),
                tuple(waiting[mass].pop() for mass in self.masses(far)),
                ahead,
            )
            for near, far, ahead in choices
        ]

    def cheapest(
        self, rest: int, classes: tuple[int, ...], below: int, wider: Sides | None = None
    ) -> tuple[int, list[Choice]] | None:
        """The cheapest way to place the rest, if it costs less than `below`; `wider` holds every side it can use."""
        if not rest:
            cost = sum(self.problem.cost(ahead) for ahead in classes)
            return (cost, [(0, 0, ahead) for ahead in classes]) if cost < below else None
        bound, best = self.known.get((rest, classes), (0, None))
        if bound >= below or best is not None:
            return None if best is None or bound >= below else (bound, best)
        masses = self.masses(rest)
        floor = self._floor(masses, classes)
        if floor >= below:
            return None
        if len(classes) == 1:
            halved = self._halved(masses, classes[0], below)
            self.known[rest, classes] = halved or (below, None)
            return halved
        # Sides handed down must be all there are; those made here may be only the ones that are of use here.
        useful = masses if wider else self._useful(masses, below)
        sides, cut = (
            (self._still(wider, rest), False) if wider else self._sides(useful, len(masses), len(classes))
        )
        self.whole &= not cut
        handed = sides if len(useful) == len(masses) and not cut else None
        companies: Iterable[Company] = self._companies(rest, masses, classes, below, sides)
        for cost, near, far, ahead in sorted(companies) if below > floor + STEP_COST else companies:
            if cost >= below:
                continue
            left, others = rest - near - far, _without(classes, ahead)
            onward = self.cheapest(left, others, below - cost, handed)
            if onward is not None:
                below, best = cost + onward[0], [(near, far, ahead), *onward[1]]
            if below <= floor or self.tired:
                break
        self.whole &= not self.tired
        if self.whole or (best is not None and below <= floor):
            self.known[rest, classes] = below, best
        return None if best is None else (below, best)

    def _companies(
        self, rest: int, masses: list[int], classes: tuple[int, ...], below: int, sides: Sides
    ) -> Iterator[Company]:
        """Every way for less than `below` to fill a pair with the heaviest of the rest in it, with its own cost."""
        problem, guard = self.problem, self.guard
        least = len(masses) - 2 * problem.a_place * (len(classes) - 1)
        later = self._odd_steps(masses[:-1]) * STEP_COST if len(masses) > 1 else 0
        heaviest = self.one[masses[-1]]
        ways = [(ahead, sign) for ahead in sorted(set(classes)) for sign in ((1, -1) if ahead else (1,))]
        for odd_left, near_parity in product((0, 1), (0, 1)):
            # Leaving an odd number of bags costs filler later, so such a company comes last and may itself cost less.
            far_parity = (len(masses) - near_parity - odd_left) % 2
            within = below - (later if odd_left else 0)
            if within <= 0:
                continue
            reach, opposite = problem.reach(within), sides[far_parity]
            for near_mass, near, near_bags in sides[near_parity]:
                if near < heaviest or self.tired:
                    continue
                free = (rest | guard) - near
                for ahead, sign in ways:
                    middle = near_mass + sign * ahead
                    first = bisect_left(opposite, (middle - reach,))
                    for far_mass, far, far_bags in islice(opposite, first, None):
                        self.looks_left -= 1
                        if far_mass > middle + reach:
                            break
                        if (free - far) & guard == guard and near_bags + far_bags >= least:
                            cost = problem.cost(middle - far_mass)
                            if cost < within:
                                yield cost, *((near, far) if sign > 0 else (far, near)), ahead

    def _sides(self, useful: list[int], count: int, pairs: int) -> tuple[Sides, bool]:
        """Every side these bags can make, or those of some of them if that would be too many, and whether it is so."""
        room, size = self.problem.a_place, len(useful)
        least = max(0, count - (2 * pairs - 1) * room)
        while sum(math.comb(size, bags) for bags in range(least, room + 1)) > self.most_sides:
            size -= 1
        if count % 2:  # an odd pair is best made of the lightest and the heaviest
            pool = useful[: size // 2] + useful[len(useful) - (size + 1) // 2 :]
        else:
            pool = [useful[-1 - len(useful) * n // size] for n in range(size)]
        made = [side for side in self._heaps(pool, room) if side[2] >= least]
        sides = [side for side in made if side[2] % 2 == 0], [side for side in made if side[2] % 2]
        return sides, size < len(useful)

    def _useful(self, masses: list[int], below: int) -> list[int]:
        """All bags, unless the pair of the heaviest must be the odd one: then those that can be in it."""
        if len(masses) % 2 == 0 or len(masses) == 1 or self._odd_steps(masses[:-1]) * STEP_COST < below:
            return masses
        most = min(self.problem.a_place, (len(masses) + 1) // 2)
        reach = self.classes[-1] + self.problem.reach(below)
        # With k bags against k − 1 the difference is least from the lightest against the heaviest; a bag that is not
        # among them takes the place of the one it comes nearest to.
        bases = [(k, sum(masses[:k]) - sum(masses[len(masses) - k + 1 :])) for k in range(1, most + 1)]
        return [
            mass
            for mass in masses
            if any(
                base + max(0, mass - masses[k - 1]) <= reach
                or (k > 1 and base + max(0, masses[len(masses) - k + 1] - mass) <= reach)
                for k, base in bases
            )
        ]

    def _still(self, sides: Sides, rest: int) -> Sides:
        """The sides that can still be made of the rest."""
        guard = self.guard
        free = rest | guard
        even, odd = ([side for side in each if (free - side[1]) & guard == guard] for each in sides)
        return even, odd

    def _halved(self, masses: list[int], ahead: int, below: int) -> tuple[int, list[Choice]] | None:
        """Put all that is left into one pair: every part of one half of the bags meets the best part of the other."""
        problem, room, total = self.problem, self.problem.a_place, sum(masses)
        best = None
        firsts, seconds = self._parts(masses[::2]), self._parts(masses[1::2])
        for some, more in product(range(len(firsts)), range(len(seconds))):
            if not len(masses) - room <= some + more <= room:
                continue
            others = seconds[more]
            for mass, heap, _ in firsts[some]:
                # ahead + near − far is nought where twice the near side is the total less ahead.
                wanted = (total - ahead) // 2 - mass
                at = bisect_left(others, (wanted,))
                for way in (range(at, len(others)), range(at - 1, -1, -1)):
                    for place in way:
                        cost = problem.cost(ahead + 2 * (mass + others[place][0]) - total)
                        if cost < below:
                            below, best = cost, heap + others[place][1]
                        if cost < NO_WAY:
                            break
        everything = sum(self.one[mass] for mass in masses)
        return None if best is None else (below, [(best, everything - best, ahead)])

    def _parts(self, masses: list[int]) -> list[list[Side]]:
        """Every part of some bags, by the number of bags in it."""
        parts: list[list[Side]] = [[] for _ in range(len(masses) + 1)]
        for side in self._heaps(masses, len(masses)):
            parts[side[2]].append(side)
        return parts

    def _heaps(self, masses: list[int], most: int) -> list[Side]:
        """All different heaps of at most so many of these bags, lightest first."""
        heaps: list[Side] = [(0, 0, 0)]
        for mass in masses:
            one = self.one[mass]
            heaps += [(held + mass, heap + one, bags + 1) for held, heap, bags in heaps if bags < most]
        self.looks_left -= len(heaps)
        return sorted(set(heaps))


def _without(classes: tuple[int, ...], ahead: int) -> tuple[int, ...]:
    at = classes.index(ahead)
    return classes[:at] + classes[at + 1 :]
