"""Pairs of places as whole numbers: what they cost, what can still be made good, and how they may be moved."""

import cmath
import math
import random
from itertools import combinations, permutations, product

import pytest

from buffycoat.science.balance_groups import (
    NO_WAY,
    Group,
    Problem,
    arrange,
    difference_of,
    first_guess,
    groups_of,
    improved,
    residual,
    steadied,
)


def problem(
    *masses: int,
    buckets: tuple[int, ...] = (0, 0),
    limit: int = 2,
    step: int = 1,
    a_place: int = 1,
    vector_limit: float | None = None,
) -> Problem:
    return Problem(masses, buckets, limit, step, a_place, vector_limit)


@pytest.mark.parametrize(
    ("difference", "limit", "step", "pieces"),
    [
        (2, 2, 1, 0),
        (-2, 2, 1, 0),
        (3, 2, 1, 1),
        (-7, 2, 1, 5),
        (7, 2, 5, 1),
        (8, 2, 5, 2),
        (9, 2, 5, 2),
        (3, 0, 3, 1),
        (4, 0, 3, NO_WAY),
        (5, 1, 4, 1),
        (7, 1, 4, 2),
        (6, 1, 4, NO_WAY),
    ],
)
def test_the_fewest_pieces_of_filler_that_come_within_the_limit(
    difference: int, limit: int, step: int, pieces: int
) -> None:
    # By hand: 8 less two pieces of 5 is 2 too much on the other side, which a limit of 2 allows.
    assert pieces == problem(limit=limit, step=step).steps(difference)


def test_less_filler_is_always_cheaper_than_fewer_places_with_filler() -> None:
    # 24 places with a piece each against one with 25.
    some = problem()
    assert 0 == some.cost(2)
    assert 24 * some.cost(3) < some.cost(2 + 25)
    assert some.cost(2 + 24) < 24 * some.cost(3)


@pytest.mark.parametrize("below", [1, 2, 65, 66, 128, 129, 130, 200])
def test_reach_is_the_largest_difference_that_still_costs_less(below: int) -> None:
    # By trying every difference.
    for limit in (0, 2, 5):
        some = problem(limit=limit)
        assert max(d for d in range(50) if some.cost(d) < below) == some.reach(below)


def test_places_opposite_are_half_a_rotor_apart() -> None:
    rotor = problem(buckets=(7, 1, 2, 3, 1, 2))
    assert 3 == rotor.pairs
    assert [4, 0, 0] == [rotor.bucket_difference(pair) for pair in range(3)]


def test_a_group_turned_round_is_its_mirror_and_twice_is_itself() -> None:
    group = Group(near=(1,), far=(2, 3), near_filler=4, far_filler=0, difference=5)
    assert Group(near=(2, 3), far=(1,), near_filler=0, far_filler=4, difference=-5) == group.turned()
    assert group == group.turned().turned()


def test_filler_goes_to_the_lighter_side_of_the_pair_it_was_meant_for() -> None:
    # Bags of 9 and 4, buckets 5 apart: beside the heavier bucket the 9 is 10 too much, beside the lighter the 4 even.
    rotor = problem(9, 4, buckets=(0, 5, 5, 0), limit=1)
    heavy, light = groups_of(rotor, [((0,), (1,), 5), ((), (), 5)])
    assert Group(near=(1,), far=(0,), near_filler=9, far_filler=0, difference=-1) == heavy
    assert Group(near=(), far=(), near_filler=0, far_filler=4, difference=1) == light
    assert 10 == difference_of(rotor, ((0,), (1,), 5))
    assert -5 + 5 == difference_of(rotor, ((1,), (0,), 5))


@pytest.mark.parametrize(
    ("masses", "buckets", "limit", "group"),
    [
        ((4, 9), (0, 0), 1, Group(near=(0,), far=(1,), near_filler=4, difference=-1)),
        ((9, 4), (0, 0), 1, Group(near=(0,), far=(1,), far_filler=4, difference=1)),
        ((5, 4), (0, 0), 0, Group(near=(0,), far=(1,), far_filler=1)),
        ((4, 5), (0, 0), 0, Group(near=(0,), far=(1,), near_filler=1)),
        ((5, 5), (0, 1), 0, Group(near=(1,), far=(0,), near_filler=1)),
        ((5, 4), (1, 0), 0, Group(near=(0,), far=(1,), far_filler=2)),
    ],
)
def test_filler_is_always_on_the_lighter_side(
    masses: tuple[int, int], buckets: tuple[int, int], limit: int, group: Group
) -> None:
    guess = ((0,), (1,), abs(buckets[0] - buckets[1]))
    assert [group] == groups_of(problem(*masses, buckets=buckets, limit=limit), [guess])


def test_the_first_guess_sets_neighbours_in_mass_against_each_other_and_changes_sides() -> None:
    rotor = problem(10, 40, 30, 20, 60, 50, 80, 70, buckets=(0, 0, 0, 0), a_place=2)
    assert [((6, 2), (7, 1), 0), ((4, 0), (5, 3), 0)] == first_guess(rotor)


def test_a_poor_guess_is_improved_by_exchanges_and_moves() -> None:
    exchanged = improved(problem(9, 5, 9, 5, buckets=(0,) * 4, limit=0), [((0,), (1,), 0), ((2,), (3,), 0)])
    assert {(9, 9), (5, 5)} == {tuple([9, 5, 9, 5][i] for i in (*near, *far)) for near, far, _ in exchanged}
    ((near, far, _),) = improved(problem(4, 4, a_place=2, limit=0), [((0, 1), (), 0)])
    assert (1, 1) == (len(near), len(far))


@pytest.mark.parametrize("seed", range(12))
def test_after_improving_no_exchange_and_no_move_makes_it_cheaper_or_more_even(seed: int) -> None:
    # By trying every two slots.
    chance = random.Random(seed)
    a_place, pairs = chance.choice([(1, 4), (2, 2), (2, 3), (3, 2)])
    masses = [chance.randint(20, 60) for _ in range(2 * a_place * pairs - chance.randint(0, 3))]
    buckets = tuple(chance.randint(0, 5) for _ in range(2 * pairs))
    some = problem(*masses, buckets=buckets, limit=chance.randint(0, 3), a_place=a_place)
    found = improved(some, first_guess(some))
    sides = [[*side, *[None] * (a_place - len(side))] for near, far, _ in found for side in (near, far)]
    assert sorted(i for side in sides for i in side if i is not None) == list(range(len(masses)))

    def worth() -> tuple[int, int]:
        filled = [tuple(i for i in side if i is not None) for side in sides]
        guesses = [(filled[2 * k], filled[2 * k + 1], each[2]) for k, each in enumerate(found)]
        differences = [difference_of(some, guess) for guess in guesses]
        return some.cost_of(guesses), sum(each * each for each in differences)

    least = worth()
    for (a, i), (b, j) in combinations(product(range(2 * pairs), range(a_place)), 2):
        sides[a][i], sides[b][j] = sides[b][j], sides[a][i]
        assert worth() >= least
        sides[a][i], sides[b][j] = sides[b][j], sides[a][i]


@pytest.mark.parametrize(
    ("masses", "buckets", "limit", "step", "a_place", "pieces"),
    [
        ((10, 20), (0, 0), 0, 10, 1, 1),  # 30 is three times ten
        ((10, 20), (0, 0), 10, 10, 1, 0),  # 10 is within the limit
        ((10, 20), (10, 0), 0, 10, 1, 0),  # the heavier bucket makes it even
        ((3, 4), (0, 0), 1, 2, 1, 0),
        ((1, 2), (0, 0), 0, 4, 1, 0),  # pieces of four make nothing even
        ((1, 2), (0, 0), 0, 3, 1, 1),  # and pieces of three do
        ((500,), (0, 0), 0, 7, 1, 72),
        ((620, 500, 510), (0,) * 4, 0, 1, 1, 500),
        ((620, 500, 510), (0,) * 4, 0, 1, 5, 390),  # 500 and 510 against 620
        ((620, 500, 510), (7, 0, 0, 0), 2, 1, 5, 381),  # the bucket opposite makes good 7, and the limit 2
        ((620, 500, 510), (8, 0, 0, 0), 0, 1, 5, 382),
        ((620, 500, 510), (7, 0, 0, 0), 0, 1, 5, 383),
        ((620, 500, 511), (7, 0, 0, 0), 0, 1, 5, 384),
        ((7, 7, 7), (0, 9), 0, 1, 2, 0),
        ((500, 510, 520, 530, 540), (0,) * 4, 0, 1, 3, 460),
    ],
)
def test_what_nothing_can_beat(
    masses: tuple[int, ...], buckets: tuple[int, ...], limit: int, step: int, a_place: int, pieces: int
) -> None:
    # By hand: the bag too many on one side, and an even number of grams where opposite places must be equal.
    some = problem(*masses, buckets=buckets, limit=limit, step=step, a_place=a_place)
    assert (64 * pieces + 1 if pieces else 0) == some.floor


def test_an_odd_pair_of_bags_takes_the_lightest_against_the_heaviest() -> None:
    some = problem(620, 500, 510, limit=1, step=4, a_place=3, buckets=(0,) * 4)
    assert [98, 97, 95, 0, 0] == [some.odd_steps(ahead) for ahead in (0, 2, 10, 389, 400)]


@pytest.mark.parametrize("differences", [[3], [3, -1], [1, 2, 4], [5, 0, 0, -5]])
def test_the_residual_is_the_vector_sum_of_all_places(differences: list[int]) -> None:
    half = len(differences)
    places = [*(max(0, d) for d in differences), *(max(0, -d) for d in differences)]
    whole = sum(mass * cmath.rect(1, math.pi * k / half) for k, mass in enumerate(places))
    assert abs(whole) == pytest.approx(residual(differences))


@pytest.mark.parametrize("differences", [(1, 2, 3), (5, 0, 2), (4, 4, 4), (3, 1, 0)])
def test_arranging_finds_the_shortest_vector_sum_of_three_pairs(differences: tuple[int, ...]) -> None:
    # By trying every order and turn.
    groups = [Group(near=(k,), difference=d) for k, d in enumerate(differences)]
    every = [
        residual([sign * d for sign, d in zip(signs, order, strict=True)])
        for order in permutations(differences)
        for signs in product((1, -1), repeat=3)
    ]
    found = arrange(problem(buckets=(0,) * 6), groups)
    assert min(every) == pytest.approx(residual([each.difference for each in found]))
    assert {0, 1, 2} == {index for each in found for index in (*each.near, *each.far)}


def test_unlike_buckets_keep_their_groups_and_the_side_they_are_on() -> None:
    rotor = problem(buckets=(5, 0, 0, 0))
    groups = [Group(near=(0,), difference=3), Group(near=(1,), difference=3)]
    first, second = arrange(rotor, groups)
    assert groups[0] == first
    assert second in (groups[1], groups[1].turned())


@pytest.mark.parametrize("differences", [(4, -1, 2), (4, 1, 2), (-3, -3, 3), (1, 5, 0), (2, 2, -4)])
def test_a_bag_beside_a_heavier_bucket_stays_beside_one_wherever_it_moves(
    differences: tuple[int, int, int],
) -> None:
    # By trying: the first two pairs have unlike buckets, the second the other way round, and may change over turned.
    first, second, third = differences
    groups = [Group(near=(0,), difference=first), Group(far=(1,), difference=second), Group(difference=third)]
    found = arrange(problem(buckets=(5, 0, 0, 0, 5, 0)), groups)
    assert {0, 1} == {*found[0].near, *found[1].far}
    assert ((), ()) == (found[0].far, found[1].near)
    every = [
        residual([a, b, sign * third]) for a, b in ((first, second), (-second, -first)) for sign in (1, -1)
    ]
    assert min(every) == pytest.approx(residual([each.difference for each in found]))


def test_filler_is_added_piece_by_piece_until_the_vector_sum_is_met() -> None:
    rotor = problem(buckets=(0,) * 4, step=2, limit=10, vector_limit=3)
    assert [Group(near=(0,), far_filler=6, difference=3), Group()] == steadied(
        rotor, [Group(near=(0,), difference=9), Group()]
    )
    assert [Group(far=(0,), near_filler=6, difference=-3), Group()] == steadied(
        rotor, [Group(far=(0,), difference=-9), Group()]
    )


def length_of(groups: list[Group]) -> float:
    return residual([each.difference for each in groups])


@pytest.mark.parametrize("seed", range(30))
def test_after_arranging_no_exchange_and_no_turn_makes_the_vector_sum_shorter(seed: int) -> None:
    # By trying each with each, every way round that the buckets allow.
    chance = random.Random(seed)
    pairs = chance.choice([2, 3, 4])
    unlike = chance.choice([(0,), (0, 5), (-5, 0, 5)])
    ahead = [chance.choice(unlike) for _ in range(pairs)]
    rotor = problem(buckets=(*(max(0, each) for each in ahead), *(max(0, -each) for each in ahead)))
    groups = [Group(near=(k,), difference=chance.randint(-30, 30)) for k in range(pairs)]
    found = arrange(rotor, groups)
    for a, b, turn_a, turn_b in product(range(pairs), range(pairs), (False, True), (False, True)):
        moved = list(found)
        moved[a] = found[b].turned() if turn_a else found[b]
        moved[b] = found[a].turned() if turn_b else found[a]
        allowed = ahead[a] == (-ahead[b] if turn_a else ahead[b])
        allowed &= ahead[b] == (-ahead[a] if turn_b else ahead[a])
        if allowed:
            assert length_of(moved) >= length_of(found) - 1e-5


@pytest.mark.parametrize("seed", range(30))
def test_each_piece_goes_where_it_makes_the_vector_sum_shortest(seed: int) -> None:
    # By trying every pair for every piece; of two as good the more unlike pair, and of these the first.
    chance = random.Random(seed)
    step, pairs = chance.choice([1, 2, 5]), chance.choice([2, 3, 4])
    groups = [Group(near=(k,), difference=chance.randint(-12, 12)) for k in range(pairs)]
    rotor = problem(buckets=(0,) * 2 * pairs, step=step, vector_limit=chance.choice([0.5, 3, 6]))
    expected: list[Group] | None = list(groups)
    while expected is not None and length_of(expected) > rotor.vector_limit + 1e-6:
        tries = []
        for k, each in enumerate(expected):
            if abs(each.difference) > step / 2:
                more = Group(
                    each.near,
                    each.far,
                    each.near_filler + (step if each.difference < 0 else 0),
                    each.far_filler + (step if each.difference > 0 else 0),
                    each.difference - step if each.difference > 0 else each.difference + step,
                )
                new = [*expected[:k], more, *expected[k + 1 :]]
                tries.append((length_of(new), -abs(each.difference), k, new))
        expected = min(tries)[3] if tries else None
    assert expected == steadied(rotor, groups)


def test_where_no_piece_helps_there_is_no_steadying() -> None:
    groups = [Group(near=(0,), difference=9), Group()]
    assert steadied(problem(buckets=(0,) * 4, step=18, vector_limit=3), groups) is None
    assert groups == steadied(problem(buckets=(0,) * 4, step=18, vector_limit=9), groups)
    assert groups == steadied(problem(buckets=(0,) * 4, step=18), groups)
