"""The search behind `balance`: whole numbers only, smallest cost first, nothing left untried that could be better.

A cost is one number: filler steps × 64 + places that take filler, so that comparing costs compares filler first.
Up to 24 pairs can take filler, which is fewer than 64.
"""

import cmath
import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations, combinations_with_replacement, product
from typing import Final

STEP_COST: Final = 64
_NO_WAY: Final = 1 << 60
_MOST_LOOKS: Final = 200_000
_NARROW: Final = 14


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


# One pair as the search sees it: bags beside the heavier bucket, bags beside the lighter, the buckets' difference.
Choice = tuple[tuple[int, ...], tuple[int, ...], int]
# A choice with what it is sorted by: least possible cost of the whole, own cost, unevenness in number and in mass.
Company = tuple[int, int, int, int, tuple[int, ...], tuple[int, ...], int]


def least_filler(problem: Problem) -> tuple[list[Group] | None, bool]:
    """Find the groups with the least filler and say whether that is proven; None if no filler will do."""
    search = _Search(problem)
    guess = _improved(problem, _first_guess(problem))
    guess_cost = _cost_of(problem, guess)
    floor = search.lower_bound(search.everything)
    # A narrow search for the best that could be comes first: it looks at few companies and usually finds it.
    for search.narrow, below in ((True, floor + 1), (False, min(guess_cost, _NO_WAY))):
        if guess_cost <= floor:
            break
        search.known.clear()
        better = search.cheapest(search.everything, search.classes, below)
        if better is not None:
            guess_cost, guess = better
    proven = guess_cost <= floor or not search.gave_up
    return (_groups(problem, guess) if guess_cost < _NO_WAY else None), proven


def _groups(problem: Problem, choices: list[Choice]) -> list[Group]:
    """Give each choice a pair whose buckets differ as it assumed, and the filler it needs."""
    waiting = list(choices)
    groups = []
    for pair in range(problem.pairs):
        ahead = problem.bucket_difference(pair)
        choice = next((each for each in waiting if each[2] == abs(ahead)), None)
        if choice is None:
            choice = ((), (), abs(ahead))
        else:
            waiting.remove(choice)
        difference = _difference(problem, choice)
        filler = problem.steps(difference) * problem.step
        group = (
            Group(choice[0], choice[1], 0, filler, difference - filler)
            if difference > 0
            else Group(choice[0], choice[1], filler, 0, difference + filler)
        )
        groups.append(group if ahead >= 0 else group.turned())
    return groups


def _difference(problem: Problem, choice: Choice) -> int:
    near, far, ahead = choice
    return ahead + sum(problem.masses[i] for i in near) - sum(problem.masses[i] for i in far)


def _cost_of(problem: Problem, choices: list[Choice]) -> int:
    return sum(problem.cost(_difference(problem, choice)) for choice in choices)


def _heaviest_first(problem: Problem) -> list[int]:
    return sorted(range(len(problem.masses)), key=lambda index: -problem.masses[index])


def _first_guess(problem: Problem) -> list[Choice]:
    """Neighbours in mass stand opposite each other; in the next round the sides change over."""
    sides: list[list[int]] = [[] for _ in problem.buckets]
    for turn, index in enumerate(_heaviest_first(problem)):
        round_number, slot = divmod(turn, len(sides))
        sides[slot ^ (round_number % 2)].append(index)
    ahead = sorted(abs(problem.bucket_difference(pair)) for pair in range(problem.pairs))
    return [(tuple(sides[2 * k]), tuple(sides[2 * k + 1]), ahead[k]) for k in range(problem.pairs)]


def _improved(problem: Problem, choices: list[Choice]) -> list[Choice]:
    """Exchange two bags, or move one to a free slot, as long as that costs less or evens out the differences."""
    slots = [
        [held[slot] if slot < len(held) else None for slot in range(problem.a_place)]
        for choice in choices
        for held in choice[:2]
    ]
    mass: dict[int | None, int] = {None: 0, **dict(enumerate(problem.masses))}
    differences = [_difference(problem, choice) for choice in choices]

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
    return [(held[2 * k], held[2 * k + 1], choices[k][2]) for k in range(len(choices))]


class _Search:
    """Branch and bound: the heaviest bag left goes into some pair, with every company that could still be best."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.order = _heaviest_first(problem)
        self.mass = [problem.masses[index] for index in self.order]
        self.everything = tuple(range(len(self.order)))
        self.classes = tuple(sorted(abs(problem.bucket_difference(pair)) for pair in range(problem.pairs)))
        self.grain = math.gcd(*problem.masses, *self.classes, problem.step)
        self.exact = problem.limit < self.grain and problem.step // self.grain % 2 == 1
        self.known: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[int, list[Choice] | None]] = {}
        self.narrow = False
        self.looked = 0
        self.gave_up = False

    def lower_bound(self, rest: tuple[int, ...]) -> int:
        """A cost that nothing can beat.

        An odd number of bags leaves one pair with one bag more on one side, at best the lightest against the
        heaviest. And where opposite places must be exactly equal, the sum of everything must become even.
        """
        problem = self.problem
        steps = self.odd_steps(rest) if len(rest) % 2 else 0
        if self.exact and rest == self.everything:
            odd = (sum(problem.masses) + sum(self.classes)) // self.grain % 2
            steps += (steps - odd) % 2
        return steps * STEP_COST + 1 if steps else 0

    def odd_steps(self, rest: tuple[int, ...]) -> int:
        """The least filler for one pair with one bag more on one side, whichever of the rest are in it."""
        mass = [self.mass[i] for i in rest]
        most = min(self.problem.a_place, (len(rest) + 1) // 2)
        least = min(sum(mass[-k:]) - sum(mass[: k - 1]) for k in range(1, most + 1))
        return max(0, -(-(least - max(self.classes) - self.problem.limit) // self.problem.step))

    def cheapest(
        self, rest: tuple[int, ...], classes: tuple[int, ...], below: int
    ) -> tuple[int, list[Choice]] | None:
        """The cheapest way to place the rest, if it costs less than `below`."""
        if not rest:
            cost = sum(self.problem.cost(ahead) for ahead in classes)
            return (cost, [((), (), ahead) for ahead in classes]) if cost < below else None
        if not classes:
            return None
        key = (rest, classes)
        cost, found = self.known.get(key, (self.lower_bound(rest), None))
        if cost >= below:
            return None
        if found is not None:
            return cost, found
        floor, best, company = cost, None, self._companies(rest, classes, below)
        for bound, cost, _, _, near, far, ahead in company:
            if bound >= below or self.gave_up:
                break
            gone = {*near, *far}
            left = tuple(i for i in rest if i not in gone)
            onward = self.cheapest(left, _without(classes, ahead), below - cost)
            if onward is not None:
                below = cost + onward[0]
                choice = (tuple(self.order[i] for i in near), tuple(self.order[i] for i in far), ahead)
                best = [choice, *onward[1]]
                if below <= floor:
                    break
        if not self.gave_up:
            self.known[key] = (below, best)
        return None if best is None else (below, best)

    def _companies(self, rest: tuple[int, ...], classes: tuple[int, ...], below: int) -> list[Company]:
        """Every set of bags that could share a pair with the heaviest of the rest for less than `below`, best first."""
        room, others = self.problem.a_place, rest[1:]
        later = self.odd_steps(others) if others else 0
        if self.narrow:
            others = others[:: -(-len(others) // _NARROW)] if room > 2 and others else others
        elif room * math.comb(len(others), min(room, len(others) // 2)) > _MOST_LOOKS:
            self.gave_up = True
            return []
        fars = [self._by_mass(others, sizes) for sizes in (range(0, room + 1, 2), range(1, room + 1, 2))]
        found: dict[tuple[object, ...], Company] = {}
        for size, parity in product(range(room), (0, 1)):
            # Leaving an odd number of bags costs filler later, so such a company may itself cost less.
            leaves_odd = (len(rest) - 1 - size - parity) % 2 == 1
            affordable = below // STEP_COST - (later if leaves_odd else 0)
            if affordable < 0:
                continue
            reach = self.problem.limit + affordable * self.problem.step
            for company, (ahead, sign) in product(combinations(others, size), self._sides(classes)):
                near = (rest[0], *company)
                middle = sum(self.mass[i] for i in near) + sign * ahead
                span = _between(fars[parity], middle - reach, middle + reach)
                self.looked += len(span) + 1
                if self.looked > _MOST_LOOKS or (self.narrow and len(found) > _NARROW**2):
                    break
                for total, far in span:
                    sides = (near, far) if sign > 0 else (far, near)
                    key = (ahead, *(tuple(self.mass[i] for i in side) for side in sides))
                    if key not in found and set(company).isdisjoint(far):
                        whole = self._weighed(rest, len(classes), (*sides, ahead), middle - total, leaves_odd)
                        if whole is not None and whole[0] < below:
                            found[key] = whole
        self.gave_up = not self.narrow and self.looked > _MOST_LOOKS
        return sorted(found.values())

    def _weighed(
        self, rest: tuple[int, ...], pairs: int, choice: Choice, difference: int, leaves_odd: bool
    ) -> Company | None:
        """Put what a choice is sorted by in front of it; None if it leaves more bags than the other pairs can take."""
        near, far, ahead = choice
        if len(rest) - len(near) - len(far) > (pairs - 1) * 2 * self.problem.a_place:
            return None
        bound = cost = self.problem.cost(difference)
        if leaves_odd:
            bound += self.lower_bound(tuple(i for i in rest if i not in near and i not in far))
        return bound, cost, abs(len(near) - len(far)), abs(difference), near, far, ahead

    def _by_mass(self, others: tuple[int, ...], sizes: range) -> list[tuple[int, tuple[int, ...]]]:
        return sorted(
            (sum(self.mass[i] for i in far), far) for size in sizes for far in combinations(others, size)
        )

    @staticmethod
    def _sides(classes: tuple[int, ...]) -> Iterator[tuple[int, int]]:
        """Each different pair of buckets, with the heaviest bag beside the heavier bucket and beside the lighter."""
        for ahead in sorted(set(classes)):
            yield ahead, 1
            if ahead:
                yield ahead, -1


def _between(
    fars: list[tuple[int, tuple[int, ...]]], low: int, high: int
) -> list[tuple[int, tuple[int, ...]]]:
    """Those whose mass lies between two masses, ends included."""
    return fars[bisect_left(fars, (low, ())) : bisect_left(fars, (high + 1, ()))]


def _without(classes: tuple[int, ...], ahead: int) -> tuple[int, ...]:
    at = classes.index(ahead)
    return classes[:at] + classes[at + 1 :]


def residual(differences: list[int]) -> float:
    """The vector sum of a rotor whose opposite places differ by these, pair by pair round half the rotor."""
    return abs(sum(d * cmath.rect(1, math.pi * k / len(differences)) for k, d in enumerate(differences)))


def arrange(problem: Problem, groups: list[Group]) -> list[Group]:
    """Move groups between pairs of like buckets, and turn them round, as long as the vector sum shrinks."""
    best = list(groups)
    ahead = [problem.bucket_difference(pair) for pair in range(problem.pairs)]
    length = residual([group.difference for group in best])
    improving = True
    while improving:
        improving = False
        for a, b in combinations_with_replacement(range(len(best)), 2):
            for turn_a, turn_b in ((False, False), (True, False), (False, True), (True, True)):
                new = list(best)
                new[a], new[b] = _turned(best[b], turn_a), _turned(best[a], turn_b)
                if not (_fits(ahead[b], ahead[a], turn_a) and _fits(ahead[a], ahead[b], turn_b)):
                    continue
                shorter = residual([group.difference for group in new])
                if shorter < length - 1e-6:
                    best, length, improving = new, shorter, True
    return best


def steadied(problem: Problem, groups: list[Group]) -> list[Group] | None:
    """Add filler, a piece at a time where it helps most, until the vector sum is within its limit."""
    new = list(groups)
    while problem.vector_limit is not None:
        length = residual([group.difference for group in new])
        if length <= problem.vector_limit + 1e-6:
            break
        tries = []
        for pair, group in enumerate(new):
            if 2 * abs(group.difference) > problem.step:
                fuller = _with_a_piece(problem, group)
                differences = [
                    fuller.difference if k == pair else each.difference for k, each in enumerate(new)
                ]
                tries.append((residual(differences), -abs(group.difference), pair, fuller))
        if not tries:
            return None
        _, _, pair, fuller = min(tries, key=lambda each: each[:3])
        new[pair] = fuller
    return new


def _with_a_piece(problem: Problem, group: Group) -> Group:
    if group.difference > 0:
        return replace(
            group, far_filler=group.far_filler + problem.step, difference=group.difference - problem.step
        )
    return replace(
        group, near_filler=group.near_filler + problem.step, difference=group.difference + problem.step
    )


def _turned(group: Group, turn: bool) -> Group:
    return group.turned() if turn else group


def _fits(was_ahead: int, is_ahead: int, turn: bool) -> bool:
    return is_ahead == (-was_ahead if turn else was_ahead)
