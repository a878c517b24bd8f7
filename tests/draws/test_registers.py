"""The registers of lots and donations say what stands in the book."""

from datetime import timedelta

import pytest

from buffycoat.draws.models import BagSetLotRow, DonationRow
from buffycoat.draws.rules import DiscardDonation
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def test_a_lot_has_one_row_with_its_set():
    walk = Walk()
    row = BagSetLotRow.objects.get(lot=walk.a_lot())
    assert ("INV-450", "dog", 450, "CPD", 63) == (
        row.maker_lot,
        row.species,
        row.nominal_ml,
        row.anticoagulant,
        row.anticoagulant_ml,
    )
    assert ("Invented additive", 100, 32, 28) == (
        row.additive,
        row.additive_ml,
        row.main_bag_empty_g,
        row.plasma_bag_empty_g,
    )


def test_a_running_draw_is_a_donation_without_an_end():
    walk = Walk()
    row = DonationRow.objects.get(donation=walk.draw_started())
    assert (None, None, "", False, True) == (
        row.finished_at,
        row.volume_ml,
        row.filling,
        row.gives_plasma,
        row.usable,
    )
    assert ("Bramble", walk.a_lot(), 734) == (row.donor.name, row.lot_id, row.target_g)


def test_a_finished_draw_tells_what_it_may_become():
    walk = Walk()
    row = DonationRow.objects.get(donation=walk.drawn())
    assert (734, 450, "as wanted", True, True) == (
        row.gross_g,
        row.volume_ml,
        row.filling,
        row.gives_plasma,
        row.usable,
    )
    assert timedelta(minutes=8) == row.finished_at - row.started_at


@pytest.mark.parametrize(("blood_g", "usable"), [(315, False), (316, True), (522, False)])
def test_a_bag_that_is_not_for_use_says_so(blood_g, usable):
    row = DonationRow.objects.get(donation=Walk().drawn(gross_g=260 + blood_g))
    assert (usable, False) == (row.usable, row.gives_plasma)


def test_a_discarded_donation_says_why_until_the_discard_is_struck():
    walk = Walk()
    donation = walk.drawn()
    walk.do(DiscardDonation(donation=donation, reason="Clotted."))
    row = DonationRow.objects.get(donation=donation)
    assert ("Clotted.", False) == (row.discarded, row.usable)
    strike(Entry.objects.latest("number").number, reason="It was the other bag.", by="kim")
    row.refresh_from_db()
    assert ("", True) == (row.discarded, row.usable)
