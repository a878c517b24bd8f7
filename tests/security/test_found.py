"""What the fuzz found in pages stays mended."""

from datetime import timedelta

import pytest

from buffycoat.draws.brought_in import DonationBroughtIn
from buffycoat.labels.bringing_in import BringInUnit

pytestmark = pytest.mark.one_database


def test_a_bag_from_before_this_book_has_no_page_to_press_its_plasma_off(client, walk):
    donor, long_ago = walk.a_donor(), walk.at - timedelta(days=9)
    old = {"product": "frozen-plasma", "blood_type": "DEA 1 negative", "old_number": "P-1"}
    bag = BringInUnit(donor=donor, volume_ml=190, expires_at=walk.at + timedelta(days=90), **old)
    donation = walk.do(bag, at=long_ago).the(DonationBroughtIn).donation
    assert 404 == client.get(f"/separation/{donation}/express/").status_code


def test_a_spun_bag_has_one(client, walk):
    assert 200 == client.get(f"/separation/{walk.spun('dog')}/express/").status_code
