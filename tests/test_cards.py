"""Every list of things to scan prints its cards, and a scanner reads them."""

import pypdfium2
import pytest
import zxingcpp
from django.contrib.auth import get_user_model

from tests.walk import Walk


@pytest.mark.parametrize("of", ["donors", "bag-sets", "rotors", "places"])
def test_all_cards_of_a_list_are_printed_and_read_back(db, client, of):
    walk = Walk()
    made = {
        "donors": [walk.a_donor("dog"), walk.a_donor("cat")],
        "bag-sets": [walk.a_lot("dog"), walk.a_lot("cat")],
        "rotors": [walk.a_rotor()],
        "places": [walk.a_place("fridge"), walk.a_place("freezer")],
    }
    client.force_login(get_user_model().objects.create_user("robin"))
    answer = client.get(f"/{of}/cards.pdf")
    sheet = pypdfium2.PdfDocument(b"".join(answer))[0].render(scale=300 / 72).to_pil()
    assert set(made[of]) == {code.text for code in zxingcpp.read_barcodes(sheet)}
