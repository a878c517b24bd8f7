"""The search behind `balance`: whole numbers only, and nothing left untried that could cost less.

A cost is one number: filler steps × 64 + places that take filler, so that comparing costs compares filler first.
Up to 24 pairs can take filler, which is fewer than 64.

Bags of one mass are of one kind. A heap of bags is one whole number with a field of bits for each kind, the heaviest
kind in the highest field, so that adding numbers puts heaps together.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, islice, product
from typing import Final

STEP_COST: Final = 64
_NO_WAY: Final = 1 << 60
_FIELD: Final = 11
_FEW_SIDES: Final = 2_500
_MANY_SIDES: Final = 60_000
_MOST_LOOKS: Final = 1_000_000


@dataclass(frozen=True)
class Problem:
    """Masses in milligrams; places 0 … n-1 with the place opposite i at i + n/2."""

    masses: tuple[int, ...]
    buckets: tuple[int, ...]
    limit: int
    step: int
    a_place: int
    vector_limit: float | None = None

    @property
    def pairs(self) -> int:
        """How many pairs of opposite places there are."""
        return len(self.buckets) // 2

    def bucket_difference(self, pair: int) -> int:
        """How much heavier the near bucket of a pair is than the far one."""
        return self.buckets[pair] - self.buckets[pair + self.pairs]

    def steps(self, difference: int) -> int:
        """Pieces of filler on the lighter side that bring a difference within the limit, or a very large number."""
        surplus = abs(difference) - self.limit
        if surplus <= 0:
            return 0
        pieces = -(-surplus // self.step)
        return pieces if abs(abs(difference) - pieces * self.step) <= self.limit else _NO_WAY

    def cost(self, difference: int) -> int:
        """Steps × 64 + 1 where filler is needed."""
        steps = self.steps(difference)
        return steps * STEP_COST + 1 if steps else 0

    def reach(self, below: int) -> int:
        """The largest difference that can be made good for less than `below`."""
        return self.limit + max(0, below - 2) // STEP_COST * self.step


@dataclass(frozen=True)
class Group:
    """What one pair of opposite places holds: bags by index, filler in milligrams, near minus far in all."""

    near: tuple[int, ...] = ()
    far: tuple[int, ...] = ()
    near_filler: int = 0
    far_filler: int = 0
    difference: int = 0

    def turned(self) -> "Group":
        """The same with near and far exchanged."""
        return Group(self.far, self.near, self.far_filler, self.near_filler, -self.difference)


# Bags that could stand in one place together: mass, heap, number.
Side = tuple[int, int, int]
# Sides of an even and of an odd number of bags, lightest first.
Sides = tuple[list[Side], list[Side]]
# One pair as the search sees it: heap beside the heavier bucket, heap beside the lighter, the buckets' difference.
Choice = tuple[int, int, int]


def least_filler(problem: Problem) -> tuple[list[Group] | None, bool]:
    """Find the groups with the least filler and say whether that is proven; None if no filler will do."""
    guess = _improved(problem, _first_guess(problem))
    cost = sum(problem.cost(_difference(problem, group)) for group in guess)
    search = _Search(problem, _FEW_SIDES)
    below = search.floor + 1
    while cost > search.floor:
        found = search.cheapest(search.everything, search.classes, min(below, cost))
        if found is None and not search.whole and search.most_sides == _FEW_SIDES:
            search = _Search(problem, _MANY_SIDES)
            continue
        if found is not None:
            cost, guess = found[0], search.bags(found[1])
        if found is not None or not search.whole or below >= cost:
            break
        # Costs are tried from the least upwards, with twice the allowance each time.
        below = search.floor + max(1, 2 * (below - search.floor) // STEP_COST) * STEP_COST
    return (_groups(problem, guess) if cost < _NO_WAY else None), cost <= search.floor or search.whole


# A choice with its own cost in front.
Company = tuple[int, int, int, int]
# A guess at one pair: bags by index beside the heavier bucket and beside the lighter, the buckets' difference.
Guess = tuple[tuple[int, ...], tuple[int, ...], int]


def _groups(problem: Problem, guesses: Sequence[Guess]) -> list[Group]:
    """Give each guess a pair whose buckets differ as it assumed, and the filler it needs."""
    waiting = list(guesses)
    groups = []
    for pair in range(problem.pairs):
        ahead = problem.bucket_difference(pair)
        guess = next(each for each in waiting if each[2] == abs(ahead))
        waiting.remove(guess)
        difference = _difference(problem, guess)
        filler = problem.steps(difference) * problem.step
        group = (
            Group(guess[0], guess[1], 0, filler, difference - filler)
            if difference > 0
            else Group(guess[0], guess[1], filler, 0, difference + filler)
        )
        groups.append(group if ahead >= 0 else group.turned())
    return groups


def _difference(problem: Problem, guess: Guess) -> int:
    near, far, ahead = guess
    return ahead + sum(problem.masses[i] for i in near) - sum(problem.masses[i] for i in far)


def _first_guess(problem: Problem) -> list[Guess]:
    """Neighbours in mass stand opposite each other; in the next round the sides change over."""
    sides: list[list[int]] = [[] for _ in problem.buckets]
    heaviest_first = sorted(range(len(problem.masses)), key=lambda index: -problem.masses[index])
    for turn, index in enumerate(heaviest_first):
        round_number, slot = divmod(turn, len(sides))
        sides[slot ^ (round_number % 2)].append(index)
    ahead = sorted(abs(problem.bucket_difference(pair)) for pair in range(problem.pairs))
    return [(tuple(sides[2 * k]), tuple(sides[2 * k + 1]), ahead[k]) for k in range(problem.pairs)]


def _improved(problem: Problem, guesses: list[Guess]) -> list[Guess]:
    """Exchange two bags, or move one to a free slot, as long as that costs less or evens out the differences."""
    slots = [
        [held[slot] if slot < len(held) else None for slot in range(problem.a_place)]
        for guess in guesses
        for held in guess[:2]
    ]
    mass: dict[int | None, int] = {None: 0, **dict(enumerate(problem.masses))}
    differences = [_difference(problem, guess) for guess in guesses]

    def worth(changes: dict[int, int]) -> tuple[int, int]:
        return sum(problem.cost(each) for each in changes.values()), sum(
            each * each for each in changes.values()
        )

    spots = [(side, slot) for side in range(len(slots)) for slot in range(problem.a_place)]
    improving = True
    while improving:
        improving = False
        for (a, i), (b, j) in combinations(spots, 2):
            gain = mass[slots[b][j]] - mass[slots[a][i]]
            if a == b or gain == 0:
                continue
            now = {a // 2: differences[a // 2], b // 2: differences[b // 2]}
            then = dict(now)
            then[a // 2] += gain if a % 2 == 0 else -gain
            then[b // 2] -= gain if b % 2 == 0 else -gain
            if worth(then) < worth(now):
                slots[a][i], slots[b][j] = slots[b][j], slots[a][i]
                for pair, value in then.items():
                    differences[pair] = value
                improving = True
    held = [tuple(index for index in side if index is not None) for side in slots]
    return [(held[2 * k], held[2 * k + 1], guesses[k][2]) for k in range(len(guesses))]


class _Search:
    """Branch and bound: the heaviest bag left goes into some pair, with every company that could still be best."""

    def __init__(self, problem: Problem, most_sides: int) -> None:
        self.problem = problem
        self.most_sides = most_sides
        self.kinds = sorted(set(problem.masses))
        self.one = {mass: 1 << (_FIELD * kind) for kind, mass in enumerate(self.kinds)}
        self.guard = sum(one << (_FIELD - 1) for one in self.one.values())
        self.everything = sum(self.one[mass] for mass in problem.masses)
        self.classes = tuple(sorted(abs(problem.bucket_difference(pair)) for pair in range(problem.pairs)))
        self.grain = math.gcd(*problem.masses, *self.classes, problem.step)
        self.exact = problem.limit < self.grain and problem.step // self.grain % 2 == 1
        self.floor = self._floor(sorted(problem.masses), self.classes)
        self.known: dict[tuple[int, tuple[int, ...]], tuple[int, list[Choice] | None]] = {}
        self.looked = 0
        self.whole = True

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
            return self._halved(masses, classes[0], below)
        sides, whole = self._sides(masses, len(classes)) if wider is None else (self._still(wider, rest), True)
        self.whole &= whole
        companies: Iterable[Company] = self._companies(rest, masses, classes, below, sides)
        for cost, near, far, ahead in sorted(companies) if below > floor + STEP_COST else companies:
            if cost >= below:
                continue
            left, others = rest - near - far, _without(classes, ahead)
            onward = self.cheapest(left, others, below - cost, sides if whole else None)
            if onward is not None:
                below, best = cost + onward[0], [(near, far, ahead), *onward[1]]
            if below <= floor or self.looked > _MOST_LOOKS:
                break
        self.whole &= self.looked <= _MOST_LOOKS
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
        for near_parity, far_parity in product((0, 1), (0, 1)):
            # Leaving an odd number of bags costs filler later, so such a company may itself cost less.
            odd_left = (len(masses) - near_parity - far_parity) % 2
            within = below - (later if odd_left else 0)
            if within <= 0:
                continue
            reach, opposite = problem.reach(within), sides[far_parity]
            for near_mass, near, near_bags in sides[near_parity]:
                if near < heaviest:
                    continue
                free = (rest | guard) - near
                for ahead, sign in ways:
                    middle = near_mass + sign * ahead
                    first = bisect_left(opposite, (middle - reach,))
                    for far_mass, far, far_bags in islice(opposite, first, None):
                        self.looked += 1
                        if far_mass > middle + reach:
                            break
                        if (free - far) & guard == guard and near_bags + far_bags >= least:
                            cost = problem.cost(middle - far_mass)
                            if cost < within:
                                yield cost, *((near, far) if sign > 0 else (far, near)), ahead

    def _sides(self, masses: list[int], pairs: int) -> tuple[Sides, bool]:
        """Every side these bags can make, or those of a choice of bags where that would be too many."""
        room, size = self.problem.a_place, len(masses)
        least = max(0, size - (2 * pairs - 1) * room)
        while sum(math.comb(size, bags) for bags in range(least, room + 1)) > self.most_sides:
            size -= 1
        if len(masses) % 2:  # the odd pair is best made of the lightest and the heaviest
            pool = masses[: size // 2] + masses[len(masses) - size + size // 2 :]
        else:
            pool = [masses[-1 - len(masses) * n // size] for n in range(size)]
        made = [side for side in self._heaps(pool, room) if side[2] >= least]
        sides = ([side for side in made if side[2] % 2 == 0], [side for side in made if side[2] % 2])
        return sides, size == len(masses)

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
                        if cost < _NO_WAY:
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
        return sorted(set(heaps))


def _without(classes: tuple[int, ...], ahead: int) -> tuple[int, ...]:
    at = classes.index(ahead)
    return classes[:at] + classes[at + 1 :]
