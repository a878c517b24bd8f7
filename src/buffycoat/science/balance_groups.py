"""Pairs of opposite places as whole numbers: what they cost, a first guess at them, and how they stand in the rotor.

A cost is one number: filler steps × 64 + places that take filler, so that comparing costs compares filler first.
Up to 24 pairs can take filler, which is fewer than 64.
"""

import cmath
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, combinations_with_replacement
from typing import Final

STEP_COST: Final = 64
NO_WAY: Final = 1 << 60


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

    @property
    def aheads(self) -> tuple[int, ...]:
        """By how much the heavier bucket of each pair is heavier, the most unlike pair first."""
        return tuple(sorted((abs(self.bucket_difference(pair)) for pair in range(self.pairs)), reverse=True))

    @property
    def halves(self) -> tuple[list[int], list[int]]:
        """The same in two halves of the rotor, like pairs together and first where that can be."""
        halves: tuple[list[int], list[int]] = ([], [])
        for ahead, many in Counter(self.aheads).most_common():
            emptier, fuller = sorted(halves, key=len)
            room = min(many, (self.pairs + 1) // 2 - len(emptier))
            emptier += [ahead] * room
            fuller += [ahead] * (many - room)
        return halves

    @property
    def floor(self) -> int:
        """A cost that nothing can beat.

        An odd number of bags leaves one pair with one bag more on one side. And where opposite places must be
        exactly equal, the sum of everything must become even.
        """
        grain = math.gcd(*self.masses, *self.aheads, self.step)
        steps = self.odd_steps(self.aheads[0]) if len(self.masses) % 2 else 0
        if self.limit < grain and self.step // grain % 2 == 1:
            steps += (steps - (sum(self.masses) + sum(self.aheads)) // grain) % 2
        return steps * STEP_COST + 1 if steps else 0

    def odd_steps(self, ahead: int) -> int:
        """The least filler for a pair with one bag more on one side: the lightest against the heaviest."""
        masses = sorted(self.masses)
        most = min(self.a_place, (len(masses) + 1) // 2)
        least = min(sum(masses[:k]) - sum(masses[len(masses) - k + 1 :]) for k in range(1, most + 1))
        return max(0, -(-(least - ahead - self.limit) // self.step))

    def steps(self, difference: int) -> int:
        """Pieces of filler on the lighter side that bring a difference within the limit, or a very large number."""
        surplus = abs(difference) - self.limit
        if surplus <= 0:
            return 0
        pieces = -(-surplus // self.step)
        return pieces if abs(abs(difference) - pieces * self.step) <= self.limit else NO_WAY

    def cost(self, difference: int) -> int:
        """Steps × 64 + 1 where filler is needed."""
        steps = self.steps(difference)
        return steps * STEP_COST + 1 if steps else 0

    def cost_of(self, guesses: Sequence["Guess"]) -> int:
        """What several pairs cost together."""
        return sum(self.cost(difference_of(self, each)) for each in guesses)

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


# A guess at one pair: bags by index beside the heavier bucket and beside the lighter, the buckets' difference.
Guess = tuple[tuple[int, ...], tuple[int, ...], int]


def least_filler(problem: Problem) -> tuple[list[Group] | None, bool]:
    """Find the groups with the least filler and say whether that is proven; None if no filler will do.

    Arguments: problem, in whole milligrams.
    Range: as for `balance`.
    Source: own method, checked against brute force and mixed-integer programming.

    >>> groups, proven = least_filler(Problem((610, 600), (0, 0), 2, 1, 1))
    >>> [(group.near_filler, group.far_filler, group.difference) for group in groups], proven
    ([(0, 8, 2)], True)
    """
    guess, proven = improved(problem, first_guess(problem)), False
    if problem.cost_of(guess) > problem.floor:
        # numpy takes longer to load than a page of the bench, and many rotors do without.
        from buffycoat.science.balance_search import improved_further

        guess, proven = improved_further(problem, guess)
    cost = problem.cost_of(guess)
    return (groups_of(problem, guess) if cost < NO_WAY else None), proven or cost <= problem.floor


def groups_of(problem: Problem, guesses: Sequence[Guess]) -> list[Group]:
    """Give each guess a pair whose buckets differ as it assumed, and the filler it needs.

    Arguments: guesses, one for each pair of the problem, each of them with filler that makes it good.
    Source: statics.

    >>> groups_of(Problem((610,), (0, 600), 0, 1, 1), [((), (0,), 600)])
    [Group(near=(0,), far=(), near_filler=0, far_filler=10, difference=0)]
    """
    waiting = list(guesses)
    groups = []
    for pair in range(problem.pairs):
        ahead = problem.bucket_difference(pair)
        guess = next(each for each in waiting if each[2] == abs(ahead))
        waiting.remove(guess)
        difference = difference_of(problem, guess)
        filler = problem.steps(difference) * problem.step
        group = (
            Group(guess[0], guess[1], 0, filler, difference - filler)
            if difference > 0
            else Group(guess[0], guess[1], filler, 0, difference + filler)
        )
        groups.append(group if ahead >= 0 else group.turned())
    return groups


def difference_of(problem: Problem, guess: Guess) -> int:
    """Say by how much the side of the heavier bucket is heavier, in milligrams; below nought if it is lighter.

    Source: statics.

    >>> difference_of(Problem((610, 600), (0, 0), 0, 1, 1), ((1,), (0,), 4))
    -6
    """
    near, far, ahead = guess
    return ahead + sum(problem.masses[i] for i in near) - sum(problem.masses[i] for i in far)


def first_guess(problem: Problem) -> list[Guess]:
    """Set neighbours in mass opposite each other; in the next round the sides change over.

    Source: common practice, no source.

    >>> first_guess(Problem((590, 610, 600, 620), (0, 0), 0, 1, 2))
    [((3, 0), (1, 2), 0)]
    """
    sides: list[list[int]] = [[] for _ in problem.buckets]
    heaviest_first = sorted(range(len(problem.masses)), key=lambda index: -problem.masses[index])
    for turn, index in enumerate(heaviest_first):
        round_number, slot = divmod(turn, len(sides))
        sides[slot ^ (round_number % 2)].append(index)
    ahead = problem.aheads[::-1]
    return [(tuple(sides[2 * k]), tuple(sides[2 * k + 1]), ahead[k]) for k in range(problem.pairs)]


def improved(problem: Problem, guesses: list[Guess]) -> list[Guess]:
    """Exchange two bags, or move one to a free slot, as long as that costs less or evens out the differences.

    Arguments: guesses, all bags of the problem in all its pairs.
    Source: own method; descent, so it may stop short of the least.

    >>> improved(Problem((610, 600, 610, 600), (0,) * 4, 0, 1, 1), [((0,), (1,), 0), ((2,), (3,), 0)])
    [((3,), (1,), 0), ((2,), (0,), 0)]
    """
    slots = [
        [held[slot] if slot < len(held) else None for slot in range(problem.a_place)]
        for guess in guesses
        for held in guess[:2]
    ]
    mass: dict[int | None, int] = {None: 0, **dict(enumerate(problem.masses))}
    differences = [difference_of(problem, guess) for guess in guesses]

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


def residual(differences: list[int]) -> float:
    """Give the length of the vector sum of a rotor whose opposite places differ by these.

    |Σ dₖ e^(πik/n)|. Arguments: differences of n pairs round half the rotor, near minus far, in one unit.
    Range: as for `balance.residual_g`.
    Source: statics; the example of `balance.residual_g`, √125.

    >>> round(residual([-5, 10]), 7)
    11.1803399
    """
    return abs(sum(d * cmath.rect(1, math.pi * k / len(differences)) for k, d in enumerate(differences)))


def arrange(problem: Problem, groups: list[Group]) -> list[Group]:
    """Move groups between pairs of like buckets, and turn them round, as long as the vector sum shrinks.

    Arguments: groups, one for each pair of the problem.
    Range: descent, so it may stop short of the least vector sum.
    Source: own method.

    >>> level = Problem((), (0,) * 6, 0, 1, 1)
    >>> placed = arrange(level, [Group(difference=6), Group(difference=6), Group(difference=-6)])
    >>> round(residual([group.difference for group in placed]), 9)
    0.0
    """
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
    """Add filler, a piece at a time where it helps most, until the vector sum is within its limit.

    Arguments: groups, one for each pair of the problem. None if no piece brings it there.
    Source: own method; not proven least.

    >>> tight = Problem((), (0, 0), 9, 2, 1, vector_limit=4)
    >>> [(group.far_filler, group.difference) for group in steadied(tight, [Group(difference=9)]) or ()]
    [(6, 3)]
    """
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
