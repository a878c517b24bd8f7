"""The registers of rotors, programmes and spins say what stands in the book."""

import pytest

from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.spins.models import ProgrammeRow, RotorRow, SpinPlaceRow, SpinRow
from buffycoat.spins.rotors import WriteProgramme
from tests.walk import PROGRAMME, Walk

pytestmark = pytest.mark.django_db


def test_a_rotor_has_its_programmes_with_the_g_of_each():
    walk = Walk()
    row = RotorRow.objects.get(rotor=walk.a_rotor())
    assert ("4 × 750", "C1", 4, 250, 4_200, 2) == (
        row.name,
        row.centrifuge,
        row.places,
        row.radius_mm,
        row.most_rpm,
        row.pair_limit_g,
    )
    programmes = row.programmes.order_by("name").values_list("name", "species", "rpm", "duration_s")
    assert [("Hard cat", "cat", 4_200, 600), ("Hard dog", "dog", 4_200, 600)] == list(programmes)
    assert 4_930 == pytest.approx(row.programmes.first().rcf, abs=2)


def test_a_programme_written_anew_keeps_its_row():
    walk = Walk()
    rotor = walk.a_rotor()
    walk.do(WriteProgramme(rotor=rotor, name="Hard dog", species="dog", **{**PROGRAMME, "rpm": 3_900}))
    assert [3_900] == list(ProgrammeRow.objects.filter(name="Hard dog").values_list("rpm", flat=True))


def test_a_spin_has_every_place_of_its_rotor():
    walk = Walk()
    first, second = walk.drawn(), walk.drawn(gross_g=720)
    spin = walk.in_spin(first, second)
    row = SpinRow.objects.get(spin=spin)
    assert ("Hard dog", "dog", 4_200, 600, None) == (
        row.programme,
        row.species,
        row.rpm,
        row.duration_s,
        row.finished_at,
    )
    places = {each.donation_id: (each.mass_g, each.outcome) for each in row.places.all()}
    assert {first: (734, ""), second: (720, ""), None: (0, "")} == places
    assert [1, 2, 3, 4] == [each.place for each in row.places.order_by("place")]


def test_a_finished_spin_tells_how_each_bag_came_out_until_that_is_struck():
    walk = Walk()
    spin = walk.spin(walk.drawn())
    assert ["", "", "", "well separated"] == sorted(SpinPlaceRow.objects.values_list("outcome", flat=True))
    assert SpinRow.objects.get(spin=spin).finished_at is not None
    strike(Entry.objects.get(kind="spin-finished").number, reason="It still turns.", by="kim")
    assert {""} == set(SpinPlaceRow.objects.values_list("outcome", flat=True))
    assert None is SpinRow.objects.get(spin=spin).finished_at
