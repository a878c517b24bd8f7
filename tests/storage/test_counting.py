"""The book must agree with what stands in a place; each difference waits until somebody settles it."""

import pytest
from django.urls import reverse

from buffycoat.problems.rules import MISSING, ReportProblem, why_held
from buffycoat.science.numbering import show_code
from buffycoat.storage.counting import CountPlace, stands_in
from buffycoat.storage.models import ShelfRow
from buffycoat.storage.places import OpenPlace, PlaceCounted, PlaceOpened
from buffycoat.storage.rules import DiscardUnit, PutAway
from tests.pages import answer, text
from tests.walk import pure_walk, unknown


@pytest.fixture
def counted():
    """A pure bank with one cat's red cells in a fridge: the walk, the unit, its donation, the fridge."""
    walk = pure_walk()
    donation = walk.on_the_shelf("cat")
    return walk, walk.units(donation)["red-cells"], donation, walk.a_place("fridge")


def count(place, found, expected):
    return CountPlace(place=place, found=tuple(found), expected=tuple(expected))


def test_a_count_that_agrees_holds_nothing(counted):
    walk, unit, donation, fridge = counted
    fact = walk.do(count(fridge, [unit], [unit])).the(PlaceCounted)
    assert ((unit,), (), ()) == (fact.found, fact.missing, fact.misplaced)
    assert [] == list(why_held(walk.look, donation, "red-cells"))


def test_what_is_missing_waits_and_is_reported_once(counted):
    walk, unit, donation, fridge = counted
    for _ in range(2):
        assert (unit,) == walk.do(count(fridge, [], [unit])).the(PlaceCounted).missing
    held = list(why_held(walk.look, donation, "red-cells"))
    assert ["Not found where it should be: not found when Fridge 1 was counted"] == held


def test_what_stands_where_it_should_not_waits_too(counted):
    walk, unit, donation, _ = counted
    other = walk.do(OpenPlace(name="Fridge 2", appliance="fridge")).the(PlaceOpened).place
    fact = walk.do(count(other, [unit], [])).the(PlaceCounted)
    assert (unit,) == fact.misplaced
    assert ["Found where it should not be: found when Fridge 2 was counted"] == list(
        why_held(walk.look, donation, "red-cells")
    )


def test_a_discarded_unit_that_still_stands_there_is_a_difference(counted):
    walk, unit, _, fridge = counted
    walk.do(DiscardUnit(unit=unit, reason="Clotted"))
    assert not stands_in(walk.look, unit, fridge)
    assert (unit,) == walk.do(count(fridge, [unit], [])).the(PlaceCounted).misplaced


def test_each_difference_is_a_problem_of_its_own_number(counted):
    walk, unit, _, fridge = counted
    second = walk.units(walk.on_the_shelf("cat"))["red-cells"]
    lines = walk.do(count(fridge, [], [unit, second])).lines
    problems = {line.number: line.fact for line in lines if line.fact.kind == "problem-reported"}
    assert [MISSING, MISSING] == [fact.what for fact in problems.values()]
    assert list(problems) == [fact.problem for fact in problems.values()]


def test_a_count_is_refused_in_words(counted):
    walk, unit, _, fridge = counted
    assert [
        f"No place has the number {show_code(unknown('P'))}: scan the card on the door.",
        f"{show_code(unit)} was scanned twice: count it once.",
        f"No unit has the number {show_code(unknown('U'))}: scan its label again, or report it.",
    ] == walk.why_not(count(unknown("P"), [unit, unit, unknown("U")], []))
    other = walk.do(OpenPlace(name="Fridge 2", appliance="fridge")).the(PlaceOpened).place
    walk.do(PutAway(unit=unit, place=other, looks_well=True))
    assert [f"{show_code(unit)} was moved while you counted: open the count again."] == walk.why_not(
        count(fridge, [], [unit])
    )


def test_a_quarantine_takes_only_what_waits(counted):
    walk, unit, _, _ = counted
    shelf = walk.do(OpenPlace(name="Red shelf", appliance="fridge", quarantine=True)).the(PlaceOpened).place
    put = PutAway(unit=unit, place=shelf, looks_well=True)
    assert [f"Red shelf is for what waits, and nothing holds {show_code(unit)}."] == walk.why_not(put)
    walk.do(ReportProblem(about=unit, what="warm"))
    assert [] == walk.why_not(put)


@pytest.mark.parametrize(("capacity", "refused"), [(-1, True), (0, False), (2000, False), (2001, True)])
def test_how_many_units_a_place_holds_is_a_number_that_can_be(capacity, refused):
    reasons = pure_walk().why_not(OpenPlace(name="Fridge 2", appliance="fridge", capacity=capacity))
    assert refused == bool(reasons)


def test_the_page_counts_scan_by_scan_and_shows_what_is_missing_only_at_the_end(client, walk):
    cells = [walk.units(walk.on_the_shelf("cat"))["red-cells"] for _ in range(2)]
    fridge = ShelfRow.objects.get(unit=cells[0]).place_id
    page = reverse("place-count", args=[fridge])
    last_figures = f" {cells[1][8:12]} "
    assert last_figures not in text(client.get(page))
    scanned = answer(client, page, unit=show_code(cells[0]))
    assert "1 counted." in text(scanned)
    assert last_figures not in text(scanned)
    looked = answer(client, page, unit="", so_far=cells[0])
    assert "Missing: 1" in text(looked)
    assert last_figures in text(looked)
    sent = answer(client, page, unit="", so_far=cells[0], record="1")
    assert reverse("place", args=[fridge]) == sent.url
    assert "1 missing" in text(client.get(sent.url))
    assert "Not found where it should be" in ShelfRow.objects.get(unit=cells[1]).held
    assert "" == ShelfRow.objects.get(unit=cells[0]).held


def test_a_count_without_a_difference_is_recorded_at_once(client, walk):
    unit = walk.units(walk.on_the_shelf("cat"))["red-cells"]
    fridge = ShelfRow.objects.get(unit=unit).place_id
    sent = answer(client, reverse("place-count", args=[fridge]), unit="", so_far=unit)
    assert "All as in the book." in text(client.get(sent.url))


def test_a_new_place_says_its_room_what_it_holds_and_whether_it_is_a_quarantine(client):
    told = {
        "name": "Red shelf",
        "appliance": "fridge",
        "room": "Cold room",
        "capacity": "12",
        "quarantine": "on",
    }
    sent = answer(client, reverse("place-new"), **told)
    page = text(client.get(sent.url))
    for words in ("Fridge in Cold room", "0 of 12 units", "Quarantine: only what waits"):
        assert words in page
