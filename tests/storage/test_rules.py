"""A labelled unit goes into a place that suits it, in time, and leaves it only on record."""

from datetime import datetime, timedelta

import pytest

from buffycoat.draws.rules import DiscardDonation, Draw
from buffycoat.labels.rules import Labelling, PrintLabel, ScanLabelBack
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import Separation
from buffycoat.site.rules import limits
from buffycoat.storage.places import OpenPlace, Place, PlaceOpened
from buffycoat.storage.rules import GONE, STOP, DiscardUnit, PutAway, Shelf, all_done, status
from tests.walk import START, pure_walk, unknown


def put(walk, unit, place="fridge", looks_well=True):
    return PutAway(unit=unit, place=walk.a_place(place), looks_well=looks_well)


@pytest.mark.parametrize(
    ("command", "reasons"),
    [
        (OpenPlace(name="Fridge 2", appliance="fridge"), []),
        (OpenPlace(name="Freezer 1", appliance="freezer"), []),
        (OpenPlace(name=" ", appliance="fridge"), ["Give the place a name, as it stands on its door."]),
        (OpenPlace(name="Shelf", appliance="cupboard"), ["Choose fridge or freezer."]),
    ],
)
def test_a_place_is_opened_or_refused_in_words(command, reasons):
    assert reasons == pure_walk().why_not(command)


def test_a_place_knows_its_name_and_what_it_is():
    walk = pure_walk()
    opened = walk.look(Place, walk.a_place("freezer")).opened
    assert ("Freezer 1", "freezer", "P") == (opened.name, opened.appliance, opened.place[0])


@pytest.mark.parametrize("species", ["dog", "cat"])
def test_each_product_goes_into_its_place(species):
    walk = pure_walk()
    units = walk.units(walk.labelled(species))
    assert [] == walk.why_not(put(walk, units["red-cells"], "fridge"))
    assert [] == walk.why_not(put(walk, units["plasma"], "freezer"))


@pytest.mark.parametrize(
    "command",
    [
        PutAway(unit=unknown("U"), place=unknown("P"), looks_well=True),
        DiscardUnit(unit=unknown("U"), reason="x"),
    ],
)
def test_an_unknown_unit_is_said_to_be_unknown(command):
    refusal = f"No unit has the number {show_code(unknown('U'))}: scan its label again."
    assert refusal == pure_walk().why_not(command)[0]


def test_an_unknown_place_is_said_to_be_unknown():
    walk = pure_walk()
    unit = walk.units(walk.labelled())["red-cells"]
    refusal = f"No place has the number {show_code(unknown('P'))}: scan the card on the door."
    assert [refusal] == walk.why_not(PutAway(unit=unit, place=unknown("P"), looks_well=True))


def test_what_does_not_look_right_is_not_put_away():
    walk = pure_walk()
    unit = walk.units(walk.labelled())["red-cells"]
    refusal = "Look at it once more: clot, leak, colour. A unit that does not look right is discarded, not put away."
    assert [refusal] == walk.why_not(put(walk, unit, looks_well=False))


def test_a_label_is_scanned_back_before_the_door():
    walk = pure_walk()
    donation = walk.labelled()
    unit = walk.units(donation)["red-cells"]
    walk.do(PrintLabel(donation=donation, part="red-cells", reason="Smeared."))
    refusal = "Its label was not scanned back from the bag yet: do that first."
    assert [refusal] == walk.why_not(put(walk, unit))
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    assert [] == walk.why_not(put(walk, unit))


def test_plasma_does_not_go_into_a_fridge_nor_red_cells_into_a_freezer():
    walk = pure_walk()
    units = walk.units(walk.labelled())
    assert [
        "Fresh frozen plasma belongs in a freezer (−18 °C or colder); Fridge 1 is a fridge."
    ] == walk.why_not(put(walk, units["plasma"], "fridge"))
    assert ["Red cells in additive belongs in a fridge (2 to 6 °C); Freezer 1 is a freezer."] == walk.why_not(
        put(walk, units["red-cells"], "freezer")
    )


def test_nothing_expired_is_put_away():
    walk = pure_walk()
    donation = walk.labelled()
    unit = walk.units(donation)["red-cells"]
    last = walk.look(Labelling, donation).printed["red-cells"].expires_at
    assert datetime.fromisoformat("2025-04-14T23:59+00:00") == last
    shelve = put(walk, unit)
    assert [] == walk.why_not(shelve, last)
    refusal = f"{show_code(unit)} expired on 14 Apr 2025: discard it."
    assert [refusal] == walk.why_not(shelve, last + timedelta(seconds=1))


def test_plasma_is_fresh_frozen_only_if_it_is_in_the_freezer_by_the_eighth_hour():
    """8 h: 21 CFR 640.34."""
    walk = pure_walk()
    donation = walk.labelled()
    due = walk.look(Draw, donation).finished_at + timedelta(hours=8)
    shelve = put(walk, walk.units(donation)["plasma"], "freezer")
    assert [] == walk.why_not(shelve, due)
    assert [
        f"Too late for fresh frozen plasma: it had to be in the freezer by {due:%H:%M}. "
        "Print its label again: it is frozen plasma now."
    ] == walk.why_not(shelve, due + timedelta(seconds=1))


def test_plasma_too_late_for_fresh_frozen_goes_in_as_frozen_plasma():
    walk = pure_walk()
    donation = walk.labelled()
    unit = walk.units(donation)["plasma"]
    walk.wait(hours=9)
    walk.do(PrintLabel(donation=donation, part="plasma"))
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    assert [] == walk.why_not(put(walk, unit, "freezer"))


def test_plasma_that_was_in_the_freezer_in_time_may_move_to_another_one_later():
    walk = pure_walk()
    donation = walk.on_the_shelf()
    walk.wait(days=3)
    other = walk.do(OpenPlace(name="Freezer 2", appliance="freezer")).the(PlaceOpened)
    move = PutAway(unit=walk.units(donation)["plasma"], place=other.place, looks_well=True)
    assert [] == walk.why_not(move)


def test_the_clock_of_the_freezer_is_not_for_red_cells():
    walk = pure_walk()
    unit = walk.units(walk.labelled())["red-cells"]
    walk.wait(hours=9)
    assert [] == walk.why_not(put(walk, unit))


def test_a_unit_is_not_put_where_it_is():
    walk = pure_walk()
    units = walk.units(walk.on_the_shelf())
    assert ["It is in Fridge 1 already."] == walk.why_not(put(walk, units["red-cells"]))


def test_a_unit_goes_away_no_earlier_than_its_label_came_back():
    walk = pure_walk()
    donation = walk.labelled()
    back = walk.look(Draw, donation).last_at
    shelve = put(walk, walk.units(donation)["red-cells"])
    assert [] == walk.why_not(shelve, back)
    assert 1 == len(walk.why_not(shelve, back - timedelta(seconds=1)))


def test_a_discarded_unit_stays_discarded_and_its_sister_does_not_go_with_it():
    walk = pure_walk()
    donation = walk.labelled()
    units = walk.units(donation)
    walk.do(DiscardUnit(unit=units["plasma"], reason="The bag broke."))
    gone = [f"{show_code(units['plasma'])} was discarded: The bag broke."]
    assert gone == walk.why_not(put(walk, units["plasma"], "freezer"))
    assert gone == walk.why_not(DiscardUnit(unit=units["plasma"], reason="again"))
    assert [] == walk.why_not(put(walk, units["red-cells"]))


def test_a_discarded_donation_takes_its_units_with_it():
    walk = pure_walk()
    donation = walk.labelled()
    walk.do(DiscardDonation(donation=donation, reason="The donor fell ill."))
    gone = [f"Donation {donation} was discarded: The donor fell ill."]
    assert [gone] * 2 == [
        walk.why_not(put(walk, walk.units(donation)["red-cells"])),
        walk.why_not(DiscardUnit(unit=walk.units(donation)["red-cells"], reason="again")),
    ]


def test_a_unit_is_discarded_with_a_reason():
    walk = pure_walk()
    unit = walk.units(walk.labelled())["red-cells"]
    refusal = "Say why it is discarded: expired, broken, leaking, clotted, haemolysed, warm too long, or what you saw."
    assert [refusal] == walk.why_not(DiscardUnit(unit=unit, reason=" "))
    assert [] == walk.why_not(DiscardUnit(unit=unit, reason="It leaks."))


def test_a_unit_was_put_away_when_it_first_stood_in_a_place():
    walk = pure_walk()
    donation = walk.on_the_shelf()
    first = walk.look(Shelf, donation).put_away_at["red-cells"]
    walk.wait(days=1)
    opened = walk.do(OpenPlace(name="Fridge 2", appliance="fridge")).the(PlaceOpened)
    walk.do(PutAway(unit=walk.units(donation)["red-cells"], place=opened.place, looks_well=True))
    shelf = walk.look(Shelf, donation)
    assert (first, opened.place) == (shelf.put_away_at["red-cells"], shelf.put_away["red-cells"].place)


def word(walk, left, **but):
    values = {"labelled": True, "put_away": True, "gone": False, "wrong_type": False, "held": False, **but}
    return status(**values, expires_at=START, at=START - left, site=limits(walk.look))


@pytest.mark.parametrize(
    ("left", "but", "expected"),
    [
        (timedelta(days=8), {}, "ready"),
        (timedelta(days=7, seconds=1), {}, "ready"),
        (timedelta(days=7), {}, "use first"),
        (timedelta(), {}, "use first"),
        (timedelta(seconds=-1), {}, "stop"),
        (timedelta(days=8), {"labelled": False}, "stop"),
        (timedelta(days=8), {"labelled": False, "put_away": False}, "being made"),
        (timedelta(days=8), {"put_away": False}, "being made"),
        (timedelta(seconds=-1), {"put_away": False}, "stop"),
        (timedelta(days=8), {"held": True}, "waiting"),
        (timedelta(days=8), {"held": True, "put_away": False}, "waiting"),
        (timedelta(seconds=-1), {"held": True}, "stop"),
        (timedelta(days=8), {"held": True, "gone": True}, "gone"),
        (timedelta(days=8), {"gone": True}, "gone"),
        (timedelta(seconds=-1), {"gone": True}, "gone"),
    ],
)
def test_one_word_tells_how_a_unit_stands(left, but, expected):
    assert expected == word(pure_walk(), left, **but)


def test_a_donation_is_done_when_each_part_is_away_or_gone():
    walk = pure_walk()

    def done(donation):
        return all_done(walk.look(Separation, donation), walk.look(Shelf, donation))

    labelled = walk.labelled()
    assert [False, False] == [done(walk.drawn()), done(labelled)]
    units = walk.units(labelled)
    walk.do(put(walk, units["red-cells"]))
    assert not done(labelled)
    walk.do(DiscardUnit(unit=units["plasma"], reason="The bag broke."))
    assert done(labelled)
    discarded = walk.drawn()
    walk.do(DiscardDonation(donation=discarded, reason="Clotted."))
    assert done(discarded)


def test_a_unit_whose_donor_is_of_another_type_than_its_label_says_is_stopped():
    assert STOP == word(pure_walk(), timedelta(days=20), wrong_type=True)
    assert GONE == word(pure_walk(), timedelta(days=20), wrong_type=True, gone=True)
