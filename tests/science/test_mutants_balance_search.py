"""The least filler for rotors of every kind, against every way of sharing the bags out."""

import random
from functools import cache
from itertools import combinations

import pytest

from buffycoat.science import balance_search
from buffycoat.science.balance import Load, balance
from buffycoat.science.balance_groups import STEP_COST, Guess, Problem, difference_of, first_guess
from buffycoat.science.balance_search import _Search, _sides_of, improved_further
from buffycoat.science.errors import OutOfRange

Cost = tuple[int, int]
NONE: Cost = (10**9, 0)


def pieces(difference: int, limit: int, step: int) -> Cost:
    """Fewest pieces on the lighter side, by trying one after another."""
    for count in range(abs(difference) // step + 2):
        if abs(abs(difference) - count * step) <= limit:
            return count, int(count > 0)
    return NONE


def by_force(masses: list[int], buckets: list[int], limit: int, step: int, a_place: int) -> Cost:
    """Least pieces, then fewest places with filler: every pair may hold every set of bags, shared out in every way."""
    half, everything = len(buckets) // 2, (1 << len(masses)) - 1
    total = [sum(mass for i, mass in enumerate(masses) if held >> i & 1) for held in range(everything + 1)]

    def parts(held: int) -> list[int]:
        each = [1 << i for i in range(len(masses)) if held >> i & 1]
        counts = range(max(0, len(each) - a_place), min(a_place, len(each)) + 1)
        return [sum(chosen) for count in counts for chosen in combinations(each, count)]

    sharings = [parts(held) for held in range(everything + 1)]
    least = {0: (0, 0)}
    for pair in range(half):
        ahead = buckets[pair] - buckets[pair + half]
        own = [
            min(
                (pieces(ahead + 2 * total[near] - total[held], limit, step) for near in sharings[held]),
                default=NONE,
            )
            for held in range(everything + 1)
        ]
        following: dict[int, Cost] = {}
        for done, cost in least.items():
            free = held = everything - done
            while True:
                with_it = (cost[0] + own[held][0], cost[1] + own[held][1])
                following[done | held] = min(following.get(done | held, NONE), with_it)
                if held == 0:
                    break
                held = (held - 1) & free
        least = following
    return least[everything]


def rotor(seed: int) -> tuple[list[int], list[int], int, int, int]:
    chance = random.Random(seed)
    places, a_place = chance.choice([(2, 4), (2, 3), (4, 1), (4, 2), (4, 3), (6, 1), (6, 2), (8, 1), (8, 2)])
    room = min(places * a_place, 7)
    count = chance.randint(max(1, room - 3), room)
    low, high, grain = chance.choice([(1, 12, 1), (400, 650, 1), (30, 40, 10), (5, 60, 2), (480, 500, 1)])
    masses = [grain * chance.randint(low, high) for _ in range(count)]
    alike = chance.choice([[0], [0, 0, 7], list(range(9)), [400, 403]])
    buckets = [chance.choice(alike) for _ in range(places)]
    return masses, buckets, chance.choice([0, 0, 1, 2, 6]), chance.choice([1, 1, 1, 2, 3, 5]), a_place


@cache
def least(seed: int) -> Cost:
    return by_force(*rotor(seed))


@pytest.mark.parametrize("seed", range(60))
def test_no_sharing_of_the_bags_needs_less_filler(seed: int) -> None:
    masses, buckets, limit, step, a_place = rotor(seed)
    count, places = least(seed)
    bags = [Load(label=str(number), mass_g=mass) for number, mass in enumerate(masses)]

    def loaded() -> object:
        loading = balance(
            bags,
            len(buckets),
            pair_limit_g=limit,
            buckets_g=buckets,
            filler_step_g=step,
            bags_per_place=a_place,
        )
        return loading.filler_g, loading.fillers, loading.proven

    if count >= NONE[0]:
        with pytest.raises(OutOfRange, match="use finer filler"):
            loaded()
    else:
        assert (count * step, places, True) == loaded()


def asked(seed: int) -> tuple[Problem, list[Guess]]:
    masses, buckets, limit, step, a_place = rotor(seed)
    problem = Problem(tuple(masses), tuple(buckets), limit, step, a_place)
    return problem, first_guess(problem)


def cost_of(problem: Problem, guesses: list[Guess]) -> Cost:
    each = [pieces(difference_of(problem, guess), problem.limit, problem.step) for guess in guesses]
    return min((sum(steps for steps, _ in each), sum(places for _, places in each)), NONE)


def check(problem: Problem, guesses: list[Guess]) -> None:
    """Every bag is in the rotor once, no place holds too many, and every pair of buckets is there once."""
    assert list(range(len(problem.masses))) == sorted(i for near, far, _ in guesses for i in (*near, *far))
    assert problem.a_place >= max(len(side) for near, far, _ in guesses for side in (near, far))
    assert list(problem.aheads) == sorted((ahead for *_, ahead in guesses), reverse=True)


@pytest.mark.parametrize(
    ("seed", "ways"), [(seed, ((1, 3, 9, 27, 81, 10**6), (1, 10**6))[seed % 2]) for seed in range(40)]
)
def test_where_some_ways_were_left_out_more_are_looked_at(
    seed: int, ways: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(balance_search, "_STAGES", [(share, each) for each in ways for share in (0, 0.3, 1)])
    problem, guess = asked(seed)
    better, proven = improved_further(problem, guess)
    check(problem, better)
    assert (least(seed), True) == (cost_of(problem, better), proven)


@pytest.mark.parametrize(("seed", "ways"), [(seed, ((5,), (30,), (6, 60))[seed % 3]) for seed in range(40)])
def test_nothing_is_called_proven_that_is_not_the_least(
    seed: int, ways: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(balance_search, "_STAGES", [(1, each) for each in ways])
    monkeypatch.setattr(balance_search, "_MOST_SPLITS", ways[0])
    problem, guess = asked(seed)
    better, proven = improved_further(problem, guess)
    check(problem, better)
    assert least(seed) <= cost_of(problem, better) <= cost_of(problem, guess)
    assert least(seed) == cost_of(problem, better) or not proven


@pytest.mark.parametrize("seed", range(40))
def test_nothing_is_left_out_that_costs_less_than_what_is_sure(seed: int) -> None:
    problem, _ = asked(seed)
    best, sure = least(seed)[0] * STEP_COST + least(seed)[1], 0
    for below in (STEP_COST, *((best + 1, best + 700) if least(seed) < NONE else (10**6,))):
        for most_ways in (2, 5, 12, 30, 80, 10**6):
            search = _Search(problem)
            found = search.within(below, most_ways)
            sure += search.sure > best
            assert below >= search.sure
            assert (best if best < search.sure else below) >= (found or (below,))[0] >= min(best, below)
    # All ways are enough to be sure, and fewer may be.
    assert sure >= 2 or least(seed) >= NONE


@pytest.mark.parametrize(
    ("seed", "pairs", "most_bags"), [(seed, *((1, 24), (3, 24), (6, 4))[seed % 3]) for seed in range(16)]
)
def test_a_large_rotor_is_improved_in_parts_and_never_called_proven(
    seed: int, pairs: int, most_bags: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(balance_search, "_MOST_PAIRS", pairs)
    monkeypatch.setattr(balance_search, "_MOST_BAGS", most_bags)
    problem, guess = asked(seed)
    better, proven = improved_further(problem, guess)
    check(problem, better)
    assert least(seed) <= cost_of(problem, better) <= cost_of(problem, guess)
    assert (problem.pairs <= pairs and len(problem.masses) <= most_bags) == proven


def test_all_ways_to_choose_up_to_so_many_bags_are_counted() -> None:
    assert 12 + 1 == _sides_of(12, 1)
    assert 28 + 8 + 1 == _sides_of(8, 2)


@pytest.mark.parametrize(
    ("seed", "count", "a_place"), [(1, 17, 9), (2, 16, 12), (3, 15, 12), (4, 16, 8), (5, 18, 10)]
)
def test_one_pair_of_many_bags_is_split_in_the_best_of_all_ways(seed: int, count: int, a_place: int) -> None:
    # By trying every way: the masses are so unlike that hardly two differ by as much.
    chance = random.Random(seed)
    masses = [chance.randint(1, 3_000_000) for _ in range(count)]
    ahead, total = chance.randint(0, 900), sum(masses)
    near = {0: {0}}
    for mass in masses:
        for bags in sorted(near, reverse=True):
            near.setdefault(bags + 1, set()).update(held + mass for held in near[bags])
    allowed = range(count - a_place, a_place + 1)
    best = min(abs(ahead + 2 * held - total) for bags in allowed for held in near[bags])
    problem = Problem(tuple(masses), (ahead, 0), 0, 1, a_place)
    better, proven = improved_further(problem, first_guess(problem))
    check(problem, better)
    assert (best, True) == (abs(difference_of(problem, better[0])), proven)


def test_a_rotor_of_more_bags_is_brought_to_the_least_part_by_part() -> None:
    # Sixty bags, five in each of twelve places: the first guess needs 33 g, and an odd sum cannot do without one.
    chance = random.Random(1)
    masses = [chance.randint(500, 620) for _ in range(60)]
    problem = Problem(tuple(masses), tuple(chance.randint(400, 410) for _ in range(12)), 0, 1, 5)
    better, _ = improved_further(problem, first_guess(problem))
    check(problem, better)
    assert problem.cost_of(better) == problem.floor
