"""What a bag holds, in four parts, and how heavy that is at a temperature.

Volumes are taken to add up. The plasma phase is everything that is not red cells: plasma, anticoagulant and additive,
well mixed.
"""

from dataclasses import dataclass
from typing import Final

from buffycoat.science import constants
from buffycoat.science.errors import OutOfRange, within
from buffycoat.science.weighing import LARGEST_BAG_ML


@dataclass(frozen=True, kw_only=True)
class Content:
    """The four volumes of a bag; none is negative."""

    red_cells_ml: float = 0.0
    plasma_ml: float = 0.0
    anticoagulant_ml: float = 0.0
    additive_ml: float = 0.0

    def __post_init__(self) -> None:
        for name, value in zip(
            ("red cells", "plasma", "anticoagulant", "additive"), self.parts_ml, strict=True
        ):
            within(f"volume of {name}", value, 0, LARGEST_BAG_ML, "mL")

    @property
    def parts_ml(self) -> tuple[float, float, float, float]:
        """Red cells, plasma, anticoagulant, additive."""
        return (self.red_cells_ml, self.plasma_ml, self.anticoagulant_ml, self.additive_ml)

    @property
    def plasma_phase_ml(self) -> float:
        """Everything that is not red cells."""
        return self.plasma_ml + self.anticoagulant_ml + self.additive_ml

    def times(self, share: float) -> "Content":
        """A share of every part, as when a well-mixed bag is divided."""
        return Content(
            red_cells_ml=self.red_cells_ml * share,
            plasma_ml=self.plasma_ml * share,
            anticoagulant_ml=self.anticoagulant_ml * share,
            additive_ml=self.additive_ml * share,
        )


@dataclass(frozen=True, kw_only=True)
class Densities:
    """Densities of the four parts in g/mL; the defaults are for about 20 °C, with their sources in constants.py."""

    red_cells_g_per_ml: float = constants.RED_CELL_DENSITY.value
    plasma_g_per_ml: float = constants.PLASMA_DENSITY.value
    anticoagulant_g_per_ml: float = constants.ANTICOAGULANT_DENSITY.value
    additive_g_per_ml: float = constants.ADDITIVE_DENSITY.value

    def __post_init__(self) -> None:
        for each in self.parts_g_per_ml:
            within("density", each, 0.9, 1.2, "g/mL")

    def warmed(self, to_c: float, from_c: float = constants.DENSITY_TEMPERATURE.value) -> "Densities":
        """The same fluids at another temperature, 0 to 40 °C; a cold bag weighs more for its volume.

        Cells and plasma lose 0.00032 g/mL for each degree, anticoagulant and additive as water.
        """
        degrees = within("temperature", to_c, 0, 40, "°C") - within("temperature", from_c, 0, 40, "°C")
        blood = degrees * constants.BLOOD_DENSITY_PER_DEGREE.value
        watery = degrees * constants.WATER_DENSITY_PER_DEGREE.value
        return Densities(
            red_cells_g_per_ml=self.red_cells_g_per_ml + blood,
            plasma_g_per_ml=self.plasma_g_per_ml + blood,
            anticoagulant_g_per_ml=self.anticoagulant_g_per_ml + watery,
            additive_g_per_ml=self.additive_g_per_ml + watery,
        )

    @property
    def parts_g_per_ml(self) -> tuple[float, float, float, float]:
        """Red cells, plasma, anticoagulant, additive."""
        return (
            self.red_cells_g_per_ml,
            self.plasma_g_per_ml,
            self.anticoagulant_g_per_ml,
            self.additive_g_per_ml,
        )


DENSITIES: Final = Densities()


def volume_ml(content: Content) -> float:
    """Add up the four volumes of a bag.

    V = red cells + plasma + anticoagulant + additive. Raises: nothing that the content has not already refused.
    Range: volumes are taken to add up.
    Source: mass balance.

    >>> volume_ml(Content(red_cells_ml=200, plasma_ml=30, additive_ml=100))
    330.0
    """
    return float(sum(content.parts_ml))


def mass_g(content: Content, densities: Densities = DENSITIES) -> float:
    """Give the net mass of a bag's content.

    m = Σ V ρ over red cells, plasma, anticoagulant and additive.
    Raises: nothing that the two arguments have not already refused.
    Range: volumes are taken to add up.
    Source: mixing law with red cells 1.096 and plasma 1.027 g/mL, Balga et al.; whole blood at Hct 0.45 is 1.058.

    >>> round(mass_g(Content(red_cells_ml=450, plasma_ml=550)), 2)
    1058.05
    """
    return sum(
        part * density for part, density in zip(content.parts_ml, densities.parts_g_per_ml, strict=True)
    )


def density_g_per_ml(content: Content, densities: Densities = DENSITIES) -> float:
    """Give the density of a well-mixed bag.

    ρ = Σ V ρ / Σ V. Raises: OutOfRange for an empty bag.
    Range: volumes are taken to add up.
    Source: ρ = ρp + (ρc − ρp) Hct with 1.027 and 1.096 g/mL, Balga et al.: whole blood 1.055 at Hct 0.4058.

    >>> round(density_g_per_ml(Content(red_cells_ml=405.8, plasma_ml=594.2)), 4)
    1.055
    """
    total = volume_ml(content)
    if total <= 0:
        raise OutOfRange("An empty bag has no density.")
    return mass_g(content, densities) / total


def density_at_c(content: Content, to_c: float, densities: Densities = DENSITIES) -> float:
    """Give the density of a well-mixed bag at a temperature: a cold bag weighs more for its volume.

    ρ = Σ V ρ(t) / Σ V; cells and plasma lose 0.00032 g/mL for each degree, anticoagulant and additive 0.0002.
    Arguments: content, with volumes at that temperature; to_c, 0 to 40 °C; densities, those at 20 °C.
    Raises: OutOfRange outside that range or for an empty bag.
    Range: linear.
    Source: Trudnowski and Rico 1974: whole blood 1.0621 at 4 °C (1.0590 to 1.0652) and 1.0506 at 37 °C (1.0475 to
    1.0537).

    >>> blood = Content(red_cells_ml=45, plasma_ml=55)
    >>> [round(density_at_c(blood, to_c), 4) for to_c in (4, 20, 37)]
    [1.0632, 1.0581, 1.0526]
    """
    return density_g_per_ml(content, densities.warmed(to_c))
