"""A change written by mistake is struck: the unit is what it was before, and what stands on it is struck first."""

import pytest

from buffycoat.changes.rules import DivideUnit, OpenUnit, ThawUnit, WeighPart
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.journal.strike import strike
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.site.rules import limits
from buffycoat.storage.models import ShelfRow
from buffycoat.storage.rules import PutAway, TakeOut
from buffycoat.storage.stock import stocked
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def shelved():
    walk = Walk()
    donation = walk.on_the_shelf()
    return walk, donation, walk.units(donation)


def last(kind):
    return Entry.objects.filter(kind=kind).latest("number").number


def struck(kind):
    strike(last(kind), reason="The other unit.", by="kim")


def status(walk, unit):
    row = UnitRow.objects.get(pk=unit)
    return stocked(row, walk.at, limits(walk.look)).status


def test_a_struck_thaw_puts_the_plasma_back_into_its_freezer_under_its_old_label():
    walk, _, units = shelved()
    walk.do(ThawUnit(unit=units["plasma"], bath_c=36, minutes=20, over_bag=True))
    assert "stop" == status(walk, units["plasma"])
    struck("unit-thawed")
    row = UnitRow.objects.get(pk=units["plasma"])
    assert ("ready", "fresh-frozen-plasma", True) == (
        status(walk, units["plasma"]),
        row.product,
        row.label_true,
    )
    assert walk.a_place("freezer") == row.shelf.place_id


def test_a_change_is_not_struck_from_under_its_label():
    walk, donation, units = shelved()
    walk.do(OpenUnit(unit=units["red-cells"], reason="Spiked."))
    walk.do(PrintLabel(donation=donation, part="red-cells"))
    with pytest.raises(Refused, match="label printed"):
        struck("unit-opened")
    struck("label-printed")
    struck("unit-opened")
    assert "ready" == status(walk, units["red-cells"])


def test_a_division_is_not_struck_from_under_its_parts():
    walk, donation, units = shelved()
    walk.do(DivideUnit(unit=units["red-cells"], parts=2, empty_g=20, closed=True))
    assert "gone" == status(walk, units["red-cells"])
    walk.do(WeighPart(donation=donation, part="red-cells-1", gross_g=170))
    with pytest.raises(Refused, match="part weighed"):
        struck("unit-divided")
    walk.do(PrintLabel(donation=donation, part="red-cells-1"))
    with pytest.raises(Refused, match="label printed"):
        struck("part-weighed")
    for kind in ("label-printed", "part-weighed", "unit-divided"):
        struck(kind)
    assert "ready" == status(walk, units["red-cells"])
    assert {"red-cells", "plasma"} == {*UnitRow.objects.values_list("part", flat=True)}


def test_a_weighing_of_one_part_is_struck_without_the_other():
    walk, donation, units = shelved()
    walk.do(DivideUnit(unit=units["red-cells"], parts=2, empty_g=20, closed=True))
    walk.do(WeighPart(donation=donation, part="red-cells-1", gross_g=170))
    walk.do(WeighPart(donation=donation, part="red-cells-2", gross_g=170, explained="Spilled."))
    strike(Entry.objects.filter(kind="part-weighed").first().number, reason="Misread.", by="kim")
    walk.do(WeighPart(donation=donation, part="red-cells-1", gross_g=171, explained="Spilled."))


def test_a_struck_take_out_takes_the_time_with_it_and_a_return_stands_on_its_take_out():
    walk, _, units = shelved()
    unit = units["red-cells"]
    walk.do(TakeOut(unit=unit))
    walk.wait(minutes=9)
    walk.do(PutAway(unit=unit, place=walk.a_place("fridge"), looks_well=True))
    assert 600 == ShelfRow.objects.get(unit=unit).out_before_s
    with pytest.raises(Refused, match="unit put away"):
        struck("unit-taken-out")
    struck("unit-put-away")
    struck("unit-taken-out")
    row = ShelfRow.objects.get(unit=unit)
    assert (None, 0, walk.a_place("fridge")) == (row.out_since, row.out_before_s, row.place_id)


def test_registers_of_changed_units_are_the_same_when_they_are_made_again():
    walk, donation, units = shelved()
    walk.do(ThawUnit(unit=units["plasma"], bath_c=36, minutes=20, over_bag=True))
    walk.do(PrintLabel(donation=donation, part="plasma"))
    walk.do(ScanLabelBack(donation=donation, unit=units["plasma"]))
    walk.do(DivideUnit(unit=units["plasma"], parts=2, empty_g=20, closed=False))
    walk.do(WeighPart(donation=donation, part="plasma-1", gross_g=120))
    walk.do(PrintLabel(donation=donation, part="plasma-1"))
    walk.do(TakeOut(unit=units["red-cells"]))
    assert rebuild(check=True) == Entry.objects.values("stream").distinct().count()
