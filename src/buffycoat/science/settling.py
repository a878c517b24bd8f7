"""How far the red cells are packed at the end of a run: an estimate, to see a weak programme before blood is spun.

The bag is a column under an even field. Cells sink more slowly where they are crowded (Richardson and Zaki), and the
crowd moves as a wave (Kynch). One number decides: how many times its own depth a lone cell would have sunk. The model
leaves out clumping of cells (which speeds them up), the wall, the shape of the bag and the stiffness of packed cells,
so it is good for comparing programmes, not for promising a haematocrit.
"""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from buffycoat.science import constants
from buffycoat.science.errors import OutOfRange, above, within

LAYERS: Final = 100
MOST_DEPTHS: Final = 200.0
_CLEAR: Final = 0.01


@dataclass(frozen=True, kw_only=True)
class Settled:
    """A column after a run, from the top: haematocrit of each layer, and what follows from it."""

    profile: tuple[float, ...]
    plasma_share: float
    packed_haematocrit: float
    depths: float


def lone_cell_um_per_s(
    cell_fl: float = constants.DOG_CELL_VOLUME.value,
    density_difference_g_per_ml: float = constants.RED_CELL_DENSITY.value - constants.PLASMA_DENSITY.value,
    viscosity_mpa_s: float = constants.PLASMA_VISCOSITY.value,
) -> float:
    """Give the speed of a lone red cell under gravity, taken as a sphere of its volume.

    v = 2/9 Δρ g a² / μ, a the radius of the sphere. Arguments: cell_fl, 15 to 150 fL;
    density_difference_g_per_ml, above 0 to 0.2; viscosity_mpa_s, 0.5 to 5 mPa·s.
    Raises: OutOfRange outside those ranges.
    Range: Stokes flow; a disc sinks a little more slowly than the sphere.
    Source: Stokes' law; cell volume and viscosity from memory, in constants.py.

    >>> round(lone_cell_um_per_s(70, 0.069, 1.7), 3)
    0.578
    """
    within("volume of a cell", cell_fl, 15, 150, "fL")
    above("difference of density", density_difference_g_per_ml, 0, 0.2, "g/mL")
    within("viscosity", viscosity_mpa_s, 0.5, 5, "mPa·s")
    radius_m = (3 * cell_fl * 1e-18 / (4 * np.pi)) ** (1 / 3)
    gravity = constants.STANDARD_GRAVITY.value
    metres_per_s = (
        2 / 9 * density_difference_g_per_ml * 1000 * gravity * radius_m**2 / (viscosity_mpa_s / 1000)
    )
    return float(metres_per_s * 1e6)


def settle(
    haematocrit: float,
    depth_mm: float,
    g_seconds: float,
    *,
    lone_um_per_s: float | None = None,
    exponent: float = constants.CROWDING_EXPONENT.value,
) -> Settled:
    """Estimate how a well-mixed bag has separated after a run.

    ∂φ/∂t + ∂/∂z (v φ (1 − φ)ⁿ) = 0, solved by Godunov's method over 100 layers.
    Arguments: haematocrit of the bag, 0.02 to 0.8; depth_mm, 5 to 400; g_seconds, at the mean radius, 0 to
    20 000 000; lone_um_per_s, under gravity, above 0 to 10; exponent n, 2 to 8.
    Raises: OutOfRange outside those ranges, or if the run is so long that the estimate says nothing more.
    Range: an estimate. Swing-out buckets, an even field. How far the cells are packed is the mean below the clear
    plasma.
    Source: J. F. Richardson and W. N. Zaki 1954, n = 4.65; G. J. Kynch 1952; S. K. Godunov 1959; all from memory.

    >>> hard, light = settle(0.39, 100, 5000 * 360), settle(0.39, 100, 2000 * 180)
    >>> hard.packed_haematocrit > 0.6 > light.packed_haematocrit
    True
    """
    within("haematocrit", haematocrit, 0.02, 0.8)
    within("depth of blood", depth_mm, 5, 400, "mm")
    within("field over time", g_seconds, 0, 20_000_000, "g·s")
    within("exponent", exponent, 2, 8)
    speed = (
        lone_cell_um_per_s()
        if lone_um_per_s is None
        else above("speed of a cell", lone_um_per_s, 0, 10, "µm/s")
    )
    depths = speed / 1000 * g_seconds / depth_mm
    if depths > MOST_DEPTHS:
        raise OutOfRange(
            "So long a run packs the cells as far as the model goes: it has nothing more to say."
        )
    profile = _march(haematocrit, depths, exponent)
    clear = int(np.argmax(profile > _CLEAR * haematocrit))
    # The layer at the boundary is part clear, part as thick as all those below it together.
    packed = float(profile[clear + 1 :].mean())
    return Settled(
        profile=tuple(float(each) for each in profile),
        plasma_share=max(0.0, 1 - haematocrit / packed),
        packed_haematocrit=packed,
        depths=depths,
    )


def _march(haematocrit: float, depths: float, exponent: float) -> Any:
    """Carry the column forward in steps no longer than a lone cell needs for one layer."""
    profile = np.full(LAYERS, haematocrit)
    steps = max(1, int(np.ceil(depths * LAYERS)))
    ratio = depths * LAYERS / steps
    for _ in range(steps):
        flux = profile * (1 - profile) ** exponent
        # No layer is thicker than the next below it, so Godunov's flux between two is the smaller of theirs.
        through = np.concatenate([[0.0], np.minimum(flux[:-1], flux[1:]), [0.0]])
        profile = profile - ratio * np.diff(through)
    return profile
