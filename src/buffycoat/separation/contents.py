"""What is in the bags of one donation, computed from the draw, the PCV and what was pressed off and added."""

from dataclasses import dataclass

from buffycoat.draws.rules import Draw
from buffycoat.science.composition import (
    Content,
    Densities,
    Layer,
    add_additive,
    express_plasma,
    mass_g,
    plasma_phase,
    predicted_layers,
)
from buffycoat.science.composition import (
    draw as drawn_content,
)
from buffycoat.site.rules import Limits


def densities(site: Limits) -> Densities:
    return Densities(
        red_cells_g_per_ml=site.whole("red_cell_density_mg_per_ml") / 1000,
        plasma_g_per_ml=site.whole("plasma_density_mg_per_ml") / 1000,
        anticoagulant_g_per_ml=site.whole("anticoagulant_density_mg_per_ml") / 1000,
        additive_g_per_ml=site.whole("additive_density_mg_per_ml") / 1000,
    )


@dataclass(frozen=True, kw_only=True)
class Prediction:
    """What the spun bag holds and how much plasma to press off. Masses in g as the scale will show them."""

    bag_g: int
    plasma_ceiling_g: int
    express_g: int
    express_ml: int
    left_on_cells_ml: int
    layers: tuple[Layer, ...]


def whole_content(draw: Draw) -> Content:
    """The main bag after the draw: the donor's blood by its PCV of the day, and the anticoagulant."""
    assert draw.started and draw.finished
    return drawn_content(
        blood_ml=draw.finished.volume_ml,
        haematocrit=draw.started.pcv_permille / 1000,
        anticoagulant_ml=draw.started.bag_set.anticoagulant_ml,
    )


def bag_g(draw: Draw, site: Limits) -> float:
    """Mass of the main bag's content after the draw, from the scale: blood as weighed, and the anticoagulant."""
    assert draw.started and draw.finished
    anticoagulant_g = (
        draw.started.bag_set.anticoagulant_ml * site.whole("anticoagulant_density_mg_per_ml") / 1000
    )
    return draw.finished.blood_g + anticoagulant_g


def predict(draw: Draw, site: Limits) -> Prediction:
    """The plasma to press off is the clear layer less the site's share: what lies between packed cells stays there."""
    content, of = whole_content(draw), densities(site)
    layers = tuple(predicted_layers(content, site.whole("packed_haematocrit_percent") / 100, densities=of))
    clear, taken = layers[0], 1 - site.whole("plasma_left_percent") / 100
    return Prediction(
        bag_g=round(bag_g(draw, site)),
        plasma_ceiling_g=int(mass_g(plasma_phase(content), of)),
        express_g=round(clear.mass_g * taken),
        express_ml=round(clear.volume_ml * taken),
        left_on_cells_ml=round(clear.volume_ml * (1 - taken)),
        layers=layers,
    )


def red_cell_content(draw: Draw, plasma_g: int, additive_ml: int, site: Limits) -> Content:
    """The red cells' bag after the plasma went out and the additive came in."""
    left, _ = express_plasma(whole_content(draw), plasma_g, densities(site))
    return add_additive(left, additive_ml) if additive_ml else left


def plasma_content(draw: Draw, plasma_g: int, site: Limits) -> Content:
    _, pressed = express_plasma(whole_content(draw), plasma_g, densities(site))
    return pressed
