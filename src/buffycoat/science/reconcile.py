"""Make measurements agree with the balance of mass, and find the one that does not fit the rest."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from scipy import special

from buffycoat.science.errors import OutOfRange, above, within

Balances = Callable[[Mapping[str, float]], Sequence[float]]
_ROUNDS: Final = 60
_CLOSE: Final = 1e-10
_REDUNDANT: Final = 1e-6


@dataclass(frozen=True, kw_only=True)
class Measured:
    """A value somebody read, with its standard uncertainty in the same unit."""

    name: str
    value: float
    sd: float

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise OutOfRange(f"The value of {self.name} is not a number.")
        above(f"standard uncertainty of {self.name}", self.sd, 0, 1e12)


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """What a value most likely was, with everything else taken into account.

    `pull` is the adjustment in units of its own standard uncertainty, and `error` the mistake that alone would
    explain it (measured minus what the rest says); both are None where nothing else bears on the value.
    """

    name: str
    value: float
    sd: float
    measured: float | None
    pull: float | None
    error: float | None


@dataclass(frozen=True, kw_only=True)
class Reconciled:
    """All estimates, and how well the measurements agree."""

    estimates: Mapping[str, Estimate]
    chi_square: float
    degrees: int

    @property
    def probability(self) -> float:
        """How often chance alone disagrees at least so much; 1 where nothing is redundant."""
        return float(special.gammaincc(self.degrees / 2, self.chi_square / 2)) if self.degrees else 1.0

    def fits(self, significance: float = 0.05) -> bool:
        """The global test: whether chance alone is a fair explanation."""
        return self.probability >= above("significance", significance, 0, 0.5)

    def suspects(self, significance: float = 0.05) -> tuple[Estimate, ...]:
        """The measurement most likely wrong, or several that no test can tell apart; empty if all fit.

        |pull| beyond the normal deviate for significance shared over all redundant measurements (Šidák).
        """
        above("significance", significance, 0, 0.5)
        pulled = [(abs(each.pull), each) for each in self.estimates.values() if each.pull is not None]
        if not pulled or self.fits(significance):
            return ()
        share = -math.expm1(math.log1p(-significance) / len(pulled))
        most = max(pull for pull, _ in pulled)
        if most <= -float(special.ndtri(share / 2)):
            return ()
        return tuple(each for pull, each in pulled if pull >= most * (1 - 1e-6))


def sums(*rows: Mapping[str, float]) -> Balances:
    """Make linear balances: each row gives coefficients whose weighted sum must be nought.

    Σ coefficient × value for each row. Raises: nothing; a name that has no value is a KeyError of the function made.
    Range: any.
    Source: mass balance: 541 g of blood are 287 g of plasma and 254 g of red cells.

    >>> sums({"blood": 1, "plasma": -1, "cells": -1})({"blood": 541, "plasma": 287, "cells": 254})
    [0.0]
    """

    def balances(values: Mapping[str, float]) -> list[float]:
        return [math.fsum(values[name] * factor for name, factor in row.items()) for row in rows]

    return balances


def reconcile(
    measurements: Sequence[Measured], balances: Balances, unknowns: Mapping[str, float] | None = None
) -> Reconciled:
    """Change measurements as little as their uncertainty allows so that all balances hold.

    Minimise Σ ((x − measured) / sd)² subject to balances(x) = 0, by repeated linearisation; covariance from the
    inverse of the last linear system.

    Arguments: measurements, each name once; balances, a function from names to residuals; unknowns, values nobody
    measured, with a rough start for each.
    Raises: OutOfRange if a name is there twice, if the balances cannot fix an unknown, or if no solution is found.
    Range: errors normal and independent; balances smooth; the test of single measurements assumes one mistake.
    Source: S. Narasimhan and C. Jordache, Data Reconciliation and Gross Error Detection, 2000, the exchanger with a
    bypass, from memory: 101.91, 64.45, 34.65, 64.20, 36.44, 98.88 become 100.22, 64.50, 35.72, 64.50, 35.72, 100.22.

    >>> flows = (101.91, 64.45, 34.65, 64.20, 36.44, 98.88)
    >>> read = [Measured(name=str(n), value=flow, sd=1) for n, flow in enumerate(flows, start=1)]
    >>> network = sums({"1": 1, "2": -1, "3": -1}, {"2": 1, "4": -1}, {"3": 1, "5": -1}, {"4": 1, "5": 1, "6": -1})
    >>> [round(each.value, 2) for each in reconcile(read, network).estimates.values()]
    [100.22, 64.5, 35.72, 64.5, 35.72, 100.22]
    """
    starts = {each.name: each.value for each in measurements} | dict(unknowns or {})
    if len(starts) != len(measurements) + len(unknowns or {}):
        raise OutOfRange("A name is there twice.")
    names, count = list(starts), len(measurements)
    scale = np.array(
        [each.sd for each in measurements] + [max(abs(start), 1e-3) for start in (unknowns or {}).values()]
    )
    read = np.array([starts[name] for name in names])
    weight = np.diag([1.0] * count + [0.0] * (len(names) - count))

    def residuals(x: Any) -> Any:
        return np.array(balances(dict(zip(names, (x * scale).tolist(), strict=True))), dtype=float)

    measured = read / scale
    x = measured.copy()
    for _ in range(_ROUNDS):
        here, slope = residuals(x), _slope(residuals, x)
        size = np.linalg.norm(slope, axis=1)
        if not (np.all(np.isfinite(slope)) and np.all(size > 0)):
            raise OutOfRange(
                "These measurements cannot be brought together: check the values and their units."
            )
        slope, here = slope / size[:, None], here / size
        system = np.block([[weight, slope.T], [slope, np.zeros((len(here), len(here)))]])
        if np.linalg.matrix_rank(system) < len(system):
            raise OutOfRange("These measurements are too few, or the balances say one thing twice.")
        right = np.concatenate([weight @ measured, slope @ x - here])
        new = np.linalg.solve(system, right)[: len(names)]
        moved, x = np.max(np.abs(new - x) / (1 + np.abs(x))), new
        if moved < _CLOSE:
            covariance = np.linalg.inv(system)[: len(names), : len(names)]
            return _reconciled(names, x, measured, covariance, scale, count, len(here))
    raise OutOfRange("These measurements cannot be brought together: check the values and their units.")


def _slope(residuals: Callable[[Any], Any], x: Any) -> Any:
    """Central differences; exact for balances up to products of two values."""
    columns = []
    for place in range(len(x)):
        step = 1e-4 * max(1.0, abs(x[place]))
        ahead, behind = x.copy(), x.copy()
        ahead[place] += step
        behind[place] -= step
        columns.append((residuals(ahead) - residuals(behind)) / (2 * step))
    return np.array(columns).T


def _reconciled(
    names: list[str], x: Any, measured: Any, covariance: Any, scale: Any, count: int, balances: int
) -> Reconciled:
    estimates = {}
    for place, name in enumerate(names):
        spread = max(0.0, float(covariance[place, place]))
        pull = error = None
        if place < count and 1 - spread > _REDUNDANT:
            off = float(measured[place] - x[place])
            pull, error = off / math.sqrt(1 - spread), off / (1 - spread) * float(scale[place])
        estimates[name] = Estimate(
            name=name,
            value=float(x[place] * scale[place]),
            sd=math.sqrt(spread) * float(scale[place]),
            measured=float(measured[place] * scale[place]) if place < count else None,
            pull=pull,
            error=error,
        )
    return Reconciled(
        estimates=estimates,
        chi_square=float(np.sum((x[:count] - measured[:count]) ** 2)),
        degrees=balances - (len(names) - count),
    )


def reconcile_weights(measurements: Sequence[Measured], balances: Sequence[str]) -> Reconciled:
    """Make weights agree with balances in words, such as `blood = red cells + plasma`.

    Least squares as for `reconcile`. Arguments: measurements, each name once, all in one unit; balances, each with one
    = and with + between names on either side. What is named and not measured is worked out.
    Raises: OutOfRange for a balance that cannot be read, for a measurement that stands in none, and as `reconcile`.
    Range: errors normal and independent; one mistake among them.
    Source: S. Narasimhan and C. Jordache 2000, the exchanger with a bypass, from memory, as for `reconcile`.

    >>> read = [Measured(name=n, value=v, sd=1) for n, v in zip("abcdef", (101.91, 64.45, 34.65, 64.20, 36.44, 98.88))]
    >>> found = reconcile_weights(read, ["a = b + c", "b = d", "c = e", "d + e = f"])
    >>> [round(each.value, 2) for each in found.estimates.values()]
    [100.22, 64.5, 35.72, 64.5, 35.72, 100.22]
    """
    rows = [_row(each) for each in balances]
    named = {name: 1.0 for row in rows for name in row}
    for each in measurements:
        if named.pop(each.name, None) is None:
            raise OutOfRange(f"“{each.name}” stands in none of the balances, or was measured twice.")
    return reconcile(measurements, sums(*rows), named)


def _row(balance: str) -> dict[str, float]:
    row: dict[str, float] = {}
    sides = balance.split("=")
    for sign, side in zip((1, -1), sides, strict=False):
        for written in side.split("+"):
            name = " ".join(written.split())
            row[name] = row.get(name, 0) + sign
    if len(sides) != 2 or "" in row:
        raise OutOfRange(f"“{balance}” cannot be read. A balance is like: blood = red cells + plasma.")
    return row


def reconcile_donation(
    measurements: Sequence[Measured],
    *,
    red_cells_g_per_ml: float,
    plasma_g_per_ml: float,
    anticoagulant_g_per_ml: float,
    additive_g_per_ml: float,
) -> Reconciled:
    """Reconcile all weighings of a donation with the donor's PCV, the nominal volumes and the product's haematocrit.

    Names that may be measured: `drawn_g` (net, with anticoagulant), `pcv`, `anticoagulant_ml`, `plasma_g`, `cells_g`
    (net, before additive), `additive_ml`, `product_g` (net, with additive), `product_haematocrit`; haematocrits as
    fractions. What is not measured is worked out: red_cells_ml, plasma_ml and share_expressed always.

    Raises: OutOfRange for a name it does not know or too few measurements.
    Range: one bag, plasma pressed off once, additive once; no loss in the line beyond the stated uncertainty.
    Source: mass balance with the densities given.

    >>> read = {"drawn_g": (541, 2), "pcv": (0.45, 0.01), "anticoagulant_ml": (63, 1), "plasma_g": (317, 2),
    ...     "cells_g": (254, 2), "additive_ml": (100, 1), "product_g": (355, 2), "product_haematocrit": (0.607, 0.01)}
    >>> found = reconcile_donation([Measured(name=n, value=v, sd=u) for n, (v, u) in read.items()],
    ...     red_cells_g_per_ml=1.096, plasma_g_per_ml=1.027, anticoagulant_g_per_ml=1.026, additive_g_per_ml=1.01)
    >>> [say_misfit(each) for each in found.suspects()]
    ['The plasma weight does not fit the rest: 30 g too much. Was the bag tared?']
    """
    starts = {
        "drawn_g": 540.0,
        "pcv": 0.45,
        "anticoagulant_ml": 63.0,
        "plasma_g": 280.0,
        "cells_g": 260.0,
        "additive_ml": 100.0,
        "product_g": 360.0,
        "product_haematocrit": 0.6,
    }
    read = {each.name: each.value for each in measurements}
    for name in read:
        if name not in starts:
            raise OutOfRange(f"{name} is not a measurement of a donation.")
    drawn_g = within("net mass of the draw", read.get("drawn_g", starts["drawn_g"]), 1, 30_000, "g")
    pcv = within("PCV", read.get("pcv", starts["pcv"]), 0.01, 0.99)
    blood_ml = drawn_g / 1.05 * 0.88
    unknowns = {
        name: start * (1 if start < 1 else drawn_g / 540)
        for name, start in starts.items()
        if name not in read
    }
    unknowns |= {"red_cells_ml": blood_ml * pcv, "plasma_ml": blood_ml * (1 - pcv), "share_expressed": 0.8}

    def balances(v: Mapping[str, float]) -> list[float]:
        cells, phase_ml = v["red_cells_ml"], v["plasma_ml"] + v["anticoagulant_ml"]
        phase_g = plasma_g_per_ml * v["plasma_ml"] + anticoagulant_g_per_ml * v["anticoagulant_ml"]
        product_ml = cells + (1 - v["share_expressed"]) * phase_ml + v["additive_ml"]
        return [
            red_cells_g_per_ml * cells + phase_g - v["drawn_g"],
            v["pcv"] * (cells + v["plasma_ml"]) - cells,
            v["share_expressed"] * phase_g - v["plasma_g"],
            v["drawn_g"] - v["plasma_g"] - v["cells_g"],
            v["cells_g"] + additive_g_per_ml * v["additive_ml"] - v["product_g"],
            v["product_haematocrit"] * product_ml - cells,
        ]

    return reconcile(measurements, balances, unknowns)


_WORDS: Final = {
    "drawn_g": ("weight of the drawn bag", "g", 1, "Was the bag tared?"),
    "pcv": ("donor's PCV", "points", 100, "Was it read from this donor's tube?"),
    "anticoagulant_ml": ("volume of anticoagulant", "mL", 1, "Was some let out?"),
    "plasma_g": ("plasma weight", "g", 1, "Was the bag tared?"),
    "cells_g": ("weight of the red cells", "g", 1, "Was the bag tared?"),
    "additive_ml": ("volume of additive", "mL", 1, "Did all of it go over?"),
    "product_g": ("weight of the red cells with additive", "g", 1, "Was the bag tared?"),
    "product_haematocrit": ("haematocrit of the product", "points", 100, "Was the segment mixed?"),
}


def say_misfit(estimate: Estimate) -> str:
    """Say in one sentence what does not fit, by how much, and what to look at first.

    Arguments: estimate, of a suspect as a rule. Raises: nothing.
    Range: names of `reconcile_donation` in words of the bench, others as they are.
    Source: our own convention.

    >>> say_misfit(Estimate(name="plasma_g", value=287, sd=1.4, measured=317, pull=15, error=30))
    'The plasma weight does not fit the rest: 30 g too much. Was the bag tared?'
    """
    what, unit, factor, ask = _WORDS.get(
        estimate.name, (f"value of {estimate.name}", "", 1, "Was it read right?")
    )
    if estimate.error is None:
        return f"Nothing else bears on the {what}."
    way = "too much" if estimate.error > 0 else "too little"
    return (
        f"The {what} does not fit the rest: {abs(estimate.error) * factor:.3g} {unit} {way}. {ask}".replace(
            "  ", " "
        )
    )
