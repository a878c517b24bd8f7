"""The vector sum of a loaded rotor: which way round the pairs stand, and filler where that is not enough."""

import cmath
import math
from dataclasses import replace
from itertools import combinations_with_replacement

from buffycoat.science.balance_search import Group, Problem


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
