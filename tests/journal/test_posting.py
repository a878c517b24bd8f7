"""After a click only what it changed is written, and it is then right, whatever stood there."""

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from buffycoat.journal.models import Head
from buffycoat.journal.registers import snapshot
from buffycoat.journal.rows import at_once, insert
from buffycoat.journal.strike import strike
from buffycoat.separation.models import SeparationRow
from buffycoat.storage.rules import PutAway
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def written(act):
    """The tables that were written to."""
    with CaptureQueriesContext(connection) as asked:
        act()
    return [
        each["sql"].split('"')[1] for each in asked if each["sql"].startswith(("INSERT", "UPDATE", "DELETE"))
    ]


def test_a_click_writes_its_entry_the_head_and_the_one_row_that_it_changes():
    walk = Walk()
    donation = walk.expressed("cat")
    each = ["journal_entry", "journal_head", "separation_separationrow"]
    assert [*each, *each] == written(lambda: walk.finish_cells(donation))


def test_of_two_units_the_one_is_written_that_was_put_away():
    walk = Walk()
    donation = walk.labelled("cat")
    unit, place = walk.units(donation)["plasma"], walk.a_place("freezer")
    put_away = PutAway(unit=unit, place=place, looks_well=True)
    tables = written(lambda: walk.do(put_away))
    assert (1, 0) == (tables.count("storage_shelfrow"), tables.count("labels_unitrow"))


@pytest.mark.parametrize("fault", ["lost", "changed"])
def test_a_row_that_others_made_wrong_is_right_again_when_it_changes(fault):
    walk = Walk()
    donation = walk.expressed("cat")
    rows = SeparationRow.objects.filter(donation=donation)
    whole = rows.values().get()
    rows.delete() if fault == "lost" else rows.update(plasma_g=1, spin_outcome="poor")
    walk.finish_cells(donation)
    assert {**whole, "clots_looked_for": True, "segments": 4} == rows.values().get()


def test_a_strike_takes_away_the_rows_of_what_never_was():
    walk = Walk()
    donor, lot = walk.a_donor("cat"), walk.a_lot("cat")
    before = snapshot()
    walk.draw_started("cat", donor=donor, lot=lot)
    started = snapshot()
    strike(Head.objects.get().number, reason="The cat ran away before.", by="kim")
    assert before == snapshot() != started


def test_what_fails_among_statements_sent_together_fails_as_any_other():
    with pytest.raises(IntegrityError), transaction.atomic(), at_once():
        insert([Head(id=1, number=0, hash="0")])
