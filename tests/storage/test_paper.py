from buffycoat.science.numbering import make_code
from buffycoat.site.rules import Limits
from buffycoat.storage.models import PlaceRow
from buffycoat.storage.paper import place_card, place_cards
from tests.reading_paper import CODE_128, DATA_MATRIX, PRINTER_DPI, codes_of, missing, pages_mm, run_over

SITE = Limits(number="limits", set_here={"fridge_least_c": 1})
FRIDGE = PlaceRow(place=make_code("P", "KTRA", 8), name="Fridge 2, upper shelf", appliance="fridge")
FREEZER = PlaceRow(place=make_code("P", "KTRA", 9), name="Freezer 1", appliance="freezer")


def test_a_places_card_shows_its_name_and_the_sites_own_temperatures():
    made = place_card(FRIDGE, SITE)
    assert [] == missing(made, "FRIDGE", "Fridge 2, upper shelf", "1 to 6 °C", "Red cells", "Whole blood")
    assert [(CODE_128, FRIDGE.place), (DATA_MATRIX, FRIDGE.place)] == codes_of(made, PRINTER_DPI)
    assert [] == run_over(made)


def test_a_freezers_card_has_the_freezers_range():
    assert [] == missing(place_card(FREEZER, SITE), "−18 °C or colder", "Frozen plasma")


def test_places_cards_come_on_sheets():
    assert [(210.0, 297.0)] == pages_mm(place_cards([FRIDGE, FREEZER], SITE))
