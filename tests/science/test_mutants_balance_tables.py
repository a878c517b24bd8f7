"""Rotors that only one way through the search brings to the least, and what it looks at when that is too much."""

import random
from collections.abc import Sequence
from itertools import combinations, permutations, product

import numpy as np
import pytest

from buffycoat.science import balance_search
from buffycoat.science.balance_groups import NO_WAY, STEP_COST, Guess, Problem, difference_of, first_guess
from buffycoat.science.balance_search import _Search, cheapest, improved_further
from buffycoat.science.balance_tables import Table, Whole, least, match, stacked

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
    search.sure = 1
    splits = search._splits(bags)
    assert (ways, bags) == splits.shape == np.unique(splits, axis=0).shape
    assert whole == search.sure


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


def test_where_too_many_heaps_fit_in_a_place_the_small_ones_and_those_of_each_half_are_kept() -> None:
    masses = [3**k for k in range(8)]
    search = _Search(Problem(tuple(masses[::3] + masses[1::3] + masses[2::3]), (0,) * 8, 0, 1, 3))
    search.most_ways = (1 + 8 + 28 + 1) // 2
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
    assert (None, whole) == (search.within(STEP_COST, ways), search.sure == STEP_COST)


@pytest.mark.parametrize(
    ("answers", "asked", "result"),
    [
        # Nothing for less than a piece; then a piece in one place, which nothing can beat.
        ([(None, 64), (65, 64)], [(64, 1), (384, 2)], ([], True)),
        ([(None, 64), (66, 64), (None, 66)], [(64, 1), (384, 2), (66, 3)], ([], True)),
        # What was found is proven as soon as it is known that nothing costs less.
        ([(None, 64), (66, 66)], [(64, 1), (384, 2)], ([], True)),
        # Without filler at all: at once.
        ([(0, 0)], [(64, 1)], ([], True)),
        # From what is known to be out of reach a quarter of the way, then all of it.
        ([(None, 64), (None, 384), (None, 1281)], [(64, 1), (384, 2), (1281, 3)], (None, True)),
        # Too many ways: what is found is not proven, and no more is asked than the most.
        ([(None, 0)] * 3 + [(66, 64)], [(64, 1), (384, 2), (1281, 3), (1281, 4)], ([], False)),
        ([(None, 0), (None, 0), (700, 0), (None, 0)], [(64, 1), (384, 2), (1281, 3), (700, 4)], ([], False)),
    ],
)
def test_more_ways_are_looked_at_only_until_nothing_can_beat_what_was_found(
    answers: list[tuple[int | None, int]],
    asked: list[tuple[int, int]],
    result: tuple[list[Guess] | None, bool],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told, heard = iter(answers), []

    def within(self: _Search, below: int, most_ways: int) -> tuple[int, list[Guess]] | None:
        heard.append((below, most_ways))
        cost, self.sure = next(told)
        return None if cost is None else (cost, [])

    monkeypatch.setattr(balance_search, "_STAGES", ((0, 1), (0.25, 2), (1, 3), (1, 4)))
    monkeypatch.setattr(_Search, "within", within)
    problem = Problem(tuple(range(30, 42)), (0,) * 12, 0, 1, 2)
    assert (result, asked) == (cheapest(problem, 1281), heard)


def test_a_pair_holds_what_costs_less_than_is_allowed_and_only_bags_that_are_there() -> None:
    # By trying all: no bag on both sides, a difference of 1 at the most.
    masses = (10, 11, 13, 16, 22)
    search = _Search(Problem(masses, (0,) * 6, 0, 1, 2))
    search.sure, search.most_ways = 1, EVERY_WAY
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
    # Below 5: 1 beside 4 or 8, 2 beside 4 alone: three ways; where they are too many only the cheapest is sure.
    for most_ways, sure, held in ((3, 5, [(0, 2), (0, 3), (1, 2)]), (1, 1, [(0, 2)])):
        search.sure, search.below, search.most_ways = 5, 5, most_ways
        joined = stacked(search._joined(ones, others, np.full(5, 5), False))
        assert sure == search.sure
        assert sorted(heap[one] + heap[other] for one, other in held) == sorted(joined.heap.tolist())


def test_where_only_cheap_ways_are_put_together_no_more_is_sure_than_they_cost() -> None:
    # By hand: of ten costs beside ten, 15 pairs cost less than 5; the rest of the rotor costs 2 more.
    search = _Search(Problem(tuple(range(1, 9)), (0,) * 8, 0, 1, 1))
    table = Table(np.zeros(10, np.int64), np.arange(10), np.full(10, 2))
    search.sure, search.below, search.most_ways = 11, 11, 10
    joined = stacked(search._joined(table, table, np.full(9, 9), False))
    assert (5 + 2, 15) == (search.sure, int((joined.cost < 5).sum()))


def test_of_too_many_ways_to_fill_a_pair_some_are_taken_and_nothing_is_sure() -> None:
    search = _Search(Problem((5,) * 3 + (6,) * 3 + (7,) * 3, (0,) * 8, 9, 1, 3))
    search.most_ways = EVERY_WAY
    search.sides, _ = search._sides()
    for most_ways, sure in ((EVERY_WAY, 99), (20, 0)):
        search.sure, search.most_ways = 99, most_ways
        search._pool(0, 99, 0, search.sides)
        assert sure == search.sure


def test_where_the_last_pair_is_split_for_the_cheapest_alone_no_more_is_sure_than_the_next_costs() -> None:
    # Six bags with up to four on a side are split in 15 + 20 + 15 ways: 20 ways × 28 are enough for eleven rows.
    search = _Search(Problem(tuple(3**k for k in range(8)), (0,) * 4, 0, 1, 4))
    twos = [sum(search.one[3**k] for k in two) for two in combinations(range(8), 2)]
    pool = Table(np.array(twos), np.arange(1, 29), np.full(28, 2))
    search.sure, search.below, search.most_ways = 999, 999, 28
    search._filled({0: pool}, 0, 999, False)
    assert 12 == search.sure


def test_where_not_all_heaps_are_at_hand_nothing_is_sure(monkeypatch: pytest.MonkeyPatch) -> None:
    sides = _Search._sides
    monkeypatch.setattr(_Search, "_sides", lambda self: (sides(self)[0], False))
    search = _Search(Problem((27, 28, 40), (0,) * 8, 0, 1, 1))
    assert (None, 0) == (search.within(STEP_COST, EVERY_WAY), search.sure)


@pytest.mark.parametrize("seed", range(8))
def test_of_like_pairs_every_heap_is_still_listed_once_and_at_its_least(seed: int) -> None:
    # By trying all: three like pairs of up to two bags, some of one mass, with costs by chance.
    chance = random.Random(seed)
    masses = [chance.choice((1, 2, 3, 5)) for _ in range(6)]
    search = _Search(Problem(tuple(masses), (0,) * 12, 0, 1, 1))
    search.sure, search.below, search.most_ways = 99, 99, EVERY_WAY
    some = {0: 0} | {
        sum(search.one[masses[i]] for i in two): chance.randint(1, 9) for two in combinations(range(6), 2)
    }
    pool = Table(np.array([*some]), np.array([*some.values()]), np.array([0] + [2] * (len(some) - 1)))
    by_hand: dict[int, int] = {}
    for three in product(some, repeat=3):
        if search._there(np.array(sum(three))):
            cost = sum(some[heap] for heap in three)
            by_hand[sum(three)] = min(cost, by_hand.get(sum(three), cost))
    stages = search._filling({0: pool}, [0] * 3, [np.zeros(7, np.int64)], 99)
    assert by_hand == dict(zip(stages[-1].heap.tolist(), stages[-1].cost.tolist(), strict=True))
    assert len(by_hand) == len(stages[-1].heap)
    # Each order of three unlike pairs would be listed otherwise.
    assert len(stacked(search._joined(stages[1], pool, np.full(7, 99), True)).heap) < len(
        stacked(search._joined(stages[1], pool, np.full(7, 99), False)).heap
    )


def test_a_long_table_keeps_the_cheapest_of_each_heap_and_finds_what_makes_up_the_rest() -> None:
    # So many that slots are used, and some heaps share one.
    chance = np.random.default_rng(3)
    heap, cost = (
        chance.integers(0, 1 << 40, 9_000)[chance.integers(0, 9_000, 30_000)],
        chance.integers(0, 999, 30_000),
    )
    cheapest_of: dict[int, int] = {}
    for each, price in zip(heap.tolist(), cost.tolist(), strict=True):
        cheapest_of[each] = min(price, cheapest_of.get(each, price))
    table = least([Table(heap, cost, heap % 7)])
    assert cheapest_of == dict(zip(table.heap.tolist(), table.cost.tolist(), strict=True))
    assert len(cheapest_of) == len(table.heap) and (table.heap % 7 == table.bags).all()
    for each in heap[:50].tolist():
        one = Table(*np.array([[1 << 41, 77, 5], [0, 1, 2], [1, 1, 1]]))
        assert (1, cheapest_of[each] + 1) == match(one, table, each + 77)


def test_no_pair_is_filled_so_that_the_others_must_cost_too_much() -> None:
    search = _Search(Problem((1, 2), (0,) * 4, 0, 1, 1))
    search.sure, search.most_ways = 99, EVERY_WAY
    heap = [search.one[1], search.one[2]]
    pool = Table(np.array(heap), np.array([0, 3]), np.array([1, 1]))
    # The other bag costs 4 at the least.
    for below, held in ((4, []), (5, heap[:1]), (7, heap[:1]), (8, heap)):
        search.below = below
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
    assert (None, STEP_COST) == (search.within(STEP_COST, EVERY_WAY), search.sure)
    assert [1] == listed
    # For 28 pieces the odd one can be had, beside an even pair and an empty one.
    assert (27 * STEP_COST + 1) == (search.within(28 * STEP_COST, EVERY_WAY) or (0,))[0]
    assert [1, 1, 0] == listed
