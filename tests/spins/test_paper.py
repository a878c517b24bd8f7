import pytest

from buffycoat.journal.book import Book
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import limits
from buffycoat.spins.models import RotorRow, SpinPlaceRow, SpinRow
from buffycoat.spins.paper import rotor_card, rotor_cards, spin_sheet
from tests.reading_paper import (
    CODE_128,
    DATA_MATRIX,
    OFFICE_DPI,
    PRINTER_DPI,
    codes_of,
    missing,
    pages_mm,
    run_over,
    text_of,
)
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def test_a_rotors_card_says_what_the_rotor_bears_and_reads():
    rotor = RotorRow.objects.get(rotor=Walk().a_rotor())
    made = rotor_card(rotor, limits(Book()))
    wanted = [
        "ROTOR",
        "4 × 750",
        "4 places",
        "centrifuge C1",
        "at most 4200 rpm",
        "opposite buckets within 2 g",
    ]
    assert [] == missing(made, *wanted, show_code(rotor.rotor))
    assert [(CODE_128, rotor.rotor), (DATA_MATRIX, rotor.rotor)] == codes_of(made, PRINTER_DPI)
    assert [] == run_over(made)
    assert [(210.0, 297.0)] == pages_mm(rotor_cards([rotor], limits(Book())))


def test_a_spins_sheet_shows_every_place_the_programme_the_cautions_and_where_to_sign():
    walk = Walk()
    bags = [walk.drawn("dog") for _ in range(3)]
    spin = SpinRow.objects.get(spin=walk.in_spin(*bags))
    made = spin_sheet(spin, walk.at, limits(Book()))
    wanted = [
        show_code(spin.spin),
        *map(show_code, bags),
        "Hard dog",
        "4200 rpm",
        "10 min",
        "4 °C",
        f"RCF {spin.rcf} × g at the bottom of the bucket",
        "734 g",
        "Follow the manual of this centrifuge and rotor",
        "Loaded: name, time",
        "Page 1 of 1",
    ]
    assert [] == missing(made, *wanted)
    codes = sorted([(CODE_128, spin.spin), (DATA_MATRIX, spin.spin), *((DATA_MATRIX, bag) for bag in bags)])
    assert codes == codes_of(made, OFFICE_DPI)
    assert [] == run_over(made)
    assert "✓" not in text_of(made)


def test_a_finished_spins_sheet_ticks_how_each_bag_came_out():
    walk = Walk()
    spin = walk.spin(walk.drawn("dog"))
    assert 1 == text_of(spin_sheet(SpinRow.objects.get(spin=spin), walk.at, limits(Book()))).count("✓")


def test_a_full_rotor_of_twelve_fits_one_page():
    walk = Walk()
    donation = walk.drawn("dog")
    spin = SpinRow.objects.get(spin=walk.in_spin(donation))
    spin.places.all().delete()
    places = [
        SpinPlaceRow(
            key=f"{spin.spin}/{number}",
            spin=spin,
            place=number,
            donation_id=donation,
            mass_g=1_999,
            filler_g=12,
            outcome="",
        )
        for number in range(1, 13)
    ]
    SpinPlaceRow.objects.bulk_create(places)
    made = spin_sheet(spin, walk.at, limits(Book()))
    assert [(210.0, 297.0)] == pages_mm(made)
    assert [] == run_over(made)
