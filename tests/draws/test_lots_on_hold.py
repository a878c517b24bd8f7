"""A lot on hold reaches every unit that was made with it, before and after, and no other."""

import pytest
from django.urls import reverse

from buffycoat.draws.bag_sets import HoldLot, ReleaseLot
from buffycoat.draws.rules import Draw, StartDraw
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.people.roles import add
from buffycoat.problems.rules import why_held
from buffycoat.site.rules import limits
from buffycoat.storage.rules import READY, WAITING
from buffycoat.storage.stock import stock
from tests.draws.reading import text
from tests.pages import answer
from tests.walk import pure_walk, unknown

WHY = "Bag set lot INV-450 is on hold: leaking ports"


def held(walk, donation):
    return list(why_held(walk.look, donation, "red-cells"))


def lot_of(walk, donation):
    return walk.look(Draw, donation).started.lot


def test_blood_drawn_into_a_lot_waits_while_the_lot_is_on_hold():
    walk = pure_walk()
    drawn, other = walk.drawn(), walk.drawn("cat")
    lot = lot_of(walk, drawn)
    walk.do(HoldLot(lot=lot, reason="leaking ports."))
    assert ([WHY], []) == (held(walk, drawn), held(walk, other))
    walk.do(ReleaseLot(lot=lot, why="Ten sets of it held water", released_by="kim"))
    assert [] == held(walk, drawn)


def test_nothing_is_drawn_into_a_lot_on_hold():
    walk = pure_walk()
    lot = walk.a_lot()
    start = StartDraw(donor=walk.a_donor(), lot=lot, tare_g=260, wanted_ml=450)
    assert [] == walk.why_not(start)
    walk.do(HoldLot(lot=lot, reason="leaking ports"))
    assert [f"{WHY}. Take a set of another lot."] == walk.why_not(start)


@pytest.mark.parametrize(
    ("command", "reasons"),
    [
        (lambda lot: HoldLot(lot=lot, reason="once more"), ["It is on hold already: leaking ports"]),
        (
            lambda lot: ReleaseLot(lot=lot, why=" ", released_by="kim"),
            ["Say what was found out, and why it may be used again."],
        ),
        (
            lambda lot: ReleaseLot(lot=unknown("L"), why="well", released_by="kim"),
            ["This lot is not on hold."],
        ),
        (
            lambda lot: HoldLot(lot=unknown("L"), reason=""),
            [
                f"No bag set lot has the number {unknown('L')}: scan the lot's card again.",
                "Say why it is held: recalled by its maker, leaking, discoloured, or what was found.",
            ],
        ),
    ],
)
def test_a_hold_is_refused_in_words(command, reasons):
    walk = pure_walk()
    lot = walk.a_lot()
    walk.do(HoldLot(lot=lot, reason="leaking ports"))
    assert reasons == walk.why_not(command(lot))


def test_the_pages_hold_a_lot_show_what_it_reaches_and_release_it(client, walk):
    shelved = walk.on_the_shelf()
    lot = lot_of(walk, shelved)
    hold = reverse("bag-set-hold", args=[lot])
    answer(client, hold, why="Recalled by its maker")
    states = {unit.status for unit in stock(walk.at, limits(Book()))}
    assert {WAITING} == states
    told = text(client.get(reverse("bag-set-units", args=[lot])))
    assert "Here: 2" in told and "Bag set lot INV-450 is on hold: Recalled by its maker" in told
    for unit in UnitRow.objects.all():
        assert "Recalled by its maker" in text(client.get(reverse("unit", args=[unit.unit])))
    assert "On hold. Do not draw into it" in text(client.get(reverse("bag-set", args=[lot])))
    own = text(answer(client, hold, why="Its maker took the recall back"))
    assert "robin put it on hold: somebody else must look at it and release it." in own
    client.force_login(add("kim", "an-invented-pass-phrase", ["coordinator"]))
    answer(client, hold, why="Its maker took the recall back")
    assert {READY} == {unit.status for unit in stock(walk.at, limits(Book()))}
