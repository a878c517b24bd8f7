"""The register of separations says what stands in the book."""

import pytest

from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.separation.models import SeparationRow
from buffycoat.separation.rules import LoseAdditive
from tests.walk import Walk

pytestmark = pytest.mark.django_db
COLUMNS = (
    "kept_whole",
    "plasma_g",
    "planned_g",
    "additive_ml",
    "additive_lost",
    "clots_looked_for",
    "segments",
)


def row(donation):
    return SeparationRow.objects.values_list(*COLUMNS).get(donation_id=donation)


def test_a_draw_that_runs_has_nothing_to_separate():
    Walk().draw_started()
    assert not SeparationRow.objects.exists()


def test_each_step_fills_its_column():
    walk = Walk()
    donation = walk.drawn()
    assert (False, None, None, 0, "", False, None) == row(donation)
    walk.spin(donation)
    assert "well separated" == SeparationRow.objects.get(donation_id=donation).spin_outcome
    walk.press(donation, 231)
    assert (False, 231, 238, 0, "", False, None) == row(donation)
    walk.finish_cells(donation)
    assert (False, 231, 238, 100, "", True, 4) == row(donation)


def test_a_lost_additive_says_why():
    walk = Walk()
    donation = walk.expressed()
    walk.do(LoseAdditive(donation=donation, reason="Leaked."))
    assert (0, "Leaked.") == row(donation)[3:5]


def test_whole_blood_is_kept_whole():
    assert (True, None, None, 0, "", True, 4) == row(Walk().kept_whole())


def test_a_struck_step_leaves_its_column():
    walk = Walk()
    donation = walk.expressed("cat")
    strike(Entry.objects.latest("number").number, reason="Another bag.", by="kim")
    assert (False, None, None, 0, "", False, None) == row(donation)
