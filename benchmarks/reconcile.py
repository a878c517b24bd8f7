"""Reconciliation beside scipy.optimize, on the same measurements in one run.

    python -m benchmarks.reconcile

Linear networks against lsq_linear in the null space of the balances; a donation, whose balances hold products of two
values, against minimize with SLSQP.
"""

import argparse
import random
import statistics
import time
from collections.abc import Callable, Mapping

import numpy as np
from scipy import linalg, optimize

from buffycoat.science.reconcile import Measured, reconcile, reconcile_donation, sums

SAME = 1e-6
DENSITIES = {
    "red_cells_g_per_ml": 1.096,
    "plasma_g_per_ml": 1.027,
    "anticoagulant_g_per_ml": 1.026,
    "additive_g_per_ml": 1.01,
}
NETWORK = (
    {"1": 1, "2": -1, "3": -1},
    {"2": 1, "4": -1},
    {"3": 1, "5": -1},
    {"4": 1, "5": 1, "6": -1},
)
DONATION = {
    "drawn_g": (541, 2),
    "pcv": (0.45, 0.01),
    "anticoagulant_ml": (63, 1),
    "plasma_g": (290, 2),
    "cells_g": (251, 2),
    "additive_ml": (100, 1),
    "product_g": (352, 2),
    "product_haematocrit": (0.62, 0.01),
}


def network(seed: int) -> list[Measured]:
    """Flows of an exchanger with a bypass, each read with its own uncertainty."""
    chance = random.Random(seed)
    true = (100, 64, 36, 64, 36, 100)
    spread = [chance.uniform(0.5, 3) for _ in true]
    return [
        Measured(name=str(number), value=flow + chance.gauss(0, sd), sd=sd)
        for number, (flow, sd) in enumerate(zip(true, spread, strict=True), start=1)
    ]


def by_least_squares(read: list[Measured]) -> dict[str, float]:
    """Every solution of the balances is N y; the y nearest to what was read."""
    rows = np.array([[row.get(each.name, 0) for each in read] for row in NETWORK], dtype=float)
    free = linalg.null_space(rows)
    sd = np.array([each.sd for each in read])
    answer = optimize.lsq_linear(free / sd[:, None], np.array([each.value for each in read]) / sd)
    return dict(zip((each.name for each in read), (free @ answer.x).tolist(), strict=True))


def donation(seed: int) -> list[Measured]:
    """The weighings of a donation, each off by chance."""
    chance = random.Random(seed)
    return [
        Measured(name=name, value=value + chance.gauss(0, sd), sd=sd)
        for name, (value, sd) in DONATION.items()
    ]


def by_slsqp(read: list[Measured]) -> dict[str, float]:
    """Least squares over readings and three unknowns, subject to the balances of mass, in units of uncertainty."""
    names = [each.name for each in read]
    value, sd = np.array([each.value for each in read]), np.array([each.sd for each in read])
    scale = np.concatenate([sd, [10.0, 10.0, 0.01]])
    start = np.concatenate([value, [210.0, 260.0, 0.9]]) / scale

    def residuals(scaled: np.ndarray) -> list[float]:
        v = dict(zip([*names, "cells", "plasma", "share"], (scaled * scale).tolist(), strict=True))
        phase_g = 1.027 * v["plasma"] + 1.026 * v["anticoagulant_ml"]
        stays_ml = (1 - v["share"]) * (v["plasma"] + v["anticoagulant_ml"])
        return [
            (1.096 * v["cells"] + phase_g - v["drawn_g"]),
            (v["pcv"] * (v["cells"] + v["plasma"]) - v["cells"]),
            (v["share"] * phase_g - v["plasma_g"]),
            (v["drawn_g"] - v["plasma_g"] - v["cells_g"]),
            (v["cells_g"] + 1.01 * v["additive_ml"] - v["product_g"]),
            (v["product_haematocrit"] * (v["cells"] + stays_ml + v["additive_ml"]) - v["cells"]),
        ]

    answer = optimize.minimize(
        lambda scaled: float(np.sum((scaled[: len(sd)] - value / sd) ** 2)),
        start,
        jac=lambda scaled: np.concatenate([2 * (scaled[: len(sd)] - value / sd), np.zeros(3)]),
        constraints={"type": "eq", "fun": residuals},
        method="SLSQP",
        options={"ftol": 1e-15, "maxiter": 500},
    )
    return dict(zip(names, (answer.x * scale)[: len(sd)].tolist(), strict=True))


def compared(
    title: str,
    read: Callable[[int], list[Measured]],
    ours: Callable[[list[Measured]], Mapping[str, float]],
    theirs: Callable[[list[Measured]], Mapping[str, float]],
    problems: int,
) -> None:
    """Both on the same readings: the same values to 1e-6, relative, and the ratio of the medians."""
    our_s, their_s, worst = [], [], 0.0
    for seed in range(problems):
        readings = read(seed)
        began = time.process_time()
        one = ours(readings)
        between = time.process_time()
        other = theirs(readings)
        their_s.append(time.process_time() - between)
        our_s.append(between - began)
        worst = max(worst, *(abs(one[name] / other[name] - 1) for name in other))
    if worst > SAME:
        raise SystemExit(f"{title}: the two differ by {worst:.1e} of a value.")
    ratio = statistics.median(their_s) / statistics.median(our_s)
    print(
        f"{title}: {1e3 * statistics.median(our_s):.2f} ms here, {1e3 * statistics.median(their_s):.2f} ms there, "
        f"ratio {ratio:.1f}; largest difference {worst:.0e}"
    )


def _network(read: list[Measured]) -> dict[str, float]:
    return {name: each.value for name, each in reconcile(read, sums(*NETWORK)).estimates.items()}


def _donation(read: list[Measured]) -> dict[str, float]:
    return {name: each.value for name, each in reconcile_donation(read, **DENSITIES).estimates.items()}


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--each", type=int, default=100, metavar="N", help="problems of each kind")
    problems = parser.parse_args().each
    compared("Network of six flows beside lsq_linear", network, _network, by_least_squares, problems)
    compared("Donation beside SLSQP", donation, _donation, by_slsqp, problems)
