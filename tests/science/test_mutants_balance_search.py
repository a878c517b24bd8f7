"""The least filler for rotors of every kind, against every way of sharing the bags out."""

import random
from itertools import combinations

import pytest

from buffycoat.science.balance import Load, balance
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


@pytest.mark.parametrize("seed", range(80))
def test_no_sharing_of_the_bags_needs_less_filler(seed: int) -> None:
    masses, buckets, limit, step, a_place = rotor(seed)
    count, places = by_force(masses, buckets, limit, step, a_place)
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
