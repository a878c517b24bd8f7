"""Published formulas for dose and rate, by name, with what is known of their accuracy.

They help to plan; the licensed veterinarian prescribes and watches the patient.
"""

import math
from typing import NamedTuple

from buffycoat.science.errors import OutOfRange, above, within


class Forecast(NamedTuple):
    """A haematocrit after transfusion: if the blood volume grows by all that is given, and if not at all."""

    low: float
    high: float


class RatePlan(NamedTuple):
    """A slow start and the rest."""

    start_ml: float
    start_ml_per_h: float
    rest_ml: float
    rest_ml_per_h: float


def blood_ml_for_rise(
    weight_kg: float, ml_per_kg: float, pcv_now: float, pcv_wanted: float, pcv_product: float
) -> float:
    """Give the product needed to raise a patient's PCV by the general formula.

    V = weight × blood volume × (wanted − now) / product. Arguments: weight_kg, above 0 to 150; ml_per_kg, 30 to 120
    (dogs 90, cats 60 to 66); three PCVs in per cent.
    Raises: OutOfRange outside those ranges or if the wanted is not above the present or not below the product.
    Range: takes the blood volume as unchanged, so the rise is the most that can come.
    Source: a revision article of 2021: 13 kg, 15 to 35 %, donor 42 %, 90 mL/kg gives 557 mL.

    >>> round(blood_ml_for_rise(13, 90, 15, 35, 42))
    557
    """
    _pcv("present PCV", pcv_now)
    above("wanted PCV", pcv_wanted, pcv_now, 70, "%")
    above("PCV of the product", pcv_product, pcv_wanted, 95, "%")
    return _blood_ml(weight_kg, ml_per_kg) * (pcv_wanted - pcv_now) / pcv_product


def red_cells_ml_by_rule(weight_kg: float, rise: float) -> float:
    """Give packed red cells by the rule of 1.5 mL/kg for each point of PCV in dogs.

    V = 1.5 × weight × rise. Arguments: weight_kg, above 0 to 150; rise in points, above 0 to 40.
    Raises: OutOfRange outside those ranges.
    Range: dogs; products of a PCV near 60 %.
    Source: a study of dogs, J Vet Emerg Crit Care 2012, from memory; a university blood bank: 15 mL/kg for 10 points.

    >>> red_cells_ml_by_rule(20, 8)
    240.0
    """
    return 1.5 * above("weight", weight_kg, 0, 150, "kg") * above("rise", rise, 0, 40, "points")


def whole_blood_ml_by_rule(weight_kg: float, rise: float) -> float:
    """Give whole blood by the rule of 2 mL/kg for each point of PCV.

    V = 2 × weight × rise. Arguments and errors as for `red_cells_ml_by_rule`.
    Range: dogs, and the best of five formulas for cats, none of them accurate.
    Source: Chiaramonte 2004 (20 mL/kg for 10 points); Reed et al., J Feline Med Surg 2014;16:651 for cats.

    >>> whole_blood_ml_by_rule(20, 8)
    320
    """
    return 2 * above("weight", weight_kg, 0, 150, "kg") * above("rise", rise, 0, 40, "points")


def cat_rise(whole_blood_ml: float, weight_kg: float) -> float:
    """Give the rise of a cat's PCV in points after whole blood.

    Rise = V / (2 × weight). Arguments: whole_blood_ml, 0 to 500; weight_kg, above 0 to 15.
    Raises: OutOfRange outside those ranges.
    Range: cats; the best of five formulas, with wide limits.
    Source: Reed et al., J Feline Med Surg 2014;16:651: 40 mL in 4 kg gives 5 points.

    >>> cat_rise(40, 4), cat_rise(50, 4)
    (5.0, 6.25)
    """
    within("volume", whole_blood_ml, 0, 500, "mL")
    return whole_blood_ml / (2 * above("weight", weight_kg, 0, 15, "kg"))


def pcv_forecast(
    weight_kg: float,
    ml_per_kg_range: tuple[float, float],
    pcv_now: float,
    red_cells_ml: float,
    volume_ml: float,
) -> Forecast:
    """Forecast a patient's PCV from what the chosen units really contain, as an interval.

    Lowest: all of the volume stays in the vessels of the largest likely blood volume. Highest: the red cells stay and
    an equal volume leaves, in the smallest. Arguments: ml_per_kg_range, smallest and largest blood volume, 30 to 120
    mL/kg; pcv_now in per cent; red_cells_ml and volume_ml, sums over the units.
    Raises: OutOfRange outside those ranges or if the cells are more than the volume.
    Range: no bleeding and no haemolysis meanwhile.
    Source: mass balance; 20 kg at 90 mL/kg and 12 % with 240 mL at 60 %: 17.6 to 20.0 %.

    >>> [round(end, 3) for end in pcv_forecast(20, (90, 90), 12, 144, 240)]
    [17.647, 20.0]
    """
    smallest, largest = (_blood_ml(weight_kg, each) for each in ml_per_kg_range)
    if smallest > largest:
        raise OutOfRange("The smallest blood volume comes first.")
    _pcv("present PCV", pcv_now)
    within("volume of the units", volume_ml, 0, 20_000, "mL")
    within("red cells of the units", red_cells_ml, 0, volume_ml, "mL")
    low = (largest * pcv_now / 100 + red_cells_ml) / (largest + volume_ml) * 100
    high = (smallest * pcv_now / 100 + red_cells_ml) / smallest * 100
    return Forecast(min(low, high), max(low, high))


def plasma_ml(weight_kg: float, ml_per_kg: float) -> float:
    """Give a dose of plasma.

    V = weight × dose. Arguments: weight_kg, above 0 to 150; ml_per_kg, 5 to 30.
    Raises: OutOfRange outside those ranges.
    Range: sources give 6 to 12 and 10 to 20 mL/kg, the smaller ones several times a day.
    Source: usual range 10 to 20, from memory; 15 to 20 gives 10 to 15 U/kg of factors (Vet Clin Pathol 2001;30).

    >>> plasma_ml(20, 15)
    300
    """
    return above("weight", weight_kg, 0, 150, "kg") * within("dose", ml_per_kg, 5, 30, "mL/kg")


def cryoprecipitate_units(weight_kg: float) -> int:
    """Give a dose of cryoprecipitate: one unit from about 200 mL of plasma for every 10 kg begun.

    Arguments: weight_kg, above 0 to 150. Raises: OutOfRange outside that range.
    Range: repeated every 4 to 12 h by effect.
    Source: Cornell University, teaching pages on transfusion.

    >>> cryoprecipitate_units(32)
    4
    """
    return math.ceil(round(above("weight", weight_kg, 0, 150, "kg") / 10, 9))


def drops_per_min(volume_ml: float, hours: float, drops_per_ml: float) -> float:
    """Give the rate of a drip.

    volume × drops per mL / minutes. Arguments: volume_ml, 0 to 10 000; hours, above 0 to 48; drops_per_ml, 5 to 100,
    printed on the giving set.
    Raises: OutOfRange outside those ranges.
    Range: a set of 60 drops/mL runs as many drops a minute as mL an hour.
    Source: a university numeracy exercise: 250 mL in 4 h at 15 drops/mL is 15.6.

    >>> drops_per_min(250, 4, 15)
    15.625
    """
    within("volume", volume_ml, 0, 10_000, "mL")
    return (
        volume_ml
        * within("drops", drops_per_ml, 5, 100, "drops/mL")
        / (above("time", hours, 0, 48, "h") * 60)
    )


def rate_plan(
    volume_ml: float, weight_kg: float, *, start_ml_per_kg_h: float, start_min: float, finish_h: float
) -> RatePlan:
    """Plan a slow start, then the rest in the time that is left.

    Start = weight × rate × time; rest = (volume − start) / (finish − start time).
    Arguments: volume_ml, above 0 to 10 000; weight_kg, above 0 to 150; start_ml_per_kg_h, above 0 to 20; start_min,
    0 to 120; finish_h, above the start to 12: blood is finished or discarded 4 h after the bag was entered.
    Raises: OutOfRange outside those ranges.
    Range: check the rest against the greatest rate for this patient; hearts and small animals need less.
    Source: own computation: 240 mL for 20 kg at 0.5 mL/kg/h for 30 min, 4 h in all.

    >>> [round(each, 6) for each in rate_plan(240, 20, start_ml_per_kg_h=0.5, start_min=30, finish_h=4)]
    [5.0, 10.0, 235.0, 67.142857]
    """
    above("volume", volume_ml, 0, 10_000, "mL")
    rate = above("weight", weight_kg, 0, 150, "kg") * above(
        "rate of the start", start_ml_per_kg_h, 0, 20, "mL/kg/h"
    )
    start_h = within("time of the start", start_min, 0, 120, "min") / 60
    above("time to finish", finish_h, start_h, 12, "h")
    start_ml = min(volume_ml, rate * start_h)
    return RatePlan(start_ml, rate, volume_ml - start_ml, (volume_ml - start_ml) / (finish_h - start_h))


def _pcv(what: str, value: float) -> None:
    within(what, value, 1, 75, "%")


def _blood_ml(weight_kg: float, ml_per_kg: float) -> float:
    return above("weight", weight_kg, 0, 150, "kg") * within("blood volume", ml_per_kg, 30, 120, "mL/kg")
