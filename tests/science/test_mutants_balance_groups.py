"""Pairs of places as whole numbers: what they cost, what can still be made good, and how they may be moved."""

import cmath
import math
from itertools import permutations, product

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


def test_where_no_piece_helps_there_is_no_steadying() -> None:
    groups = [Group(near=(0,), difference=9), Group()]
    assert steadied(problem(buckets=(0,) * 4, step=18, vector_limit=3), groups) is None
    assert groups == steadied(problem(buckets=(0,) * 4, step=18, vector_limit=9), groups)
    assert groups == steadied(problem(buckets=(0,) * 4, step=18), groups)
