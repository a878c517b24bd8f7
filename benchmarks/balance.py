"""The rotor balance beside mixed-integer programming, on the same problems in one run.

python -m benchmarks.balance                  both, and the ratio of their medians
python -m benchmarks.balance --problems 500   the own search alone, that many problems of each shape
python -m benchmarks.balance --problems 500 --first 7000   the same, from another seed
"""

import argparse
import random
import statistics
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import optimize, sparse

from buffycoat.science.balance import Load, Loading, balance

MILP_LIMIT_S = 20.0


@dataclass(frozen=True, kw_only=True)
class Shape:
    """How many bags go into how many places, and how exactly."""

    bags: int
    places: int
    a_place: int
    limit_g: int
    lightest_g: int = 500

    def __str__(self) -> str:
        return (
            f"{self.bags:2} bags of {self.lightest_g:3}–620 g, {self.places:2} places of {self.a_place:2}, "
            f"limit {self.limit_g} g"
        )

    def problem(self, seed: int) -> tuple[list[int], list[int]]:
        """Masses of bags and of buckets in whole grams; buckets differ by up to 10 g."""
        chance = random.Random(seed)
        masses = [chance.randint(self.lightest_g, 620) for _ in range(self.bags)]
        return masses, [chance.randint(400, 410) for _ in range(self.places)]


BESIDE_MILP = (
    Shape(bags=5, places=6, a_place=1, limit_g=2),
    Shape(bags=8, places=4, a_place=2, limit_g=0),
    Shape(bags=8, places=8, a_place=1, limit_g=2),
    Shape(bags=12, places=6, a_place=2, limit_g=2),
    Shape(bags=12, places=12, a_place=1, limit_g=5),
    Shape(bags=23, places=4, a_place=6, limit_g=5),
    Shape(bags=24, places=12, a_place=2, limit_g=5),
)
ALONE = tuple(
    Shape(bags=bags, places=places, a_place=a_place, limit_g=limit_g, lightest_g=lightest_g)
    for lightest_g in (500, 60)
    for bags, places, a_place in (
        (9, 12, 1), (12, 12, 1), (12, 6, 2), (15, 12, 2), (16, 4, 4), (23, 12, 2), (24, 12, 2), (23, 8, 3),
        (24, 8, 3), (23, 6, 4), (24, 6, 4), (23, 4, 6), (24, 4, 6), (23, 2, 12), (24, 2, 12),
        (13, 12, 2), (18, 12, 2), (13, 8, 3), (15, 8, 3), (13, 6, 4), (15, 6, 4), (13, 4, 6), (15, 4, 6),
    )
    for limit_g in (0, 2)
)  # fmt: skip


def own(shape: Shape, masses: Sequence[int], buckets: Sequence[int]) -> Loading:
    """The search of the science package."""
    loads = [Load(label=str(number), mass_g=mass) for number, mass in enumerate(masses)]
    return balance(
        loads, shape.places, pair_limit_g=shape.limit_g, buckets_g=buckets, bags_per_place=shape.a_place
    )


def milp(shape: Shape, masses: Sequence[int], buckets: Sequence[int]) -> float | None:
    """Least filler by scipy.optimize.milp: x[bag, place] and whole grams of filler; None if it ran out of time."""
    bags, places, half = shape.bags, shape.places, shape.places // 2
    where = np.arange(bags * places).reshape(bags, places)
    size = bags * places + places
    rows = sparse.lil_matrix((bags + places + half, size))
    low, high = np.zeros(bags + places + half), np.zeros(bags + places + half)
    for bag in range(bags):
        rows[bag, where[bag]] = 1
        low[bag] = high[bag] = 1
    for place in range(places):
        rows[bags + place, where[:, place]] = 1
        high[bags + place] = shape.a_place
    for near in range(half):
        row, far = bags + places + near, near + half
        rows[row, where[:, near]], rows[row, where[:, far]] = masses, [-mass for mass in masses]
        rows[row, bags * places + near], rows[row, bags * places + far] = 1, -1
        ahead = buckets[near] - buckets[far]
        low[row], high[row] = -shape.limit_g - ahead, shape.limit_g - ahead
    answer = optimize.milp(
        c=np.concatenate([np.zeros(bags * places), np.ones(places)]),
        constraints=optimize.LinearConstraint(rows.tocsr(), low, high),
        integrality=np.ones(size),
        bounds=optimize.Bounds(0, np.concatenate([np.ones(bags * places), np.full(places, 20_000)])),
        options={"time_limit": MILP_LIMIT_S, "mip_rel_gap": 0},
    )
    return float(answer.fun) if answer.status == 0 else None


def beside_milp(problems: int) -> None:
    """Both on the same problems: the same least filler, and how much longer the other takes."""
    all_own, all_milp = [], []
    for shape in BESIDE_MILP:
        own_s, milp_s, unfinished = [], [], 0
        for seed in range(problems):
            masses, buckets = shape.problem(seed)
            began = time.process_time()
            loading = own(shape, masses, buckets)
            between = time.process_time()
            least = milp(shape, masses, buckets)
            milp_s.append(time.process_time() - between)
            own_s.append(between - began)
            unfinished += least is None
            if least is not None and abs(least - loading.filler_g) > 1e-6:
                raise SystemExit(f"{shape}, problem {seed}: {loading.filler_g} g here, {least} g by MILP.")
        all_own += own_s
        all_milp += milp_s
        ratio = statistics.median(milp_s) / statistics.median(own_s)
        late = f", {unfinished} stopped after {MILP_LIMIT_S:g} s" if unfinished else ""
        print(
            f"{shape}: {1e3 * statistics.median(own_s):6.1f} ms, MILP {1e3 * statistics.median(milp_s):8.1f} ms, "
            f"{ratio:6.0f} times{late}",
            flush=True,
        )
    ratio = statistics.median(all_milp) / statistics.median(all_own)
    print(f"The same least filler wherever MILP finished. Ratio of all medians: {ratio:.0f}.")


def alone(problems: int, first: int) -> None:
    """How long the own search takes, how often it ends within 50 ms and how often with a proof."""
    for shape in ALONE:
        took, proven = [], 0
        for seed in range(first, first + problems):
            masses, buckets = shape.problem(seed)
            began = time.process_time()
            proven += own(shape, masses, buckets).proven
            took.append(time.process_time() - began)
        soon = sum(each < 0.05 for each in took) / problems
        print(
            f"{shape}: median {1e3 * statistics.median(took):5.1f} ms, longest {1e3 * max(took):6.0f} ms, "
            f"within 50 ms {soon:6.1%}, proven {proven / problems:6.1%}",
            flush=True,
        )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--problems", type=int, metavar="N", help="the own search alone, N of each shape")
    parser.add_argument(
        "--first", type=int, default=0, metavar="SEED", help="with --problems, the first seed"
    )
    parser.add_argument("--each", type=int, default=5, metavar="N", help="beside MILP, N of each shape")
    given = parser.parse_args()
    if given.problems:
        alone(given.problems, given.first)
    else:
        beside_milp(given.each)
