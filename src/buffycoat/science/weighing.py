"""Mass to volume and back, the target on the scale, and how much an animal can give."""

from typing import Final

from buffycoat.science.errors import above, within

LARGEST_BAG_ML: Final = 20_000.0


def volume_ml_from_mass(mass_g: float, density_g_per_ml: float) -> float:
    """Turn a net mass into a volume.

    V = m / ρ. Arguments: mass_g, 0 to 30 000 g; density_g_per_ml, 0.9 to 1.2 g/mL.
    Raises: OutOfRange outside those ranges.
    Range: the density must be that of the thing weighed, at its temperature; blood at 4 °C is 1 % denser than at 37 °C.
    Source: (gross − tare) / 1.053 for whole human blood, a page of clinical formulas; 564 g gross, 90 g tare.

    >>> round(volume_ml_from_mass(564 - 90, 1.053), 3)
    450.142
    """
    return within("mass", mass_g, 0, 30_000, "g") / within("density", density_g_per_ml, 0.9, 1.2, "g/mL")


def mass_g_from_volume(volume_ml: float, density_g_per_ml: float) -> float:
    """Turn a volume into a net mass.

    m = V ρ. Arguments: volume_ml, 0 to 20 000 mL; density_g_per_ml, 0.9 to 1.2 g/mL.
    Raises: OutOfRange outside those ranges.
    Range: the density must be that of the thing weighed, at its temperature.
    Source: a page of clinical formulas: 450 mL of whole human blood at 1.053 g/mL is about 474 g.

    >>> round(mass_g_from_volume(450, 1.053), 2)
    473.85
    """
    return within("volume", volume_ml, 0, LARGEST_BAG_ML, "mL") * within(
        "density", density_g_per_ml, 0.9, 1.2, "g/mL"
    )


def target_gross_g(volume_ml: float, density_g_per_ml: float, tare_g: float) -> float:
    """Give the scale reading at which a bag holds the wanted volume of blood.

    Gross = tare + V ρ. Arguments: volume_ml, 0 to 20 000 mL; density_g_per_ml, 0.9 to 1.2; tare_g, the bag with its
    anticoagulant, 0 to 5000 g, weighed and never assumed.
    Raises: OutOfRange outside those ranges.
    Range: the density is a site setting.
    Source: a training film on collection, 450 mL at 1.06 g/mL in a bag of 60 g.

    >>> target_gross_g(450, 1.06, 60)
    537.0
    """
    return within("tare", tare_g, 0, 5_000, "g") + mass_g_from_volume(volume_ml, density_g_per_ml)


def blood_volume_ml(weight_kg: float, ml_per_kg: float) -> float:
    """Estimate an animal's blood volume from its weight.

    V = weight × mL/kg. Arguments: weight_kg, above 0 to 150; ml_per_kg, 30 to 120.
    Raises: OutOfRange outside those ranges.
    Range: lean animals; dogs 80 to 90 mL/kg, cats 55 to 65 mL/kg; sources disagree.
    Source: a revision article of 2021, 32 kg of dog at 90 mL/kg.

    >>> blood_volume_ml(32, 90)
    2880
    """
    return above("weight", weight_kg, 0, 150, "kg") * within("blood volume", ml_per_kg, 30, 120, "mL/kg")


def largest_draw_ml(weight_kg: float, ml_per_kg: float, share: float) -> float:
    """Give the largest draw as a share of the blood volume.

    V = weight × mL/kg × share. Arguments: weight_kg, above 0 to 150; ml_per_kg, 30 to 120; share, above 0 to 0.25.
    Raises: OutOfRange outside those ranges; no source goes above a quarter.
    Range: 15 % without fluids and 20 % with them for dogs; the veterinarian decides.
    Source: a revision article of 2021, 32 kg of dog at 90 mL/kg.

    >>> round(largest_draw_ml(32, 90, 0.15), 6), round(largest_draw_ml(32, 90, 0.20), 6)
    (432.0, 576.0)
    """
    return blood_volume_ml(weight_kg, ml_per_kg) * above("share of the blood volume", share, 0, 0.25)
