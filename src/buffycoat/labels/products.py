"""What each part of a donation is called, how long it keeps and how it is kept."""

from dataclasses import dataclass
from datetime import datetime

from buffycoat.science.shelf_life import after_years, last_moment_of_day
from buffycoat.separation.rules import PLASMA, RED_CELLS, WHOLE_BLOOD, Separation, freezer_due_at
from buffycoat.site.rules import Limits

FRIDGE, FREEZER = "fridge", "freezer"
FRESH, LATE = "fresh-frozen-plasma", "frozen-plasma"
CRYO, CRYO_POOR = "cryoprecipitate", "cryo-poor-plasma"
THAWED = {frozen: f"{frozen}-thawed" for frozen in (FRESH, LATE, CRYO_POOR)}  # what each is once it is thawed


@dataclass(frozen=True, kw_only=True)
class Product:
    key: str
    name: str
    part: str
    kept_in: str


PRODUCTS = {
    product.key: product
    for product in (
        Product(key="whole-blood", name="Whole blood", part=WHOLE_BLOOD, kept_in=FRIDGE),
        Product(key="red-cells", name="Red cells", part=RED_CELLS, kept_in=FRIDGE),
        Product(key="red-cells-additive", name="Red cells in additive", part=RED_CELLS, kept_in=FRIDGE),
        Product(key=FRESH, name="Fresh frozen plasma", part=PLASMA, kept_in=FREEZER),
        Product(key=LATE, name="Frozen plasma", part=PLASMA, kept_in=FREEZER),
        Product(key=CRYO, name="Cryoprecipitate", part=PLASMA, kept_in=FREEZER),
        Product(key=CRYO_POOR, name="Cryo-poor plasma", part=PLASMA, kept_in=FREEZER),
        Product(key=THAWED[FRESH], name="Fresh frozen plasma, thawed", part=PLASMA, kept_in=FRIDGE),
        Product(key=THAWED[LATE], name="Frozen plasma, thawed", part=PLASMA, kept_in=FRIDGE),
        Product(key=THAWED[CRYO_POOR], name="Cryo-poor plasma, thawed", part=PLASMA, kept_in=FRIDGE),
    )
}


def product_of(state: Separation, part: str, at: datetime, site: Limits) -> Product:
    """What the part is now: plasma that is late for the freezer is no longer fresh frozen plasma."""
    if state.draw.brought_in:
        return PRODUCTS[state.draw.brought_in.product]
    if part == RED_CELLS:
        return PRODUCTS["red-cells-additive" if state.additive else "red-cells"]
    if part == PLASMA:
        due_at = freezer_due_at(state.draw, site)
        return PRODUCTS[FRESH if due_at and at <= due_at else LATE]
    return PRODUCTS["whole-blood"]


def dating_key(product: Product, species: str, anticoagulant: str) -> str:
    """The site's limit that says how long this product keeps."""
    if product.key in THAWED.values():
        return "thawed_plasma_h"
    if product.part == PLASMA:
        return f"{product.key.replace('-', '_')}_years"
    if product.key == "red-cells-additive":
        return f"{species}_red_cells_additive_days"
    family = "cpda1" if anticoagulant == "CPDA-1" else "cpd"
    return f"{species}_{product.key.replace('-', '_')}_{family}_days"


def expires_at(product: Product, state: Separation, site: Limits) -> datetime:
    """The last moment of use. The day of the draw is day 0; days and years end at the end of the site's own day."""
    started, drawn_at = state.draw.started, state.draw.finished_at
    assert started and drawn_at
    if state.draw.brought_in:
        return state.draw.brought_in.expires_at
    key = dating_key(product, started.species, started.bag_set.anticoagulant)
    if key.endswith("_years"):
        return after_years(drawn_at, site.whole(key), site.zone)
    days = site.whole(key)
    if product.key == "red-cells" and state.additive_lost:
        # A loss never lengthens the date, whatever the site has set for the two.
        days = min(days, site.whole(f"{started.species}_red_cells_additive_days"))
    return last_moment_of_day(drawn_at, days, site.zone)


def storage_range(product: Product, site: Limits) -> str:
    """The range as printed on the label."""
    if product.kept_in == FREEZER:
        return f"{site.whole('freezer_most_c')} °C or colder".replace("-", "−")
    return f"{site.whole('fridge_least_c')} to {site.whole('fridge_most_c')} °C"
