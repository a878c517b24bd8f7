"""One unit becomes several: their masses add up, and each has a number, a label and a date of its own."""

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from buffycoat.changes.rules import DivideUnit, OpenUnit, SeparateCryo, ThawUnit, WeighPart
from buffycoat.journal.facts import Refused
from buffycoat.labels.changes import parts_of, weighed_parts
from buffycoat.labels.rules import Labelling, PrintLabel, ScanLabelBack, due_now
from buffycoat.problems.rules import ReportProblem, why_held
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import Separation
from buffycoat.site.rules import SetLimit
from buffycoat.storage.rules import DiscardUnit, PutAway, Shelf, all_done
from tests.changes.test_states import THAW, label_again, shelved
from tests.walk import pure_walk

EMPTY_G = 20


def divide(walk, unit, parts=2, *, closed=True):
    walk.do(DivideUnit(unit=unit, parts=parts, empty_g=EMPTY_G, closed=closed))


def weigh(walk, donation, part, content_g, **but):
    return WeighPart(donation=donation, part=part, gross_g=content_g + EMPTY_G, **but)


def halved(species="dog", part="red-cells", *, closed=True):
    """A unit of the shelf in two halves, both weighed; and what it held."""
    walk, donation, units = shelved(species)
    if part == "plasma":
        walk.do(ThawUnit(unit=units["plasma"], **THAW))
        label_again(walk, donation, "plasma")
    held_g = weighed_parts(walk.look, donation)[part].content_g
    divide(walk, units[part], closed=closed)
    walk.do(weigh(walk, donation, f"{part}-1", held_g // 2))
    walk.do(weigh(walk, donation, f"{part}-2", held_g - held_g // 2))
    return walk, donation, held_g


@pytest.mark.parametrize("species", ["dog", "cat"])
@pytest.mark.parametrize("part", ["red-cells", "plasma"])
def test_the_parts_hold_what_the_unit_held(species, part):
    walk, donation, held_g = halved(species, part)
    whole, *parts = (weighed_parts(walk.look, donation)[each] for each in (part, f"{part}-1", f"{part}-2"))
    assert held_g == sum(each.content_g for each in parts)
    assert 1 >= abs(whole.volume_ml - sum(each.volume_ml for each in parts))
    assert 1 >= abs(whole.red_cell_part_ml - sum(each.red_cell_part_ml for each in parts))
    assert {whole.haematocrit_permille} == {each.haematocrit_permille for each in parts}


def test_no_more_comes_out_than_went_in():
    walk, donation, units = shelved()
    held_g = weighed_parts(walk.look, donation)["red-cells"].content_g
    divide(walk, units["red-cells"])
    half_g = held_g // 2
    too_much = f"{held_g + 6} g cannot come out of {held_g} g: weigh again, the empty bag too."
    assert [too_much] == walk.why_not(weigh(walk, donation, "red-cells-1", held_g + 6, explained="It is."))
    walk.do(weigh(walk, donation, "red-cells-1", half_g))
    rest_g = held_g - half_g
    for over_g in (0, 5):
        assert [] == walk.why_not(weigh(walk, donation, "red-cells-2", rest_g + over_g))
    sum_g = f"{half_g} + {rest_g + 6} g = {held_g + 6} g"
    too_much = f"{sum_g} cannot come out of {held_g} g: weigh again, the empty bag too."
    assert [too_much] == walk.why_not(weigh(walk, donation, "red-cells-2", rest_g + 6, explained="It is."))


def test_what_is_missing_from_the_last_part_is_told():
    walk, donation, units = shelved()
    held_g = weighed_parts(walk.look, donation)["red-cells"].content_g
    divide(walk, units["red-cells"])
    assert [] == walk.why_not(weigh(walk, donation, "red-cells-1", 100))
    walk.do(weigh(walk, donation, "red-cells-1", 100))
    rest_g = held_g - 100
    assert [] == walk.why_not(weigh(walk, donation, "red-cells-2", rest_g - 5))
    missing = (
        f"6 g are missing: 100 + {rest_g - 6} g = {held_g - 6} g, and the unit held {held_g} g. "
        "Weigh again; if it is right, say where they went."
    )
    assert [missing] == walk.why_not(weigh(walk, donation, "red-cells-2", rest_g - 6))
    assert [] == walk.why_not(weigh(walk, donation, "red-cells-2", rest_g - 6, explained="Spilled."))


@pytest.mark.parametrize(
    ("gross_g", "reason"),
    [
        (EMPTY_G, "20 g is no more than the empty bag (20 g)."),
        (3_001, "3001 g is heavier than any bag: read the scale again."),
    ],
)
def test_a_part_is_weighed_with_its_bag(gross_g, reason):
    walk, donation, units = shelved()
    divide(walk, units["red-cells"])
    assert [reason] == walk.why_not(WeighPart(donation=donation, part="red-cells-1", gross_g=gross_g))


def test_a_part_that_is_not_there_is_not_weighed_and_none_twice():
    walk, donation, held_g = halved()
    other = "No unit of this donation was divided into red cells 3: scan the bag again."
    assert [other] == walk.why_not(weigh(walk, donation, "red-cells-3", 100))
    twice = f"It was weighed already: {held_g // 2 + EMPTY_G} g."
    assert [twice] == walk.why_not(weigh(walk, donation, "red-cells-1", 100))


def test_parts_of_a_closed_unit_keep_its_date_and_of_an_opened_one_24_hours():
    """21 CFR 610.53."""
    for closed in (True, False):
        walk, donation, units = shelved()
        before, at = due_now(walk.look, donation, "red-cells", walk.at), walk.at
        divide(walk, units["red-cells"], closed=closed)
        now = due_now(walk.look, donation, "red-cells-2", walk.at)
        ends = before.expires_at if closed else at + timedelta(hours=24)
        assert (before.product, ends) == (now.product, now.expires_at)
        assert ("" if closed else "opened") == walk.look(Shelf, donation).changes.words("red-cells-1")


def test_parts_take_over_what_was_done_to_the_unit_before():
    walk, donation, units = shelved()
    opened_at = walk.at
    walk.do(OpenUnit(unit=units["red-cells"], reason="Spiked."))
    label_again(walk, donation, "red-cells")
    divide(walk, units["red-cells"])
    now = due_now(walk.look, donation, "red-cells-1", walk.at)
    assert (opened_at + timedelta(hours=24), "24 hours after it was opened") == (now.expires_at, now.because)
    assert "opened" == walk.look(Shelf, donation).changes.words("red-cells-1")


def test_each_part_has_a_number_and_label_of_its_own_and_goes_into_its_place():
    walk, donation, _ = halved("cat")
    state = walk.look(Separation, donation)
    assert not all_done(state, walk.look(Shelf, donation))
    for part in ("red-cells-1", "red-cells-2"):
        label_again_or_first(walk, donation, part)
        walk.do(PutAway(unit=walk.units(donation)[part], place=walk.a_place("fridge"), looks_well=True))
    assert 4 == len({*walk.units(donation).values()})
    assert all_done(state, walk.look(Shelf, donation))


def label_again_or_first(walk, donation, part):
    walk.do(PrintLabel(donation=donation, part=part))
    walk.do(ScanLabelBack(donation=donation, unit=walk.units(donation)[part]))


def test_a_part_is_weighed_before_it_is_labelled():
    walk, donation, units = shelved()
    divide(walk, units["red-cells"])
    first = "Weigh the red cells 1 first: the label carries the volume."
    assert [first] == walk.why_not(PrintLabel(donation=donation, part="red-cells-1"))


def test_a_divided_unit_is_no_unit_any_more():
    walk, donation, _ = halved()
    unit = walk.units(donation)["red-cells"]
    gone = f"{show_code(unit)} is no unit any more: Divided into 2 parts"
    for command in (
        DiscardUnit(unit=unit, reason="Broken."),
        OpenUnit(unit=unit, reason="Spiked."),
        DivideUnit(unit=unit, parts=2, empty_g=EMPTY_G, closed=True),
        PutAway(unit=unit, place=walk.a_place("fridge"), looks_well=True),
    ):
        assert gone == walk.why_not(command)[0]
    printed = "This unit was divided: each of its parts has a label of its own."
    assert [printed] == walk.why_not(PrintLabel(donation=donation, part="red-cells", reason="Smeared."))


@pytest.mark.parametrize(
    ("but", "reason"),
    [
        ({"parts": 1}, "1 parts: a unit is divided into 2 to 6."),
        ({"parts": 7}, "7 parts: a unit is divided into 2 to 6."),
        ({"empty_g": 0}, "0 g for an empty bag: weigh it empty, with its tubing."),
        ({"empty_g": 201}, "201 g for an empty bag: weigh it empty, with its tubing."),
    ],
)
def test_a_unit_is_divided_into_a_few_bags_of_known_mass(but, reason):
    walk, _, units = shelved()
    right = {"unit": units["red-cells"], "parts": 2, "empty_g": EMPTY_G, "closed": True}
    assert [] == walk.why_not(DivideUnit(**right))
    assert [reason] == walk.why_not(DivideUnit(**{**right, **but}))


def test_a_unit_is_divided_no_further_than_its_name_has_room_for():
    walk = pure_walk()
    donation = walk.kept_whole()
    walk.weigh(donation)
    walk.label(donation)
    part = "whole-blood"
    for _ in range(4):
        content_g = weighed_parts(walk.look, donation)[part].content_g
        divide(walk, walk.units(donation)[part])
        part = f"{part}-1"
        walk.do(weigh(walk, donation, part, content_g))
        label_again_or_first(walk, donation, part)
    again = DivideUnit(unit=walk.units(donation)[part], parts=2, empty_g=EMPTY_G, closed=True)
    assert ["It was divided too often: take a larger part, or another unit."] == walk.why_not(again)


def test_what_is_frozen_is_not_divided():
    walk, _, units = shelved()
    frozen = DivideUnit(unit=units["plasma"], parts=2, empty_g=EMPTY_G, closed=True)
    assert ["It is frozen: thaw it before it is divided."] == walk.why_not(frozen)


def test_plasma_divided_before_it_is_frozen_keeps_its_clock_to_the_freezer():
    walk = pure_walk()
    donation = walk.labelled("cat")
    held_g = weighed_parts(walk.look, donation)["plasma"].content_g
    divide(walk, walk.units(donation)["plasma"])
    for part, content_g in (("plasma-1", held_g // 2), ("plasma-2", held_g - held_g // 2)):
        walk.do(weigh(walk, donation, part, content_g))
        label_again_or_first(walk, donation, part)
    shelve = PutAway(unit=walk.units(donation)["plasma-1"], place=walk.a_place("freezer"), looks_well=True)
    assert [] == walk.why_not(shelve)
    walk.wait(hours=9)
    assert "Too late for fresh frozen plasma" in walk.why_not(shelve)[0]
    walk.do(PrintLabel(donation=donation, part="plasma-1"))
    assert "frozen-plasma" == walk.look(Labelling, donation).printed["plasma-1"].product


def test_what_is_wrong_with_a_unit_holds_each_of_its_parts_and_of_one_part_only_itself():
    walk, donation, units = shelved()
    walk.do(ReportProblem(about=units["red-cells"], what="colour"))
    divide(walk, units["red-cells"])

    def held(part):
        return list(why_held(walk.look, donation, part))

    assert [["Wrong colour"]] * 2 == [held("red-cells-1"), held("red-cells-2")]
    assert [] == held("plasma")
    weighing = weighed_parts(walk.look, donation)["red-cells"].content_g // 2
    walk.do(weigh(walk, donation, "red-cells-1", weighing))
    label_again_or_first(walk, donation, "red-cells-1")
    walk.do(ReportProblem(about=walk.units(donation)["red-cells-1"], what="leak"))
    assert [["Wrong colour", "Leak"], ["Wrong colour"]] == [held("red-cells-1"), held("red-cells-2")]


def test_cryoprecipitate_and_cryo_poor_plasma_are_made_of_fresh_frozen_plasma():
    """1 year from the draw: 21 CFR 610.53."""
    walk, donation, units = shelved()
    own = due_now(walk.look, donation, "plasma", walk.at)
    walk.do(SeparateCryo(unit=units["plasma"], cryo_empty_g=28, poor_empty_g=EMPTY_G))
    cryo, poor = (due_now(walk.look, donation, f"plasma-{number}", walk.at) for number in (1, 2))
    assert ["cryoprecipitate", "cryo-poor-plasma"] == [cryo.product, poor.product]
    assert [own.expires_at] * 2 == [cryo.expires_at, poor.expires_at]
    held_g = weighed_parts(walk.look, donation)["plasma"].content_g
    walk.do(WeighPart(donation=donation, part="plasma-1", gross_g=28 + 40))
    walk.do(WeighPart(donation=donation, part="plasma-2", gross_g=EMPTY_G + held_g - 40))
    for part in ("plasma-1", "plasma-2"):
        label_again_or_first(walk, donation, part)
        walk.do(PutAway(unit=walk.units(donation)[part], place=walk.a_place("freezer"), looks_well=True))
    cryo = walk.units(donation)["plasma-1"]
    beside = "Thawed cryoprecipitate is not kept: it is thawed beside the patient, at the last moment."
    assert [beside] == walk.why_not(ThawUnit(unit=cryo, **THAW))


def test_cryoprecipitate_is_not_made_of_anything_else():
    walk, _, units = shelved()
    wrong = SeparateCryo(unit=units["red-cells"], cryo_empty_g=28, poor_empty_g=EMPTY_G)
    refusal = (
        "Cryoprecipitate is made of fresh frozen plasma out of the freezer; "
        "this is red cells in additive, not frozen."
    )
    assert [refusal] == walk.why_not(wrong)


def test_cryoprecipitate_is_never_dated_later_than_its_plasma():
    walk, donation, units = shelved()
    own = due_now(walk.look, donation, "plasma", walk.at)
    walk.do(SetLimit(key="cryoprecipitate_years", value=3, reason="invented"))
    walk.do(SeparateCryo(unit=units["plasma"], cryo_empty_g=28, poor_empty_g=EMPTY_G))
    now = due_now(walk.look, donation, "plasma-1", walk.at)
    assert (own.expires_at, "the date of its plasma") == (now.expires_at, now.because)


@settings(deadline=None, max_examples=60)
@given(shares=some.lists(some.integers(1, 400), min_size=2, max_size=6))
def test_whatever_is_weighed_the_parts_never_hold_more_than_the_unit_did(shares):
    walk, donation, units = shelved()
    held_g = weighed_parts(walk.look, donation)["red-cells"].content_g
    divide(walk, units["red-cells"], len(shares))
    for number, content_g in enumerate(shares, start=1):
        try:
            walk.do(weigh(walk, donation, f"red-cells-{number}", content_g))
        except Refused:
            continue
    weighed = walk.look(Shelf, donation).changes.weighed
    assert sum(each.content_g for each in weighed.values()) <= held_g + 5
    assert set(weighed) <= set(parts_of(walk.look, donation))
    missing_g = held_g - sum(each.content_g for each in weighed.values())
    assert len(weighed) < len(shares) or missing_g <= 5
