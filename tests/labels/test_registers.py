"""The register of units: one row for each bag that has a label."""

import pytest

from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import PrintLabel
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def test_a_donation_has_no_unit_before_its_label():
    Walk().weighed()
    assert not UnitRow.objects.exists()


def test_a_unit_says_what_its_label_says_and_what_was_weighed():
    walk = Walk()
    donation = walk.labelled()
    cells = UnitRow.objects.get(unit=walk.units(donation)["red-cells"])
    assert ("red-cells-additive", "dog", "DEA 1 negative", False, 1) == (
        cells.product,
        cells.species,
        cells.blood_type,
        cells.low_volume,
        cells.copy,
    )
    assert (402, 379, 279, 532) == (
        cells.content_g,
        cells.volume_ml,
        cells.red_cell_part_ml,
        cells.haematocrit_permille,
    )
    assert (donation, cells.donation.finished_at) == (cells.donation_id, cells.drawn_at)


def test_a_unit_is_labelled_only_after_the_scan_back():
    walk = Walk()
    donation = walk.labelled("cat")
    assert not UnitRow.objects.filter(labelled_at=None).exists()
    walk.do(PrintLabel(donation=donation, part="plasma", reason="Smeared."))
    assert [("plasma", 2)] == list(UnitRow.objects.filter(labelled_at=None).values_list("part", "copy"))


def test_a_struck_label_takes_its_unit_away():
    walk = Walk()
    donation = walk.weighed("cat")
    walk.do(PrintLabel(donation=donation, part="plasma"))
    strike(Entry.objects.latest("number").number, reason="The printer was empty.", by="kim")
    assert not UnitRow.objects.exists()
    walk.label(donation)
    assert 2 == UnitRow.objects.count()
