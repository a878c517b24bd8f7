"""What is in a bag: red cells, plasma, anticoagulant and additive, through every step from draw to pool.

Volumes are taken to add up. The plasma phase is everything that is not red cells: plasma, anticoagulant and
additive, well mixed, so what is expressed carries all three in the proportion of the bag.
"""

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

from buffycoat.science import constants
from buffycoat.science.densities import DENSITIES as DENSITIES
from buffycoat.science.densities import Content as Content
from buffycoat.science.densities import Densities as Densities
from buffycoat.science.densities import density_g_per_ml as density_g_per_ml
from buffycoat.science.densities import mass_g as mass_g
from buffycoat.science.densities import volume_ml as volume_ml
from buffycoat.science.errors import OutOfRange, above, within
from buffycoat.science.weighing import LARGEST_BAG_ML
from buffycoat.science.weighing import blood_volume_ml as blood_volume_ml
from buffycoat.science.weighing import largest_draw_ml as largest_draw_ml
from buffycoat.science.weighing import mass_g_from_volume as mass_g_from_volume
from buffycoat.science.weighing import target_gross_g as target_gross_g
from buffycoat.science.weighing import volume_ml_from_mass as volume_ml_from_mass

_CRUMB: Final = 1e-9


class Layer(NamedTuple):
    """One layer of a spun bag, from the top."""

    name: str
    volume_ml: float
    mass_g: float


def draw(*, blood_ml: float, haematocrit: float, anticoagulant_ml: float) -> Content:
    """Give the content of a bag after a draw.

    Red cells = V × Hct, plasma = V × (1 − Hct). Arguments: blood_ml, without anticoagulant; haematocrit, 0 to 1, as a
    fraction; anticoagulant_ml.
    Raises: OutOfRange for a negative volume or a haematocrit outside 0 to 1 (45 % is 0.45).
    Range: the donor's blood is taken as red cells and plasma only.
    Source: labels of bag sets: 63 mL of anticoagulant to 450 mL of blood, 1 to 7.14.

    >>> bag = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
    >>> volume_ml(bag), round(haematocrit_of(bag), 6)
    (513.0, 0.394737)
    """
    within("haematocrit", haematocrit, 0, 1)
    within("volume of blood", blood_ml, 0, LARGEST_BAG_ML, "mL")
    return Content(
        red_cells_ml=blood_ml * haematocrit,
        plasma_ml=blood_ml * (1 - haematocrit),
        anticoagulant_ml=anticoagulant_ml,
    )


def haematocrit_of(content: Content) -> float:
    """Give the share of red cells in the volume, 0 to 1.

    Hct = red cells / V. Raises: OutOfRange for an empty bag.
    Range: volumes are taken to add up; a spun haematocrit reads a little higher, for plasma stays between the cells.
    Source: mass balance.

    >>> haematocrit_of(Content(red_cells_ml=180, plasma_ml=20, additive_ml=100))
    0.6
    """
    total = volume_ml(content)
    if total <= 0:
        raise OutOfRange("An empty bag has no haematocrit.")
    return content.red_cells_ml / total


def haemoglobin_g(content: Content, mchc_g_per_dl: float = constants.MCHC.value) -> float:
    """Estimate the haemoglobin in a bag from its red cells.

    Hb = red cells × MCHC / 100. Arguments: mchc_g_per_dl, haemoglobin in packed cells, 25 to 40 g/dL.
    Raises: OutOfRange outside that range.
    Range: an estimate; a measured haemoglobin is better.
    Source: MCHC from memory; dog units of 300 mL at a haematocrit of 0.609 hold 61 g (SciELO 2019).

    >>> round(haemoglobin_g(Content(red_cells_ml=300 * 0.609, plasma_ml=300 * 0.391), 33.3), 1)
    60.8
    """
    return content.red_cells_ml * within("haemoglobin of packed cells", mchc_g_per_dl, 25, 40, "g/dL") / 100


def citrate_mmol(content: Content, citrate_mmol_per_l: float = constants.CITRATE.value) -> float:
    """Give the citrate in a bag, all of it from the anticoagulant.

    n = anticoagulant × concentration / 1000. Arguments: citrate_mmol_per_l, citrate and citric acid, 0 to 200 mmol/L.
    Raises: OutOfRange outside that range.
    Range: none is taken to have left or been used up.
    Source: recipe of citrate-phosphate-dextrose, published widely; in constants.py.

    >>> round(citrate_mmol(Content(plasma_ml=247.5, anticoagulant_ml=63)), 2)
    6.62
    """
    return content.anticoagulant_ml * within("citrate", citrate_mmol_per_l, 0, 200, "mmol/L") / 1000


def plasma_phase(content: Content) -> Content:
    """Give everything of a bag that is not red cells: the most that could be expressed.

    Plasma, anticoagulant and additive, as they are. Raises: nothing that the content has not already refused.
    Range: a ceiling, not a yield: some always stays on the cells.
    Source: mass balance.

    >>> volume_ml(plasma_phase(draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)))
    310.5
    """
    return Content(
        plasma_ml=content.plasma_ml,
        anticoagulant_ml=content.anticoagulant_ml,
        additive_ml=content.additive_ml,
    )


def plasma_ceiling_ml(*, blood_ml: float, haematocrit: float, anticoagulant_ml: float) -> float:
    """Give the most plasma, with its anticoagulant, that a draw can yield; more on the scale is an error of entry.

    Ceiling = V (1 − Hct) + anticoagulant. Arguments and errors as for `draw`.
    Range: a ceiling, not a yield: some always stays on the cells.
    Source: mass balance; 450 mL at 45 % with 63 mL gives 310 mL.

    >>> plasma_ceiling_ml(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
    310.5
    """
    return draw(blood_ml=blood_ml, haematocrit=haematocrit, anticoagulant_ml=anticoagulant_ml).plasma_phase_ml


def express_plasma(
    content: Content, plasma_g: float, densities: Densities = DENSITIES
) -> tuple[Content, Content]:
    """Press a mass of plasma off a spun bag; give what stays and what was taken.

    Taken share of the plasma phase = plasma_g / its mass. Arguments: plasma_g, 0 to the mass of the plasma phase.
    Raises: OutOfRange if more is asked than the bag holds.
    Range: no red cells go over.
    Source: mass balance.

    >>> bag = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
    >>> left, plasma = express_plasma(bag, 231)
    >>> round(mass_g(plasma), 6), round(haematocrit_of(left), 4)
    (231.0, 0.7031)
    """
    phase = plasma_phase(content)
    most_g = mass_g(phase, densities)
    if not 0 <= plasma_g <= most_g + 1e-6:
        raise OutOfRange(
            f"The bag holds {most_g:.0f} g of plasma with its anticoagulant; {plasma_g:.0f} g cannot have come off it."
        )
    share = min(1.0, plasma_g / most_g) if most_g else 0.0
    return pool(Content(red_cells_ml=content.red_cells_ml), phase.times(1 - share)), phase.times(share)


def add_additive(content: Content, additive_ml: float) -> Content:
    """Run additive onto the cells.

    Arguments: additive_ml, 0 to 1000 mL. Raises: OutOfRange outside that range.
    Range: the whole volume goes over.
    Source: common practice, about 100 mL for a 450 mL bag.

    >>> round(haematocrit_of(add_additive(Content(red_cells_ml=200, plasma_ml=30), 100)), 4)
    0.6061
    """
    return pool(content, Content(additive_ml=within("volume of additive", additive_ml, 0, 1_000, "mL")))


def pool(*contents: Content) -> Content:
    """Put several bags into one.

    Each part is the sum of that part. Arguments: any number of contents.
    Raises: OutOfRange if a part comes to more than 20 L.
    Range: nothing stays behind.
    Source: mass balance.

    >>> pool(Content(plasma_ml=200), Content(plasma_ml=50, anticoagulant_ml=10))
    Content(red_cells_ml=0.0, plasma_ml=250.0, anticoagulant_ml=10.0, additive_ml=0.0)
    """
    return Content(
        red_cells_ml=math.fsum(each.red_cells_ml for each in contents),
        plasma_ml=math.fsum(each.plasma_ml for each in contents),
        anticoagulant_ml=math.fsum(each.anticoagulant_ml for each in contents),
        additive_ml=math.fsum(each.additive_ml for each in contents),
    )


def split(content: Content, shares: Sequence[float]) -> tuple[Content, ...]:
    """Divide a well-mixed bag into shares that add up to one.

    Arguments: shares, each above 0. Raises: OutOfRange if a share is not positive or the sum is not 1.
    Range: well mixed; take a sample with `take_ml`.
    Source: mass balance.

    >>> [volume_ml(half) for half in split(Content(red_cells_ml=200, plasma_ml=40), (0.5, 0.5))]
    [120.0, 120.0]
    """
    for share in shares:
        above("share", share, 0, 1)
    if abs(sum(shares) - 1) > _CRUMB:
        raise OutOfRange(f"The shares of a split must add up to 1; these add up to {sum(shares):g}.")
    return tuple(content.times(share) for share in shares)


def take_ml(content: Content, sample_ml: float) -> tuple[Content, Content]:
    """Take a volume out of a well-mixed bag; give what stays and what was taken.

    Taken share of every part = sample / V. Arguments: sample_ml, 0 to the volume of the bag.
    Raises: OutOfRange if more is asked than the bag holds.
    Range: well mixed.
    Source: mass balance.

    >>> left, sample = take_ml(Content(red_cells_ml=150, plasma_ml=50), 20)
    >>> sample
    Content(red_cells_ml=15.0, plasma_ml=5.0, anticoagulant_ml=0.0, additive_ml=0.0)
    """
    total = volume_ml(content)
    if not 0 <= sample_ml <= total or total == 0:
        raise OutOfRange(f"The bag holds {total:.0f} mL; {sample_ml:g} mL cannot be taken from it.")
    return content.times(1 - sample_ml / total), content.times(sample_ml / total)


def plasma_to_express_ml_for_haematocrit(content: Content, target_haematocrit: float) -> float:
    """Give how much of the plasma phase to press off so that the rest has a wanted haematocrit.

    V = total − red cells / target. Arguments: target_haematocrit, from the bag's own to 1.
    Raises: OutOfRange if the bag is already thicker than that, or holds no red cells.
    Range: no red cells go over.
    Source: mass balance on 450 mL at 45 % with 63 mL of anticoagulant.

    >>> bag = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
    >>> [round(plasma_to_express_ml_for_haematocrit(bag, target), 3) for target in (0.70, 0.75, 0.80)]
    [223.714, 243.0, 259.875]
    """
    now = haematocrit_of(content)
    if content.red_cells_ml <= 0:
        raise OutOfRange("There are no red cells in this bag.")
    if not now - _CRUMB <= target_haematocrit <= 1:
        raise OutOfRange(
            f"Pressing off plasma can only raise the haematocrit, from {now:.2f} to at most 1; "
            f"{target_haematocrit:g} is not in between."
        )
    return max(0.0, volume_ml(content) - content.red_cells_ml / target_haematocrit)


def plasma_to_express_ml_for_share_left(content: Content, share_left: float) -> float:
    """Give how much of the plasma phase to press off so that a share of it stays on the cells.

    V = (1 − share) × plasma phase. Arguments: share_left, 0 to 1.
    Raises: OutOfRange outside that range.
    Range: a site setting.
    Source: common practice, about 10 % stays; no source.

    >>> bag = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
    >>> round(plasma_to_express_ml_for_share_left(bag, 0.10), 2)
    279.45
    """
    return (1 - within("share left on the cells", share_left, 0, 1)) * content.plasma_phase_ml


def predicted_layers(
    content: Content,
    packed_haematocrit: float,
    buffy_coat_share: float = constants.BUFFY_COAT_SHARE.value,
    densities: Densities = DENSITIES,
) -> tuple[Layer, Layer, Layer]:
    """Give the layers of a spun bag from the top: plasma, buffy coat, red cells.

    Red-cell layer = red cells / packed haematocrit, holding plasma between the cells. The buffy coat is drawn as a
    share of the whole at the boundary, half red cells and half plasma phase, so that mass and volume are conserved.

    Arguments: packed_haematocrit, above 0 to 1; buffy_coat_share, 0 to 0.05.
    Raises: OutOfRange outside those ranges or for an empty bag.
    Range: for a picture; if the cells cannot pack further, the plasma layer is empty.
    Source: buffy coat about 1 % of blood, common teaching, from memory; the half and half is our convention.

    >>> bag = draw(blood_ml=450, haematocrit=0.45, anticoagulant_ml=63)
    >>> [(layer.name, round(layer.volume_ml), round(layer.mass_g)) for layer in predicted_layers(bag, 0.80)]
    [('plasma', 258, 265), ('buffy coat', 5, 5), ('red cells', 250, 270)]
    """
    above("packed haematocrit", packed_haematocrit, 0, 1)
    within("share of the buffy coat", buffy_coat_share, 0, 0.05)
    total, phase = volume_ml(content), plasma_phase(content)
    if total <= 0:
        raise OutOfRange("An empty bag has no layers.")
    buffy_cells = min(buffy_coat_share * total / 2, content.red_cells_ml)
    cells = content.red_cells_ml - buffy_cells
    trapped = min(cells / packed_haematocrit - cells, phase.plasma_phase_ml)
    buffy_phase = min(buffy_cells, phase.plasma_phase_ml - trapped)

    def layer(name: str, cells_ml: float, phase_ml: float) -> Layer:
        share = phase_ml / phase.plasma_phase_ml if phase.plasma_phase_ml else 0.0
        part = pool(Content(red_cells_ml=cells_ml), phase.times(share))
        return Layer(name, volume_ml(part), mass_g(part, densities))

    return (
        layer("plasma", 0, max(0.0, phase.plasma_phase_ml - trapped - buffy_phase)),
        layer("buffy coat", buffy_cells, buffy_phase),
        layer("red cells", cells, trapped),
    )
