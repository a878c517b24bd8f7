"""The card on a fridge's or freezer's door."""

from collections.abc import Iterable

from buffycoat.labels.products import PRODUCTS, storage_range
from buffycoat.shell.paper import Card, one_card, sheet_of_cards, unbroken
from buffycoat.site.rules import Limits
from buffycoat.storage.models import PlaceRow


def place_card(place: PlaceRow, site: Limits) -> bytes:
    return one_card(_card(place, site))


def place_cards(places: Iterable[PlaceRow], site: Limits) -> bytes:
    """A4 sheets to cut."""
    return sheet_of_cards(_card(place, site) for place in places)


def _card(place: PlaceRow, site: Limits) -> Card:
    kept = [product for product in PRODUCTS.values() if product.kept_in == place.appliance]
    return Card(
        noun=place.appliance,
        title=place.name,
        code=place.place,
        strong=unbroken(storage_range(kept[0], site), " °C", "or colder"),
        lines=tuple(product.name for product in kept),
        site_name=site.text("site_name"),
    )
