"""The search behind `balance`: tables of whole numbers, and nothing left out that could cost less.

Bags of one mass are of one kind. A heap of bags is one whole number with a field of bits for each kind, and a bit
beyond each field that stays nought: adding numbers puts heaps together, and those bits show what is not there.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import Final

import numpy as np
import numpy.typing as npt

from buffycoat.science.balance_groups import NO_WAY, STEP_COST, Guess, Problem
from buffycoat.science.balance_tables import (
    BLOCK,
    EMPTY,
    NOTHING,
    Table,
    Whole,
    beside,
    fewer,
    least,
    low,
    low_together,
    match,
    spread,
    stacked,
    ways,
)

# How far from what nothing can beat towards the best that is known, and how many ways of putting two things together
# are looked at in one go: little at first, for most rotors are easy; once something is found, all that is cheaper.
_STAGES: Final = (
    (0, 20_000), (0, 150_000), (0.07, 100_000), (0.15, 100_000), (0.4, 100_000), (1, 1_200_000), (1, 8_000_000),
)  # fmt: skip
_MOST_SPLITS: Final = 1 << 14
# A larger rotor would take too long as a whole; and 24 bags are numbers of 48 bits at the most.
_MOST_BAGS: Final = 24
_MOST_PAIRS: Final = 6
_ANY_ODD: Final = 2_654_435_761

# One pair: heap beside the heavier bucket, heap beside the lighter, the buckets' difference.
Choice = tuple[int, int, int]
Found = tuple[int, list[Choice]]


def improved_further(problem: Problem, guess: Sequence[Guess]) -> tuple[list[Guess], bool]:
    """Find the cheapest arrangement and say whether that is proven; a large rotor is gone through in parts.

    Arguments: problem, in whole milligrams; guess, all its bags in all its pairs, however dear.
    Range: up to six pairs and 24 bags are searched whole; what is larger is improved, never proven.
    Source: own method, checked against brute force and mixed-integer programming.

    >>> problem = Problem((610, 600, 605, 595), (0, 0, 0, 0), 5, 1, 1)
    >>> better, proven = improved_further(problem, [((0,), (3,), 0), ((1,), (2,), 0)])
    >>> problem.cost_of(better), proven
    (0, True)
    """
    if problem.pairs <= _MOST_PAIRS and len(problem.masses) <= _MOST_BAGS:
        better, proven = cheapest(problem, min(problem.cost_of(guess), _dearest(problem)))
        return better or list(guess), proven
    arranged = list(guess)
    together = max(2, min(_MOST_PAIRS, _MOST_BAGS // (2 * problem.a_place)))
    for stride, start in product((1, 2, 3, 5, 7), range(problem.pairs)):
        some = {(start + stride * turn) % problem.pairs for turn in range(together)}
        held = [index for pair in some for side in arranged[pair][:2] for index in side]
        aheads = [arranged[pair][2] for pair in some]
        masses = tuple(problem.masses[i] for i in held)
        part = replace(problem, masses=masses, buckets=(*aheads, *(0 for _ in aheads)))
        cost = min(problem.cost_of([arranged[pair] for pair in some]), _dearest(part))
        if held and len(held) <= _MOST_BAGS and cost > part.floor:
            better, _ = cheapest(part, cost)
            for pair, (near, far, ahead) in zip(some, better or (), strict=False):
                arranged[pair] = tuple(held[i] for i in near), tuple(held[i] for i in far), ahead
    return arranged, False


def _dearest(problem: Problem) -> int:
    """More than any filler costs that helps at all."""
    return ((sum(problem.masses) + sum(problem.buckets)) // problem.step + problem.pairs + 1) * STEP_COST


def cheapest(problem: Problem, cost: int) -> tuple[list[Guess] | None, bool]:
    """Find what costs least if anything costs less than `cost`, and say whether that is proven.

    Arguments: problem, up to 24 bags; cost, filler steps × 64 + places with filler.
    Source: own method, checked against brute force.

    >>> cheapest(Problem((610, 600), (0, 0), 2, 1, 1), 8 * STEP_COST + 1)
    (None, True)
    """
    search, best, possible, asked = _Search(problem), None, problem.floor, (0, 0)
    for share, most_ways in _STAGES:
        stride = int(share * (cost - possible))
        below = min(cost, ((possible + stride) // STEP_COST + 1) * STEP_COST)
        if (below, most_ways) == asked or (best is not None and share < 1):
            continue
        asked = below, most_ways
        found = search.within(below, most_ways)
        if found is not None:
            cost, best = found
        # Where there is filler there is a place that takes it.
        possible = max(possible, search.sure + (search.sure % STEP_COST == 0 < search.sure))
        if cost <= possible:
            break
    return None if best is None else search.bags(best), cost <= possible


def _sides_of(bags: int, room: int) -> int:
    """In how many ways up to so many of these bags can be chosen."""
    return sum(math.comb(bags, chosen) for chosen in range(room + 1))


class _Search:
    def __init__(self, problem: Problem) -> None:
        self.problem, self.count = problem, len(problem.masses)
        self.sorted = sorted(problem.masses)
        self.room = min(problem.a_place, self.count)
        self.kinds = sorted(set(problem.masses))
        self.shifts: list[int] = []
        bit, guards = 0, []
        for mass in self.kinds:
            self.shifts.append(bit)
            bit += problem.masses.count(mass).bit_length() + 1
            guards.append(1 << bit - 1)
        self.guard, self.guards = sum(guards), np.array(guards)
        self.one = {mass: 1 << shift for mass, shift in zip(self.kinds, self.shifts, strict=True)}
        self.everything = sum(self.one[mass] for mass in problem.masses)
        self.odd_cost = problem.odd_steps(problem.aheads[0]) * STEP_COST
        self.all_sides = False

    def within(self, below: int, most_ways: int) -> Found | None:
        """The cheapest found for less than `below`; nothing was left out that costs less than `sure`."""
        self.sure = self.below = below
        self.most_ways = most_ways
        aheads = self.problem.aheads
        if len(aheads) == 1:
            return self._one_pair(below)
        if not self.all_sides:
            self.sides, self.all_sides = self._sides()
        self.sure *= self.all_sides
        # Three odd pairs may cost too much; then one is odd and all others are even.
        one_odd = self.count % 2 == 1 and 3 * self.odd_cost >= below
        pools = self._pools(below, one_odd)
        if len(aheads) > 3:
            return self._met(pools, below)
        best = None
        for last in set(aheads[-2:] if one_odd else aheads[-1:]):
            found = self._filled(pools, last, below, one_odd)
            if found is not None:
                below, best = found
        return None if best is None else (below, best)

    def bags(self, choices: Sequence[Choice]) -> list[Guess]:
        """Name the bags of each choice by index."""
        waiting = {
            mass: [i for i, each in enumerate(self.problem.masses) if each == mass] for mass in self.kinds
        }

        def named(heap: int) -> tuple[int, ...]:
            return tuple(waiting[mass].pop() for mass in self._masses(heap)[0].tolist())

        return [(named(near), named(far), ahead) for near, far, ahead in choices]

    def _masses(self, heaps: Whole | int) -> Whole:
        """The bags of each heap, lightest first; all heaps hold as many."""
        heaps = np.atleast_1d(heaps)
        ends = [*self.shifts[1:], 63]
        counts = [
            heaps >> shift & (1 << end - shift) - 1 for shift, end in zip(self.shifts, ends, strict=True)
        ]
        flat = np.repeat(np.tile(self.kinds, len(heaps)), np.stack(counts, axis=1).ravel())
        return flat.reshape(len(heaps), -1)

    def _there(self, heap: Whole) -> npt.NDArray[np.bool_]:
        """Whether there are as many bags of each kind as a heap would take."""
        there: npt.NDArray[np.bool_] = (self.everything + self.guard - heap) & self.guard == self.guard
        return there

    def _cost(self, difference: Whole) -> Whole:
        """What `Problem.cost` says, for many at once."""
        off = abs(difference)
        pieces = -(-np.maximum(off - self.problem.limit, 0) // self.problem.step)
        fits = (pieces == 0) | (abs(off - pieces * self.problem.step) <= self.problem.limit)
        return np.where(fits, pieces * STEP_COST + (pieces > 0), NO_WAY)

    def _heaps(self, masses: Sequence[int], most: int) -> Whole:
        """All different heaps of at most so many of these bags: mass, heap and number."""
        by_number = [np.zeros((3, int(number == 0)), np.int64) for number in range(most + 1)]
        for mass in sorted(set(masses)):
            bag, many = np.array([[mass], [self.one[mass]], [1]]), masses.count(mass)
            by_number = [
                np.concatenate(
                    [by_number[number - n] + n * bag for n in range(min(number, many) + 1)], axis=1
                )
                for number in range(most + 1)
            ]
        return np.concatenate(by_number, axis=1)

    def _sides(self) -> tuple[Whole, bool]:
        """Every heap that fits in a place, lightest first, or some if that is too many, and whether it is all."""
        few = self.room
        while _sides_of(self.count, few) > 2 * self.most_ways:
            few -= 1
        made = [self._heaps(self.sorted, few)]
        if few < self.room:
            middle = self.count // 2
            for some in (self.sorted[:middle], self.sorted[middle:], self.sorted[::2], self.sorted[1::2]):
                made.append(self._heaps(some, self.room))
        sides = np.concatenate(made, axis=1)
        if few < self.room:
            sides = sides[:, np.unique(sides[1], return_index=True)[1]]
        # Short numbers are sorted much faster.
        grain = math.gcd(*self.sorted)
        rank = (sides[0] // grain).astype(np.min_scalar_type(sum(self.sorted) // grain))
        return sides[:, np.argsort(rank, kind="stable")], few == self.room

    def _pools(self, below: int, one_odd: bool) -> dict[int, Table]:
        """For each difference of buckets all that such a pair can hold for less than `below`."""
        aheads = set(self.problem.aheads)
        odd = {ahead: self._pool(ahead, below, 1, self.sides) for ahead in aheads}
        sides = self.sides
        if one_odd:
            heaps = np.concatenate([pool.heap for pool in odd.values()])
            if self.problem.pairs == 2 or not len(heaps):
                return odd
            # Bags that are in the odd pair whatever it holds are in no other.
            sides = sides[:, self._there(sides[1] + np.bitwise_and.reduce(heaps))]
        even = {ahead: self._pool(ahead, below, 0, sides) for ahead in aheads}
        return {ahead: least([odd[ahead], even[ahead]]) for ahead in aheads}

    def _pool(self, ahead: int, below: int, odd: int, sides: Whole) -> Table:
        """All that such a pair can hold, if the rest can still cost little enough; an odd rest costs filler."""
        rest = self.odd_cost if (self.count - odd) % 2 else 0
        by_parity, tables = [sides[:, sides[2] % 2 == parity] for parity in (0, 1)], [EMPTY]
        for near, far in ((by_parity[0], by_parity[odd]), (by_parity[1], by_parity[1 - odd])):
            reach = self._reach(near[0] + ahead, far[0], below - rest, rest)
            first = np.searchsorted(far[0], near[0] + ahead - reach)
            end = np.searchsorted(far[0], near[0] + ahead + reach, "right")
            thin = 1 + 2 * int((end - first).sum()) // (1 + self.most_ways)
            self.sure *= thin == 1
            rows, columns = spread(first[::thin], end[::thin])
            near, far = near[:, ::thin][:, rows], far[:, columns]
            both = Table(near[1] + far[1], self._cost(ahead + near[0] - far[0]), near[2] + far[2])
            tables.append(both.only(self._there(both.heap) & (both.cost < below - rest)))
        pool = least(tables)
        # The very least is reached only if one pair takes all the filler there is.
        floor = self.problem.floor
        return pool.only((pool.cost == 0) | (pool.cost == floor)) if below == floor + 1 else pool

    def _reach(self, near: Whole, far: Whole, within: int, rest: int) -> int:
        """The largest difference that may be made good, or a smaller one if that would be too many ways."""
        limit, step = self.problem.limit, self.problem.step
        reach, some = self.problem.reach(within), near[:: 1 + len(near) // 200]
        while reach > limit + step:
            first, end = np.searchsorted(far, some - reach), np.searchsorted(far, some + reach, "right")
            if 4 * (end - first).sum() * len(near) <= self.most_ways * len(some):
                break
            reach = limit + max(step, (reach - limit) // 2)
            self.sure = min(self.sure, ((reach - limit) // step + 1) * STEP_COST + rest)
        return reach

    def _met(self, pools: dict[int, Table], below: int) -> Found | None:
        """Half of the pairs are filled in every way, and so is the other half; then both must make up everything."""
        first, second = self.problem.halves
        lows = {ahead: low(pool, self.count) for ahead, pool in pools.items()}
        ones = self._filling(pools, first, [lows[ahead] for ahead in second], below)
        others = self._filling(pools, second, [lows[ahead] for ahead in first], below, once=False)
        place, cost = match(others[-1], ones[-1], self.everything)
        if cost >= below:
            return None
        heap = int(others[-1].heap[place])
        return cost, [
            *self._traced(pools, first, ones, self.everything - heap),
            *self._traced(pools, second, others, heap),
        ]

    def _filled(self, pools: dict[int, Table], last: int, below: int, one_odd: bool) -> Found | None:
        """All pairs but the last are filled in every way, and what is left is split between its sides."""
        first = list(self.problem.aheads)
        first.remove(last)
        costs = np.zeros(self.count + 1, np.int64)
        costs[1::2] = NO_WAY if one_odd else self.problem.odd_steps(last) * STEP_COST
        costs[2 * self.room + 1 :] = NO_WAY
        ones, best = self._filling(pools, first, [costs], below), None
        for table in ones[-1].parted(ones[-1].bags):
            splits = self._splits(self.count - int(table.bags[0]))
            most = 1 + 20 * self.most_ways // (1 + len(splits))
            self.sure = min([self.sure, *table.cost[most : most + 1].tolist()])
            for start in range(0, min(most, len(table.heap)), rows := 1 + BLOCK // (1 + len(splits))):
                if below <= max(self.problem.floor, table.cost[start]):
                    break
                some = table.only(np.arange(start, min(start + rows, len(table.heap))))
                masses = self._masses(self.everything - some.heap)
                # Whole numbers as fractions are exact below 2^53, and multiply faster.
                differences = np.rint(masses @ (2.0 * splits.T - 1)).astype(np.int64)
                cost = self._cost(last + differences) + some.cost[:, None]
                if cost.size and cost.min() < below:
                    row, way = divmod(int(cost.argmin()), len(splits))
                    near = sum(self.one[mass] for mass in masses[row][splits[way] == 1].tolist())
                    below, best = int(cost.min()), (int(some.heap[row]), near)
        if best is None:
            return None
        heap, near = best
        return below, [*self._traced(pools, first, ones, heap), (near, self.everything - heap - near, last)]

    def _splits(self, bags: int) -> Whole:
        """Which of so many bags are on the near side: every way that fits, or very many."""
        self.sure *= 1 << bags <= _MOST_SPLITS
        codes = np.arange(min(1 << bags, _MOST_SPLITS)) * _ANY_ODD % (1 << bags)
        splits = codes[:, None] >> np.arange(bags) & 1
        near = splits.sum(axis=1)
        fits: Whole = splits[(near <= self.room) & (bags - near <= self.room)]
        return fits

    def _one_pair(self, below: int) -> Found | None:
        """Every part of one half of the bags meets the parts of the other that come near enough."""
        (ahead,), total, reach = self.problem.aheads, sum(self.sorted), self.problem.reach(below)
        some, more = (self._heaps(self.sorted[start::2], self.room) for start in (0, 1))
        more = more[:, np.argsort(more[0])]
        wanted = total - ahead - 2 * some[0]
        first = np.searchsorted(2 * more[0], wanted - reach)
        rows, columns = spread(first, np.searchsorted(2 * more[0], wanted + reach, "right"))
        near = some[:, rows] + more[:, columns]
        near = near[:, (near[2] <= self.room) & (self.count - near[2] <= self.room)]
        cost = self._cost(ahead + 2 * near[0] - total)
        if not cost.size or cost.min() >= below:
            return None
        heap = int(near[1][cost.argmin()])
        return int(cost.min()), [(heap, self.everything - heap, ahead)]

    def _filling(
        self,
        pools: dict[int, Table],
        aheads: Sequence[int],
        lows: Sequence[Whole],
        below: int,
        once: bool = True,
    ) -> list[Table]:
        """Fill one pair after another: what can stand in none, in the first, in the first two …

        With `once`, each heap is in the last table once; in all others it is anyway.
        """
        stages = [NOTHING]
        for place, ahead in enumerate(aheads, start=1):
            later = low_together(
                [*lows, *(low(pools[each], self.count) for each in aheads[place:])], self.count
            )
            alike = len(set(aheads[:place])) == 1
            tables = self._joined(stages[-1], pools[ahead], below - later, alike)
            stages.append(least(tables) if once or place < len(aheads) else stacked(tables))
        return stages

    def _joined(self, table: Table, pool: Table, below: Whole, alike: bool) -> list[Table]:
        """Every heap of the table beside every one of the pool; `below` goes by the number of bags left."""
        tables = [EMPTY]
        # Where most ways are left out, those that are taken are of every number of bags.
        every = 2 if len(table.heap) * len(pool.heap) < 100 * self.most_ways else self.count + 1
        for ones, others in product(table.parted(table.bags % every), pool.parted(pool.bags % every)):
            if every > 2 and ones.bags[0] + others.bags[0] > self.count:
                continue
            left = self.count - int(ones.bags[0] + others.bags[0])
            most = int(below[left % 2 :: 2].max())
            within = fewer(ones, others, most, self.most_ways)
            if within < most:
                self.sure = min(self.sure, self.below - most + within)
            if ways(ones, others, within) > 2 * self.most_ways:
                self.sure = min(self.sure, self.below - most + int(ones.cost[0] + others.cost[0]))
                few = self.most_ways // min(len(ones.heap), len(others.heap), math.isqrt(self.most_ways))
                ones, others = ones.thinned(few), others.thinned(few)
            both = beside(ones, others, within, self.everything, self.guards, alike)
            tables.append(both.only(both.cost < below[self.count - both.bags]))
        return tables

    def _traced(
        self, pools: dict[int, Table], aheads: Sequence[int], stages: Sequence[Table], heap: int
    ) -> list[Choice]:
        """What each pair holds if they hold this heap together."""
        choices = []
        for ahead, stage in zip(reversed(aheads), reversed(stages[:-1]), strict=True):
            place, _ = match(pools[ahead], stage, heap)
            held = int(pools[ahead].heap[place])
            choices.append(self._choice(held, ahead))
            heap -= held
        return choices

    def _choice(self, heap: int, ahead: int) -> Choice:
        """The best way to part a heap between two sides."""
        masses = self._masses(heap)[0]
        near, far = self.sides, heap - self.sides[1]
        fits = (heap + self.guard - near[1]) & self.guard == self.guard
        fits &= len(masses) - near[2] <= self.room
        cost = np.where(fits, self._cost(ahead + 2 * near[0] - masses.sum()), NO_WAY)
        best = int(cost.argmin())
        return int(near[1][best]), int(far[best]), ahead
