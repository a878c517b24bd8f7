"""The same changes from a terminal, with the same refusals."""

import pytest

from buffycoat.cli.main import main
from buffycoat.journal.models import Entry
from buffycoat.labels.changes import weighed_parts
from buffycoat.labels.models import UnitRow
from tests.walk import Walk


def do(walk, step, expect=0, **options):
    named = [part for name, value in options.items() for part in (f"--{name.replace('_', '-')}", str(value))]
    walk.wait(minutes=1)
    assert expect == main(["do", step, "--by", "robin", "--at", walk.at.isoformat(), *named])


@pytest.mark.django_db
def test_a_unit_is_thawed_labelled_and_divided_at_a_terminal(capsys):
    walk = Walk()
    donation = walk.on_the_shelf()
    unit, held_g = walk.units(donation)["plasma"], weighed_parts(walk.look, donation)["plasma"].content_g
    do(walk, "thaw-unit", unit=unit, bath_c=36, minutes=20, over_bag="true")
    do(walk, "print-label", donation=donation, part="plasma")
    do(walk, "scan-label-back", donation=donation, unit=unit)
    do(walk, "divide-unit", unit=unit, parts=2, empty_g=20, closed="true")
    do(walk, "weigh-part", donation=donation, part="plasma-1", gross_g=20 + held_g // 2)
    do(walk, "print-label", donation=donation, part="plasma-1")
    capsys.readouterr()
    part = UnitRow.objects.get(donation=donation, part="plasma-1")
    assert (unit, "fresh-frozen-plasma-thawed") == (part.parent, part.product)


@pytest.mark.django_db
def test_a_unit_is_taken_out_and_brought_back_at_a_terminal_by_its_surface(capsys):
    walk = Walk()
    unit, fridge = walk.units(walk.on_the_shelf())["red-cells"], walk.a_place("fridge")
    do(walk, "take-out", unit=unit)
    before = Entry.objects.count()
    do(walk, "put-away", unit=unit, place=fridge, looks_well="true", surface_c=15, expect=1)
    assert "Its surface is at 15 °C and goes back up to 10 °C: discard it." in capsys.readouterr().err
    assert before == Entry.objects.count()
    do(walk, "put-away", unit=unit, place=fridge, looks_well="true", surface_c=6)
    assert fridge == UnitRow.objects.get(pk=unit).shelf.place_id
