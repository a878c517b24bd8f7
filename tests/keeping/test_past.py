"""The shelf at a past moment: late entries and strikes tell what was from what the book said then."""

from datetime import timedelta

import pytest
from msgspec.structs import replace

from buffycoat.journal.book import line_of
from buffycoat.journal.facts import EntryStruck
from buffycoat.journal.models import Entry
from buffycoat.keeping.past import as_it_was, as_told_then, compare, shelf
from buffycoat.site.rules import limits
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import DiscardUnit, PutAway
from buffycoat.storage.stock import stock
from tests.journal.test_rebuild import a_full_bank
from tests.walk import START, Walk, pure_walk

HOUR = timedelta(hours=1)


def at(hours: float):
    return START + hours * HOUR


def places(walk: Walk, view, moment) -> dict[str, str]:
    """Part by the place in which it stood."""
    book = view(walk.look.lines, moment)
    names = {
        unit: part for donation in book.numbers("donation") for part, unit in walk.units(donation).items()
    }
    return {names[each.unit]: each.place for each in shelf(book, book.numbers("donation"), moment)}


def both(walk: Walk, moment) -> tuple[dict[str, str], dict[str, str]]:
    return places(walk, as_it_was, moment), places(walk, as_told_then, moment)


def recorded_late(walk: Walk, command, *, happened: float, recorded: float) -> None:
    """A step that was done at one hour and written at a later one."""
    before = len(walk.look.lines)
    walk.do(command, at=at(happened))
    for place in range(before, len(walk.look.lines)):
        walk.look.lines[place] = replace(walk.look.lines[place], recorded_at=at(recorded))


def struck(walk: Walk, kind: str, *, recorded: float) -> None:
    wrong = next(line for line in reversed(walk.look.lines) if line.fact.kind == kind)
    fact = EntryStruck(struck_number=wrong.number, reason="invented")
    walk.look.tell(wrong.stream, fact, at(recorded), "kim")


@pytest.fixture
def walk() -> Walk:
    """A dog's bag on the shelf within the first three hours."""
    made = pure_walk()
    made.donation = made.on_the_shelf("dog")
    assert made.at < at(3)
    return made


SHELF = {"red-cells": "Fridge 1", "plasma": "Freezer 1"}


def test_both_answers_are_the_same_when_all_was_written_at_once(walk):
    assert ({}, {}) == both(walk, at(0))
    assert (SHELF, SHELF) == both(walk, at(3))


def test_a_step_written_late_was_so_and_was_not_told(walk):
    unit = walk.units(walk.donation)["plasma"]
    recorded_late(walk, DiscardUnit(unit=unit, reason="The bag broke."), happened=10, recorded=16)
    cells = {"red-cells": "Fridge 1"}
    assert (SHELF, SHELF) == both(walk, at(9.9))
    assert (cells, SHELF) == both(walk, at(10))
    assert (cells, SHELF) == both(walk, at(15.9))
    assert (cells, cells) == both(walk, at(16))


def test_a_struck_step_never_was_but_was_told_until_the_strike(walk):
    unit = walk.units(walk.donation)["plasma"]
    recorded_late(walk, DiscardUnit(unit=unit, reason="The wrong bag."), happened=10, recorded=10)
    struck(walk, "unit-discarded", recorded=16)
    cells = {"red-cells": "Fridge 1"}
    assert (SHELF, cells) == both(walk, at(12))
    assert (SHELF, SHELF) == both(walk, at(16))


def test_a_struck_putting_away_never_was(walk):
    struck(walk, "unit-put-away", recorded=16)
    (gone,) = set(SHELF) - set(places(walk, as_it_was, at(12)))
    assert (SHELF, {part: place for part, place in SHELF.items() if part != gone}) == (
        places(walk, as_told_then, at(12)),
        places(walk, as_told_then, at(16)),
    )


def test_a_move_to_another_place_counts_from_the_hour_it_was_done(walk):
    unit = walk.units(walk.donation)["red-cells"]
    other = walk.do(OpenPlace(name="Fridge 2", appliance="fridge")).the(PlaceOpened).place
    recorded_late(walk, PutAway(unit=unit, place=other, looks_well=True), happened=10, recorded=14)
    moved = {**SHELF, "red-cells": "Fridge 2"}
    assert (SHELF, SHELF) == both(walk, at(9))
    assert (moved, SHELF) == both(walk, at(13))
    assert (moved, moved) == both(walk, at(14))


def test_order_is_by_number_also_when_the_clock_was_put_back(walk):
    """An entry whose clock says an earlier hour than those before it is told with them, never before them."""
    unit = walk.units(walk.donation)["plasma"]
    recorded_late(walk, DiscardUnit(unit=unit, reason="The bag broke."), happened=4, recorded=1)
    before = [line for line in walk.look.lines if line.recorded_at <= at(1)]
    assert walk.look.lines[-1] in before
    assert {"red-cells": "Fridge 1"} == places(walk, as_told_then, at(1))


def test_a_unit_is_shown_with_its_days_and_state_of_that_moment(walk):
    book = as_it_was(walk.look.lines, at(24 * 40))
    shown = {
        each.product: (each.status, each.days_left)
        for each in shelf(book, book.numbers("donation"), at(24 * 40))
    }
    assert {"Red cells in additive": ("stop", -5), "Fresh frozen plasma": ("ready", 325)} == shown


def test_comparing_puts_every_unit_of_either_answer_in_one_row(walk):
    unit = walk.units(walk.donation)["plasma"]
    recorded_late(walk, DiscardUnit(unit=unit, reason="The bag broke."), happened=10, recorded=16)
    books = [view(walk.look.lines, at(12)) for view in (as_it_was, as_told_then)]
    rows = compare(*(shelf(book, book.numbers("donation"), at(12)) for book in books))
    assert [("Red cells in additive", True), ("Fresh frozen plasma", False)] == [
        (row.either.product, row.same) for row in rows
    ]
    assert None is rows[1].was
    assert rows[1].told.unit == unit


def test_today_the_shelf_of_the_past_is_the_stock_of_the_registers(db):
    walk = a_full_bank()
    lines = [line_of(entry) for entry in Entry.objects.order_by("number")]
    now = max(walk.at, *(line.recorded_at for line in lines))
    expected = [
        (each.row.unit, each.product.name, each.place, each.status, each.days_left, each.row.volume_ml)
        for each in stock(now, limits(walk.look))
    ]
    assert len(expected) > 1
    for view in (as_it_was, as_told_then):
        book = view(lines, now)
        assert expected == [
            (each.unit, each.product, each.place, each.status, each.days_left, each.volume_ml)
            for each in shelf(book, book.numbers("donation"), now)
        ]
