"""A lot of bag sets is read off its box once, and used until its last day."""

from datetime import timedelta

import pytest

from buffycoat.draws.bag_sets import ANTICOAGULANTS, BagSetLot, ReceiveBagSetLot
from buffycoat.draws.rules import StartDraw
from tests.walk import BAG_SETS, START, pure_walk, unknown

TODAY = START.date()
NOTHING_KNOWN = unknown("L")
ADDITIVE = "Give the additive's name and its volume (1 to 150 mL), or neither."
EMPTY = "Give what the dry bags weigh: main bag 5 to 200 g, plasma bag 2 to 100 g."


def receive(of="dog", **but):
    return ReceiveBagSetLot(**{"expires_on": TODAY, **BAG_SETS[of], **but})


def too_little_or_much(anticoagulant_ml, nominal_ml):
    return (
        f"{anticoagulant_ml} mL of anticoagulant does not suit {nominal_ml} mL of blood "
        "(usual: 14 mL for 100 mL): read the label again."
    )


@pytest.mark.parametrize(
    ("command", "reasons"),
    [
        (receive(), []),
        (receive("cat"), []),
        (receive(maker_lot=" "), ["Give the maker's lot number and what the set is called."]),
        (receive(title=""), ["Give the maker's lot number and what the set is called."]),
        (receive(species="cow"), ["Choose dog or cat."]),
        (receive(anticoagulant="heparin"), ["Choose the anticoagulant: CPDA-1, CPD, CP2D, ACD."]),
        (receive(nominal_ml=19, anticoagulant_ml=3), ["A set for 19 mL is unknown here: 20 to 600 mL."]),
        (receive(nominal_ml=20, anticoagulant_ml=3), []),
        (receive(nominal_ml=600, anticoagulant_ml=84), []),
        (receive(nominal_ml=601, anticoagulant_ml=84), ["A set for 601 mL is unknown here: 20 to 600 mL."]),
        (
            receive(nominal_ml=0, anticoagulant_ml=0),
            ["A set for 0 mL is unknown here: 20 to 600 mL.", too_little_or_much(0, 0)],
        ),
        (receive(nominal_ml=100, anticoagulant_ml=7), [too_little_or_much(7, 100)]),
        (receive(nominal_ml=100, anticoagulant_ml=8), []),
        (receive(nominal_ml=100, anticoagulant_ml=25), []),
        (receive(nominal_ml=100, anticoagulant_ml=26), [too_little_or_much(26, 100)]),
        (receive(additive=""), [ADDITIVE]),
        (receive(additive_ml=0), [ADDITIVE]),
        (receive(additive="", additive_ml=0), []),
        (receive(additive_ml=-1), [ADDITIVE]),
        (receive(additive_ml=1), []),
        (receive(additive_ml=150), []),
        (receive(additive_ml=151), [ADDITIVE]),
        (receive(additive="", additive_ml=-1), [ADDITIVE]),
        (receive(main_bag_empty_g=4), [EMPTY]),
        (receive(main_bag_empty_g=5, plasma_bag_empty_g=2), []),
        (receive(main_bag_empty_g=200, plasma_bag_empty_g=100), []),
        (receive(main_bag_empty_g=201), [EMPTY]),
        (receive(plasma_bag_empty_g=1), [EMPTY]),
        (receive(plasma_bag_empty_g=101), [EMPTY]),
        (
            receive(expires_on=TODAY - timedelta(days=1)),
            ["This lot expired on 09 Mar 2025: send it back, do not shelve it."],
        ),
    ],
)
def test_a_lot_is_received_or_refused_in_words(command, reasons):
    assert reasons == pure_walk().why_not(command)


@pytest.mark.parametrize("anticoagulant", ANTICOAGULANTS)
def test_each_anticoagulant_with_a_shelf_life_of_its_own_is_taken(anticoagulant):
    assert [] == pure_walk().why_not(receive(anticoagulant=anticoagulant))


@pytest.mark.parametrize(
    ("nominal_ml", "anticoagulant_ml"), [(450, 63), (450, 67), (500, 70), (475, 67), (86, 14)], ids=str
)
def test_the_usual_ratios_are_taken(nominal_ml, anticoagulant_ml):
    """14 mL for 100 mL, 63 mL for 450 mL, ACD 15 mL for 100 mL: a state council's table and Cober 2001 (handbook 13,
    row 6); 14 mL for 86 mL of blood: Jovanovic, WSAVA 2006 (row 7)."""
    assert [] == pure_walk().why_not(receive(nominal_ml=nominal_ml, anticoagulant_ml=anticoagulant_ml))


def test_a_lot_is_used_on_its_last_day_and_not_the_day_after():
    walk = pure_walk()
    lot = walk.a_lot(expires_on=TODAY)
    donor = walk.a_donor()
    start = StartDraw(donor=donor, lot=lot, tare_g=260, wanted_ml=450)
    assert [] == walk.why_not(start, START.replace(hour=23, minute=59, second=59))
    walk.at = START + timedelta(days=1)
    tomorrow = walk.why_not(start)
    assert "Bag set lot INV-450 expired on 10 Mar 2025: take a set of another lot." in tomorrow


def test_an_unknown_lot_is_said_to_be_unknown():
    walk = pure_walk()
    start = StartDraw(donor=walk.a_donor(), lot=NOTHING_KNOWN, tare_g=260, wanted_ml=450)
    refusal = f"No bag set lot has the number {NOTHING_KNOWN}: scan the lot's card again, or receive the lot."
    assert [refusal] == walk.why_not(start)


def test_a_lot_remembers_what_the_box_said():
    walk = pure_walk()
    received = walk.look(BagSetLot, walk.a_lot("cat")).received
    bag_set = {key: value for key, value in BAG_SETS["cat"].items() if key != "maker_lot"}
    assert (bag_set, "INV-50") == (
        {key: getattr(received.bag_set, key) for key in bag_set},
        received.maker_lot,
    )
    assert ("", 0) == (received.bag_set.additive, received.bag_set.additive_ml)
