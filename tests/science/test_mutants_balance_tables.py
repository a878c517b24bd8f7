"""Rotors that only one way through the search brings to the least, and what it looks at when that is too much."""

import random
from collections.abc import Sequence
from itertools import combinations, permutations

import numpy as np
import pytest

from buffycoat.science import balance_search
from buffycoat.science.balance_groups import NO_WAY, STEP_COST, Guess, Problem, difference_of, first_guess
from buffycoat.science.balance_search import _allowances, _Search, cheapest, improved_further
from buffycoat.science.balance_tables import Table, Whole

EVERY_WAY = 10**6


def differences(problem: Problem, guesses: Sequence[Guess] | None) -> list[int]:
    return sorted(abs(difference_of(problem, each)) for each in guesses or ())


@pytest.mark.parametrize(("bags", "pairs", "whole"), [(24, 6, True), (25, 6, False), (24, 7, False)])
def test_up_to_twelve_places_and_twenty_four_bags_are_searched_whole(
    bags: int, pairs: int, whole: bool
) -> None:
    problem = Problem((600,) * bags, (7,) + (0,) * (2 * pairs - 1), 0, 1, 3)
    assert whole == improved_further(problem, first_guess(problem))[1]


@pytest.mark.parametrize(
    ("bags", "ways", "whole"), [(13, 1 << 13, True), (14, 1 << 14, True), (15, 1 << 14, False)]
)
def test_fourteen_bags_are_split_in_every_way_once_and_of_more_in_as_many_ways(
    bags: int, ways: int, whole: bool
) -> None:
    search = _Search(Problem(tuple(range(1, bags + 1)), (0, 0), 0, 1, bags))
    search.whole = True
    splits = search._splits(bags)
    assert (ways, bags) == splits.shape == np.unique(splits, axis=0).shape
    assert whole == search.whole


def test_a_table_is_thinned_evenly_from_its_first_row_and_only_if_it_is_too_long() -> None:
    table = Table(*np.array([range(10)] * 3))
    assert [0, 4, 8] == table.thinned(3).heap.tolist()
    assert list(range(10)) == table.thinned(11).heap.tolist()


@pytest.mark.parametrize(
    ("a_place", "a_side", "together"), [(1, 1, 6), (2, 2, 6), (3, 1, 4), (6, 1, 2), (12, 1, 2)]
)
def test_a_large_rotor_is_gone_through_in_parts_as_large_as_can_be_searched(
    a_place: int, a_side: int, together: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    parts: list[set[int]] = []

    def noted(part: Problem, _: int) -> tuple[None, bool]:
        parts.append({mass // 2 for mass in part.masses})
        return None, True

    monkeypatch.setattr(balance_search, "cheapest", noted)
    masses = tuple(2 * pair + far for pair in range(11) for far in (0, 1) for _ in range(a_side))
    ends = [range(first, first + a_side) for first in range(0, len(masses), a_side)]
    guess: list[Guess] = [(tuple(ends[k]), tuple(ends[k + 1]), 0) for k in range(0, 22, 2)]
    improved_further(Problem(masses, (0,) * 22, 0, 1, a_place), guess)
    assert {together} == {len(part) for part in parts}
    # In a rotor of eleven pairs each comes together with every other.
    assert 55 == len({two for part in parts for two in combinations(sorted(part), 2)})


def test_where_no_filler_helps_a_large_rotor_is_left_as_it_was() -> None:
    # Odd milligrams, and filler in pieces of 50 g.
    problem = Problem(tuple(500_001 + 2 * k for k in range(25)), (0,) * 26, 0, 50_000, 1)
    guess = first_guess(problem)
    better, proven = improved_further(problem, guess)
    assert (NO_WAY <= problem.cost_of(guess), False) == (NO_WAY <= problem.cost_of(better), proven)


def test_the_dearest_filler_that_helps_is_still_looked_at() -> None:
    # By hand: the bag makes the heavier bucket 9 ahead, and two pieces of 5 are 1 too much; 3 ahead, none will do.
    problem = Problem((3,), (6, 0), 1, 5, 1)
    assert ([((0,), (), 6)], True) == improved_further(problem, [((), (0,), 6)])


def test_the_odd_bag_may_stand_where_the_buckets_are_most_alike() -> None:
    # By hand: only beside 2 can 27 be made good with pieces of 5, for the pair of 2 cannot be left empty.
    problem = Problem((27,), (10, 5, 2, 0, 0, 0), 0, 5, 1)
    better, proven = improved_further(problem, [((0,), (), 10), ((), (), 5), ((), (), 2)])
    assert (8 * STEP_COST + 3, True) == (problem.cost_of(better), proven)


def test_three_pairs_may_be_odd_where_that_is_the_only_way() -> None:
    # By hand: bags facing each other, or an empty pair, leave a 2 that no piece of 5 makes good.
    problem = Problem((27, 27, 27), (2, 2, 2, 0, 0, 0), 0, 5, 1)
    better, proven = cheapest(problem, 1000)
    assert ([25, 25, 25], True) == (differences(problem, better), proven)


def test_all_bags_may_stand_in_the_last_pair() -> None:
    # By hand: the pairs of 9 take a piece each, and the 5 is made good by bags alone.
    problem = Problem((600, 605), (9, 9, 5, 0, 0, 0), 0, 9, 1)
    better, proven = cheapest(problem, 1000)
    assert ([0, 9, 9], True) == (differences(problem, better), proven)


def test_the_last_pair_may_be_odd_beside_a_much_heavier_bucket() -> None:
    problem = Problem((601, 600, 599), (601, 600, 599, 0, 0, 0), 0, 1, 1)
    better, proven = cheapest(problem, 130)
    assert ([0, 0, 0], True) == (differences(problem, better), proven)


def test_one_pair_may_hold_nothing_of_one_half_of_the_bags() -> None:
    problem = Problem((3, 10), (7, 0), 0, 1, 1)
    better, proven = cheapest(problem, STEP_COST + 1)
    assert ([0], True) == (differences(problem, better), proven)


def test_one_pair_is_split_in_a_way_that_filler_makes_good_among_ways_that_it_does_not() -> None:
    # By hand: 1 against 2 leaves 1, which no piece of 3 makes good; both on one side leave 3.
    problem = Problem((1, 2), (0, 0), 0, 3, 2)
    better, proven = cheapest(problem, 1000)
    assert ([3], True) == (differences(problem, better), proven)


def odd_rotor(seed: int) -> Problem:
    """Bags two by two of one mass, and one that stands alone: the least is its mass less the limit."""
    chance = random.Random(seed)
    twos = [chance.randint(500, 620) for _ in range(5)]
    return Problem((*twos, *twos, 450), (0,) * chance.choice([4, 6, 8, 12]), 3, 1, 3)


@pytest.mark.parametrize("seed", range(12))
def test_asked_whether_the_very_least_can_be_reached_it_finds_it(seed: int) -> None:
    problem = odd_rotor(seed)
    better, proven = cheapest(problem, problem.floor + 1)
    assert better is not None
    assert (problem.floor, True) == (problem.cost_of(better), proven)


def test_twenty_four_single_bags_are_few_enough_to_try_all_costs_at_once() -> None:
    assert [1281] == list(_allowances(Problem(tuple(range(30, 54)), (0,) * 24, 0, 1, 1), 1281))


def test_where_too_many_heaps_fit_in_a_place_the_small_ones_and_those_of_each_half_are_kept() -> None:
    masses = [3**k for k in range(8)]
    search = _Search(Problem(tuple(masses[::3] + masses[1::3] + masses[2::3]), (0,) * 8, 0, 1, 3))
    search.most_ways = 1 + 8 + 28
    (found, _, bags), whole = search._sides()
    halves = (range(4), range(4, 8), range(0, 8, 2), range(1, 8, 2))
    kept = {each for few in (0, 1, 2) for each in combinations(range(8), few)}
    kept |= {each for half in halves for each in combinations(half, 3)}
    assert sorted((sum(masses[i] for i in each), len(each)) for each in kept) == list(
        zip(found, bags, strict=True)
    )
    assert not whole


@pytest.mark.parametrize(("ways", "whole"), [(30, False), (EVERY_WAY, True)])
def test_a_search_among_some_heaps_alone_is_not_called_whole(ways: int, whole: bool) -> None:
    # Masses so unlike that no two heaps are of nearly the same mass, so nothing else is left out.
    search = _Search(Problem(tuple(3**k for k in range(1, 9)), (0,) * 8, 0, 1, 3))
    assert (None, whole) == (search.within(STEP_COST, ways), search.whole)


@pytest.mark.parametrize(
    ("answers", "asked", "result"),
    [
        # Nothing for less than a piece, nothing is left out; then a piece in one place, which nothing can beat.
        ([(None, True), (65, False)], [(64, 1), (128, 1)], ([], True)),
        # A piece in two places is not yet what nothing can beat: more ways are looked at for less than that.
        ([(None, True), (66, False), (65, False)], [(64, 1), (128, 1), (66, 2)], ([], True)),
        ([(None, True), (66, False), (None, True)], [(64, 1), (128, 1), (66, 2)], ([], True)),
        # Without filler at all: at once, and only after all ways.
        ([(0, False)], [(64, 1)], ([], True)),
        ([(None, False), (None, False), (0, False)], [(64, 1), (64, 2), (64, 3)], ([], True)),
        # Too many ways: what is found is not proven, and no more is asked than the most.
        (
            [(None, False), (None, False), (None, False), (65, True)],
            [(64, 1), (64, 2), (64, 3), (128, 3)],
            ([], False),
        ),
        ([(None, True), (None, True)], [(64, 1), (100, 1)], (None, True)),
    ],
)
def test_more_ways_are_looked_at_only_until_nothing_can_beat_what_was_found(
    answers: list[tuple[int | None, bool]],
    asked: list[tuple[int, int]],
    result: tuple[list[Guess] | None, bool],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told, heard = iter(answers), []

    def within(self: _Search, below: int, most_ways: int) -> tuple[int, list[Guess]] | None:
        heard.append((below, most_ways))
        cost, self.whole = next(told)
        return None if cost is None else (cost, [])

    monkeypatch.setattr(balance_search, "_WAYS", (1, 2, 3))
    monkeypatch.setattr(_Search, "within", within)
    problem = Problem(tuple(range(30, 42)), (0,) * 12, 0, 1, 2)
    assert result == cheapest(problem, 100 if result[0] is None else 1281)
    assert asked == heard


def test_a_pair_holds_what_costs_less_than_is_allowed_and_only_bags_that_are_there() -> None:
    # By trying all: no bag on both sides, a difference of 1 at the most.
    masses = (10, 11, 13, 16, 22)
    search = _Search(Problem(masses, (0,) * 6, 0, 1, 2))
    search.whole, search.most_ways = True, EVERY_WAY
    search.sides, _ = search._sides()
    for odd in (0, 1):
        below = 129 + (search.odd_cost if odd == 0 else 0)
        pool = search._pool(0, below, odd, search.sides)
        least = {}
        for near, far in permutations([each for few in range(3) for each in combinations(masses, few)], 2):
            off = abs(sum(near) - sum(far))
            if not set(near) & set(far) and (len(near) + len(far)) % 2 == odd and off < 2:
                least[sum(search.one[mass] for mass in near + far)] = off * STEP_COST + off
        least |= {0: 0} if odd == 0 else {}
        assert least == dict(zip(pool.heap.tolist(), pool.cost.tolist(), strict=True))
        assert len(least) > 1


def test_two_tables_are_joined_in_every_way_that_costs_less_than_is_allowed() -> None:
    search = _Search(Problem((1, 2, 4, 8), (0,) * 8, 0, 1, 1))
    heap = np.array([search.one[mass] for mass in (1, 2, 4, 8)])
    ones = Table(heap[:2], np.array([0, 3]), np.array([1, 1]))
    others = Table(heap[2:], np.array([1, 4]), np.array([1, 1]))
    # Below 5: 1 beside 4 or 8, 2 beside 4 alone: three ways.
    for most_ways, whole in ((3, True), (2, False)):
        search.whole, search.most_ways = True, most_ways
        joined = search._joined(ones, others, np.full(5, 5))
        assert whole == search.whole
        if whole:
            assert sorted([heap[0] + heap[2], heap[0] + heap[3], heap[1] + heap[2]]) == joined.heap.tolist()


def test_what_is_left_for_the_other_pairs_is_counted_by_the_number_of_bags() -> None:
    search = _Search(Problem((1, 2), (0,) * 4, 0, 1, 1))
    low = np.array([7, 1, NO_WAY])
    # None in both, one in either, one in each.
    assert [14, 8, 2] == search._together([low, low]).tolist()
    assert [0, NO_WAY, NO_WAY] == search._together([]).tolist()


def test_no_pair_is_filled_so_that_the_others_must_cost_too_much() -> None:
    search = _Search(Problem((1, 2), (0,) * 4, 0, 1, 1))
    search.whole, search.most_ways = True, EVERY_WAY
    heap = [search.one[1], search.one[2]]
    pool = Table(np.array(heap), np.array([0, 3]), np.array([1, 1]))
    # The other bag costs 4 at the least.
    for below, held in ((4, []), (5, heap[:1]), (7, heap[:1]), (8, heap)):
        stages = search._filling({0: pool}, [0], [np.array([NO_WAY, 4, NO_WAY])], below)
        assert held == stages[-1].heap.tolist()


def test_a_heap_is_parted_so_that_no_side_holds_too_many() -> None:
    # 12 against 3, 4 and 5 would be level; with two on a side, 12 and 3 against 4 and 5 is the nearest.
    search = _Search(Problem((3, 4, 5, 12), (0,) * 4, 0, 1, 2))
    search.most_ways = EVERY_WAY
    search.sides, _ = search._sides()
    near, far, ahead = search._choice(search.everything, 0)
    assert {search.one[12] + search.one[3], search.one[4] + search.one[5]} == {near, far}
    assert 0 == ahead


def test_where_no_pair_can_be_the_odd_one_the_even_ones_are_not_listed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    listed, pool = [], _Search._pool

    def noted(self: _Search, ahead: int, below: int, odd: int, sides: Whole) -> Table:
        listed.append(odd)
        return pool(self, ahead, below, odd, sides)

    monkeypatch.setattr(_Search, "_pool", noted)
    search = _Search(Problem((27, 27, 27), (0,) * 6, 0, 1, 1))
    assert (None, True) == (search.within(STEP_COST, EVERY_WAY), search.whole)
    assert [1] == listed
    # For 28 pieces the odd one can be had, beside an even pair and an empty one.
    assert (27 * STEP_COST + 1) == (search.within(28 * STEP_COST, EVERY_WAY) or (0,))[0]
    assert [1, 1, 0] == listed
