"""The pages of bag sets: what is on the shelf, what is in a lot, and one that has come in."""

from datetime import timedelta

import pytest
from django.urls import reverse

from buffycoat.draws.forms import EXAMPLES
from buffycoat.draws.models import BagSetLotRow
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import Limits
from tests.draws.reading import hidden, text
from tests.walk import Walk, unknown

pytestmark = pytest.mark.one_database

BOX = {
    "maker_lot": "A-77",
    "expires_on": "1 May 2199",
    "title": "Small set",
    "species": "cat",
    "nominal_ml": "50",
    "anticoagulant": "CPDA-1",
    "anticoagulant_ml": "7",
    "additive": "",
    "additive_ml": "",
    "main_bag_empty_g": "14",
    "plasma_bag_empty_g": "10",
}


def receive(client, **but):
    page = client.get("/bag-sets/new/")
    return client.post("/bag-sets/new/", {**hidden(page), **BOX, **but})


def test_a_received_lot_has_a_page_and_a_card(client):
    answer = receive(client)
    lot = BagSetLotRow.objects.get()
    assert reverse("bag-set", args=[lot.lot]) == answer.url
    page = client.get(answer.url)
    for told in ("Small set", "7 mL", "1 May 2199", show_code(lot.lot)):
        assert told in text(page)
    card = client.get(reverse("bag-set-card", args=[lot.lot]))
    assert ("application/pdf", b"%PDF") == (card["Content-Type"], card.content[:4])


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("nominal_ml", "5O", "has the letter O in it"),
        ("anticoagulant_ml", "63", "does not suit 50 mL of blood"),
        ("expires_on", "1 May 2020", "This lot expired on 01 May 2020: send it back"),
        ("expires_on", "5/6/2199", "could be mistaken for each other"),
        ("species", "", "For: choose one."),
        ("additive", "Sweet salt", "Give the additive's name and its volume"),
        ("main_bag_empty_g", "2", "Give what the dry bags weigh"),
        ("maker_lot", "", "Maker's lot number is missing."),
    ],
)
def test_a_bad_box_is_refused_and_everything_typed_is_kept(client, name, value, sentence):
    page = receive(client, **{name: value})
    assert sentence in text(page).replace("&#x27;", "'")
    assert 'name="title" value="Small set"' in page.content.decode()
    assert not BagSetLotRow.objects.exists()


@pytest.mark.parametrize(("example", "nominal_ml"), [("dog-additive", "450"), ("dog", "450"), ("cat", "50")])
def test_each_example_fills_in_a_set_that_would_be_taken(client, example, nominal_ml):
    page = client.get("/bag-sets/new/", {"example": example})
    assert f'name="nominal_ml" value="{nominal_ml}"' in page.content.decode()
    values = {**BOX, **{name: str(value) for name, value in EXAMPLES[example][1].items()}}
    assert 302 == receive(client, **values).status_code


def test_another_lot_of_the_same_set_needs_only_what_differs(client, walk):
    page = client.get("/bag-sets/new/", {"like": walk.a_lot("dog")}).content.decode()
    assert 'name="title" value="Invented set 450"' in page
    assert 'name="main_bag_empty_g" value="32"' in page
    assert 'name="maker_lot" value=' not in page


def test_lots_stand_by_expiry_and_say_what_is_soon_and_what_is_gone(client, walk):
    today = walk.at.astimezone(walk.look(Limits, "limits").zone).date()
    for days, maker_lot in ((200, "LATE"), (3, "SOON"), (0, "LAST-DAY")):
        walk.a_lot("dog", maker_lot=maker_lot, expires_on=today + timedelta(days=days))
    Walk(at=walk.at - timedelta(days=400)).a_lot(
        "cat", maker_lot="GONE", expires_on=today - timedelta(days=1)
    )
    page = text(client.get("/bag-sets/"))
    assert sorted(["LAST-DAY", "SOON", "LATE", "GONE"], key=page.index) == [
        "LAST-DAY",
        "SOON",
        "LATE",
        "GONE",
    ]
    for told in ("expires today", "expires in 3 days", "in 200 days", "expired 1 day ago"):
        assert told in page


def test_a_lot_that_nobody_knows_is_not_there(client):
    for name in ("bag-set", "bag-set-card"):
        assert 404 == client.get(reverse(name, args=[unknown("L")])).status_code
