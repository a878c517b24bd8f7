"""The registers of places, shelves and open jobs, and the stock that is read from them."""

import pytest

from buffycoat.draws.rules import DiscardDonation
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.site.rules import limits
from buffycoat.storage.models import OpenJobRow, PlaceRow, ShelfRow
from buffycoat.storage.rules import DiscardUnit
from buffycoat.storage.stock import stock
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def on_hand(walk):
    return [(each.row.part, each.place, each.status) for each in stock(walk.at, limits(walk.look))]


def test_a_place_has_one_row():
    walk = Walk()
    walk.a_place("freezer")
    assert [("Freezer 1", "freezer")] == list(PlaceRow.objects.values_list("name", "appliance"))


def test_a_unit_is_in_stock_when_it_stands_in_its_place_and_the_first_to_expire_comes_first():
    walk = Walk()
    donation = walk.labelled()
    assert [] == on_hand(walk)
    walk.put_away(donation)
    assert [("red-cells", "Fridge 1", "ready"), ("plasma", "Freezer 1", "ready")] == on_hand(walk)


def test_the_days_left_are_counted_to_the_last_day():
    walk = Walk()
    walk.on_the_shelf()
    walk.wait(days=28)
    assert [7, 337] == [each.days_left for each in stock(walk.at, limits(walk.look))]
    walk.wait(days=1)
    assert ("red-cells", "Fridge 1", "use first") == on_hand(walk)[0]
    walk.wait(days=7)
    assert ("red-cells", "Fridge 1", "stop") == on_hand(walk)[0]


def test_a_discarded_unit_is_not_in_stock_and_says_why():
    walk = Walk()
    donation = walk.on_the_shelf()
    unit = walk.units(donation)["plasma"]
    walk.do(DiscardUnit(unit=unit, reason="The bag broke."))
    assert [("red-cells", "Fridge 1", "ready")] == on_hand(walk)
    assert "The bag broke." == ShelfRow.objects.get(unit=unit).discarded


def test_a_discarded_donation_empties_its_places():
    walk = Walk()
    donation = walk.on_the_shelf()
    walk.do(DiscardDonation(donation=donation, reason="The donor fell ill."))
    assert [] == on_hand(walk)
    assert {"The donor fell ill."} == set(ShelfRow.objects.values_list("discarded", flat=True))


def test_a_struck_put_away_takes_the_unit_out_of_its_place():
    walk = Walk()
    walk.on_the_shelf()
    last = Entry.objects.latest("number")
    strike(last.number, reason="Another fridge.", by="kim")
    assert [("plasma", "Freezer 1", "ready")] == on_hand(walk)
    assert [None] == list(ShelfRow.objects.filter(place=None).values_list("put_away_at", flat=True))


def test_a_donation_is_an_open_job_until_every_part_is_away_or_gone():
    walk = Walk()
    donation = walk.labelled()
    assert [donation] == list(OpenJobRow.objects.values_list("donation_id", flat=True))
    walk.put_away(donation)
    assert not OpenJobRow.objects.exists()
    strike(Entry.objects.latest("number").number, reason="Another fridge.", by="kim")
    assert 1 == OpenJobRow.objects.count()
    walk.do(DiscardDonation(donation=donation, reason="The donor fell ill."))
    assert not OpenJobRow.objects.exists()
