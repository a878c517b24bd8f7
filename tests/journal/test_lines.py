"""Lines that grow: what was folded goes on from where it stood, as if all had been folded anew."""

import random

from buffycoat.draws.rules import Draw
from buffycoat.journal.facts import EntryStruck, Lines
from buffycoat.separation.rules import Separation
from tests.walk import pure_walk


def of_a_donation():
    walk = pure_walk()
    donation = walk.on_the_shelf("dog")
    return walk.look, donation, [line for line in walk.look.lines if line.stream == f"donation/{donation}"]


def test_folded_on_from_any_line_is_as_folded_anew():
    _, donation, lines = of_a_donation()
    for held in range(len(lines)):
        before = Lines().followed_by(lines[:held])
        for state in (Draw, Separation):
            state.fold(donation, before)
        after = before.followed_by(lines[held:])
        assert {Draw, Separation} == set(after.folded)
        assert len(lines) == after.version
        for state in (Draw, Separation):
            assert state.fold(donation, list(lines)) == state.fold(donation, after)


def test_a_strike_takes_out_its_line_itself_and_what_was_folded_over_it():
    book, donation, lines = of_a_donation()
    before = Lines().followed_by(lines)
    Separation.fold(donation, before)
    struck = random.Random(7).choice(lines)
    strike = book.tell(
        struck.stream, EntryStruck(struck_number=struck.number, reason="Misread."), book.lines[-1].happened_at
    )
    after = before.followed_by([strike])
    assert [line for line in lines if line is not struck] == after
    assert (strike.version, {}) == (after.version, after.folded)
    assert lines == before


def test_no_new_line_changes_nothing():
    before = Lines().followed_by(of_a_donation()[2])
    after = before.followed_by([])
    assert (before, before.version) == (after, after.version)
