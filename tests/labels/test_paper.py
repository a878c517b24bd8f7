"""The unit's label, read back as a printer and a scanner see it."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from buffycoat.donors.rules import WaiveChecks, Waived, waived_in_words
from buffycoat.donors.waived import WORDS
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.labels.paper import CAUTIONS, UnitLabel, unit_label, unit_label_for
from buffycoat.labels.products import PRODUCTS
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import limits
from tests.reading_paper import (
    CODE_128,
    DATA_MATRIX,
    OFFICE_DPI,
    PRINTER_DPI,
    bars,
    codes_of,
    missing,
    only_black,
    pages_mm,
    run_over,
    text_of,
)
from tests.walk import Walk

UNIT = make_code("U", "KTRA", 4217)
LABEL = UnitLabel(
    site_name="Invented animal blood bank",
    zone=ZoneInfo("Europe/Berlin"),
    unit=UNIT,
    part="red-cells",
    product="Red cells in additive",
    species="dog",
    blood_type="DEA 1 negative",
    low_volume=False,
    volume_ml=312,
    anticoagulant="CPDA-1",
    anticoagulant_ml=63,
    additive="Invented additive",
    additive_ml=100,
    donor=make_code("D", "KTRA", 17),
    donation=make_code("G", "KTRA", 4102),
    drawn_at=datetime(2026, 10, 24, 8, 12, tzinfo=UTC),
    expires_at=datetime(2026, 11, 28, 22, 59, tzinfo=UTC),
    storage="2 to 6 °C",
    copy=1,
    printed_at=datetime(2026, 10, 24, 15, 2, tzinfo=UTC),
)
LOW = replace(
    LABEL,
    product="Red cells",
    additive="",
    additive_ml=0,
    low_volume=True,
    blood_type="DEA 1 positive",
    copy=2,
)
CAT_PLASMA = replace(
    LABEL,
    part="plasma",
    product="Fresh frozen plasma",
    species="cat",
    blood_type="AB",
    volume_ml=22,
    additive="",
    additive_ml=0,
    storage="−18 °C or colder",
)
LONGEST = replace(
    LABEL,
    site_name="The invented animal blood bank of a town with a very long name, by the river and near the old mill",
    blood_type="DEA 1 positive",
    low_volume=True,
    volume_ml=1_234,
    additive="W" * 40,
    additive_ml=150,
    zone=ZoneInfo("America/St_Johns"),
    storage="−18 °C or colder",
    copy=123,
)
EMERGENCY = replace(LABEL, waived=waived_in_words(["age", "panel"]))
ALL_LEFT_OUT = replace(LONGEST, waived=waived_in_words(WORDS))
LABELS = [LABEL, LOW, CAT_PLASMA, LONGEST, EMERGENCY, ALL_LEFT_OUT]
NAMES = [
    "red cells in additive",
    "low volume, second copy",
    "plasma of a cat",
    "longest texts",
    "emergency donor",
    "everything left out",
]
each_label = pytest.mark.parametrize("label", LABELS, ids=NAMES)


@each_label
@pytest.mark.parametrize("dpi", [PRINTER_DPI, OFFICE_DPI])
def test_both_codes_read_as_the_unit_number(label, dpi):
    assert [(CODE_128, UNIT), (DATA_MATRIX, UNIT)] == codes_of(unit_label(label), dpi)


@each_label
def test_it_is_one_page_of_100_by_100_mm_in_black(label):
    pdf = unit_label(label)
    assert [(100.0, 100.0)] == pages_mm(pdf)
    assert only_black(pdf)


@each_label
def test_nothing_leaves_the_label_and_nothing_is_printed_over_anything(label):
    assert [] == run_over(unit_label(label))


@each_label
def test_every_label_says_what_every_label_must(label):
    wanted = [
        label.site_name,
        label.product,
        label.species.upper(),
        label.blood_type,
        f"63 mL {label.anticoagulant}",
        "UKTRA-0004217-17",
        "DKTRA-0000017-71",
        "GKTRA-0004102-21",
        f"Keep at {label.storage}",
        *CAUTIONS[:1],
    ]
    assert [] == missing(unit_label(label), *wanted)
    assert "…" not in text_of(unit_label(label))


def test_every_caution_is_on_the_label_and_none_claims_a_cure():
    assert [] == missing(unit_label(LABEL), *(word for caution in CAUTIONS for word in caution.split()))
    said = " ".join(CAUTIONS).lower()
    assert [] == [
        word
        for word in ("identity", "bag", "filter", "infection", "animals", "veterinarian")
        if word not in said
    ]
    assert [] == [word for word in ("treat", "cure", "indicated", "therap") if word in said]


def test_red_cells_in_additive_show_the_volume_with_it_and_without_it():
    assert [] == missing(
        unit_label(LABEL),
        "Volume, with additive 312 mL 212 mL without additive",
        "Additive 100 mL Invented additive",
    )


def test_red_cells_without_additive_say_so():
    assert [] == missing(unit_label(LOW), "312 mL no additive in it", "Additive none")


def test_times_carry_the_zone_that_held_on_their_own_day():
    wanted = ["Drawn 24 Oct 2026, 10:12 CEST (UTC+2)", "Expires 28 Nov 2026 23:59 CET (UTC+1)"]
    assert [] == missing(unit_label(LABEL), *wanted)


def test_only_a_low_volume_is_marked_so():
    assert [] == missing(unit_label(LOW), "LOW VOLUME")
    assert ["LOW VOLUME"] == missing(unit_label(LABEL), "LOW VOLUME")


def test_only_an_emergency_donor_is_marked_so_with_every_check_that_was_left_out():
    assert [] == missing(
        unit_label(EMERGENCY), "EMERGENCY DONOR", "Left out before the draw: infectious panel, age"
    )
    assert [] == missing(unit_label(ALL_LEFT_OUT), "LOW VOLUME", "EMERGENCY DONOR", *WORDS.values())
    assert ["EMERGENCY", "Left out"] == missing(unit_label(LABEL), "EMERGENCY", "Left out")


@pytest.mark.django_db
def test_every_unit_of_an_emergency_donor_says_on_its_label_what_was_left_out():
    walk = Walk()
    old = walk.a_donor(born_on=walk.at.date() - timedelta(days=4_000))
    waive = {"decided_by": "Dr Invented", "reason": "Bleeding", "checks": (Waived(check="age"),)}
    walk.do(WaiveChecks(donor=old, **waive))
    donation, other = walk.labelled(donor=old), walk.labelled("cat")
    labels = {
        row.unit: unit_label_for(row, walk.at, limits(Book()))
        for row in UnitRow.objects.select_related("donation__lot")
    }
    for unit in walk.units(donation).values():
        assert [] == missing(unit_label(labels[unit]), "EMERGENCY DONOR", "Left out before the draw: age")
    assert [""] * 2 == [labels[unit].waived for unit in walk.units(other).values()]


def test_only_a_further_copy_is_marked_so():
    assert [] == missing(unit_label(LOW), "COPY 2: destroy the earlier label")
    assert ["COPY"] == missing(unit_label(LABEL), "COPY")


def test_what_cannot_fit_ends_in_an_ellipsis():
    pdf = unit_label(replace(LABEL, site_name="Invented bank " * 60))
    assert "…" in text_of(pdf)
    assert [] == run_over(pdf)


def test_the_same_label_twice_is_the_same_bytes():
    assert unit_label(LABEL) == unit_label(LABEL)


def test_a_bar_is_a_whole_number_of_printer_dots_and_as_high_and_as_free_as_it_must_be():
    fine = 5
    widths, quiet, height = bars(unit_label(LABEL), fine * PRINTER_DPI)
    module = 3 * fine
    assert 156 * module == pytest.approx(sum(widths), abs=fine)
    assert [] == [width for width in widths if abs(width - module * round(width / module)) > 2]
    assert [] == [free for free in quiet if free < 10 * module]
    assert 10 <= height / (fine * PRINTER_DPI) * 25.4


@pytest.mark.parametrize("product", PRODUCTS.values(), ids=PRODUCTS)
def test_every_product_name_fits_whole(product):
    pdf = unit_label(replace(LABEL, part=product.part, product=product.name))
    assert [] == missing(pdf, product.name)
    assert [] == run_over(pdf)


@pytest.mark.django_db
def test_the_label_of_each_unit_of_a_dog_comes_from_the_register():
    walk = Walk()
    units = walk.units(walk.labelled("dog"))
    site = limits(Book())
    made = {
        part: unit_label_for(UnitRow.objects.get(unit=unit), walk.at, site) for part, unit in units.items()
    }
    assert {"red-cells", "plasma"} == set(made)
    cells, plasma = made["red-cells"], made["plasma"]
    assert ("Red cells in additive", 100, "Invented additive", "2 to 6 °C") == (
        cells.product,
        cells.additive_ml,
        cells.additive,
        cells.storage,
    )
    assert ("Fresh frozen plasma", 0, "", "−18 °C or colder") == (
        plasma.product,
        plasma.additive_ml,
        plasma.additive,
        plasma.storage,
    )
    for part, label in made.items():
        assert [(CODE_128, units[part]), (DATA_MATRIX, units[part])] == codes_of(
            unit_label(label), PRINTER_DPI
        )


@pytest.mark.django_db
def test_red_cells_of_a_set_without_additive_claim_none():
    walk = Walk()
    unit = walk.units(walk.labelled("cat"))["red-cells"]
    label = unit_label_for(UnitRow.objects.get(unit=unit), walk.at, limits(Book()))
    assert ("Red cells", "", 0) == (label.product, label.additive, label.additive_ml)
    assert label.volume_ml > 0
