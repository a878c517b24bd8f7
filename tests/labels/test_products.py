"""What a part is called, how long it keeps and how it is kept; published figures beside the rule."""

from datetime import UTC, datetime, timedelta

import pytest

from buffycoat.labels.products import PRODUCTS, dating_key, expires_at, product_of, storage_range
from buffycoat.labels.rules import Labelling
from buffycoat.separation.rules import KeepWhole, LoseAdditive, Separation, freezer_due_at
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import SetLimit, limits
from tests.walk import pure_walk


def set_limits(walk, **set_here):
    for key, value in set_here.items():
        walk.do(SetLimit(key=key, value=value, reason="To compare with a published figure"))


def expiry(walk, donation, product):
    return expires_at(PRODUCTS[product], walk.look(Separation, donation), limits(walk.look))


def drawn_on(day, walk=None, **but):
    """A bench on that day, and the donation it drew; the draw began at nine, UTC."""
    walk = walk or pure_walk()
    walk.at = datetime.fromisoformat(f"{day}T09:00+00:00")
    return walk, walk.drawn(**but)


def test_red_cells_are_in_additive_only_if_it_ran_in():
    walk = pure_walk()
    with_it, without = walk.expressed(), walk.expressed()
    walk.finish_cells(with_it)
    walk.do(LoseAdditive(donation=without, reason="Leaked."))
    site = limits(walk.look)
    names = [
        product_of(walk.look(Separation, each), "red-cells", walk.at, site).key for each in (with_it, without)
    ]
    assert ["red-cells-additive", "red-cells"] == names


def test_plasma_is_fresh_frozen_to_the_second_of_the_eighth_hour_after_the_draw():
    """8 h: 21 CFR 640.34."""
    walk = pure_walk()
    state = walk.look(Separation, walk.expressed())
    site = limits(walk.look)
    eight_hours = state.draw.finished_at + timedelta(hours=8)
    names = [product_of(state, "plasma", eight_hours + timedelta(seconds=s), site).key for s in (-1, 0, 1)]
    assert ["fresh-frozen-plasma", "fresh-frozen-plasma", "frozen-plasma"] == names


@pytest.mark.parametrize(
    ("local_end", "due"),
    [
        ("2026-03-28T20:00+01:00", "2026-03-29T05:00+02:00"),
        ("2026-10-24T20:00+02:00", "2026-10-25T03:00+01:00"),
    ],
)
def test_the_clock_to_the_freezer_counts_hours_that_passed_also_over_a_clock_change(local_end, due):
    """Berlin, 8 h over the nights of 2026 (checks 15.1 and 15.2, from the zone's own table)."""
    walk = pure_walk()
    set_limits(walk, time_zone="Europe/Berlin")
    walk.at = datetime.fromisoformat(local_end) - timedelta(minutes=12)
    donor, lot = walk.a_donor(), walk.a_lot()
    walk.at = datetime.fromisoformat(local_end).astimezone(UTC) - timedelta(minutes=8)
    draw = walk.look(Separation, walk.drawn(donor=donor, lot=lot)).draw
    assert datetime.fromisoformat(due) == freezer_due_at(draw, limits(walk.look))


def test_whole_blood_stays_whole_blood():
    walk = pure_walk()
    state = walk.look(Separation, walk.kept_whole())
    assert "whole-blood" == product_of(state, "whole-blood", walk.at, limits(walk.look)).key


@pytest.mark.parametrize("species", ["dog", "cat"])
@pytest.mark.parametrize(
    ("product", "anticoagulant", "key"),
    [
        ("red-cells-additive", "CPD", "{}_red_cells_additive_days"),
        ("red-cells", "CPDA-1", "{}_red_cells_cpda1_days"),
        ("red-cells", "CPD", "{}_red_cells_cpd_days"),
        ("red-cells", "CP2D", "{}_red_cells_cpd_days"),
        ("red-cells", "ACD", "{}_red_cells_cpd_days"),
        ("whole-blood", "CPDA-1", "{}_whole_blood_cpda1_days"),
        ("whole-blood", "ACD", "{}_whole_blood_cpd_days"),
        ("fresh-frozen-plasma", "CPD", "fresh_frozen_plasma_years"),
        ("frozen-plasma", "CPDA-1", "frozen_plasma_years"),
        ("cryoprecipitate", "CPD", "cryoprecipitate_years"),
        ("cryo-poor-plasma", "CPD", "cryo_poor_plasma_years"),
        ("fresh-frozen-plasma-thawed", "CPD", "thawed_plasma_h"),
        ("frozen-plasma-thawed", "CPD", "thawed_plasma_h"),
        ("cryo-poor-plasma-thawed", "CPD", "thawed_plasma_h"),
    ],
)
def test_every_product_has_a_date_that_the_site_sets(species, product, anticoagulant, key):
    found = dating_key(PRODUCTS[product], species, anticoagulant)
    assert key.format(species) == found
    assert found in LIMITS


@pytest.mark.parametrize(
    ("days", "last_day"), [(21, "2024-03-02"), (35, "2024-03-16"), (42, "2024-03-23")], ids=str
)
def test_drawn_on_10_february_2024_day_nought_a_leap_year_is_counted(days, last_day):
    """+21 = 2 March, +35 = 16 March, +42 = 23 March: 21 CFR 610.53 day counts (handbook 13, row 21)."""
    walk, donation = drawn_on("2024-02-10")
    set_limits(walk, dog_red_cells_additive_days=days)
    assert datetime.fromisoformat(f"{last_day}T23:59+00:00") == expiry(walk, donation, "red-cells-additive")


@pytest.mark.parametrize(
    ("drawn", "days", "last_day"),
    [
        ("2024-01-31", 35, "2024-03-06"),
        ("2024-01-31", 42, "2024-03-13"),
        ("2024-01-29", 21, "2024-02-19"),
        ("2026-02-28", 35, "2026-04-04"),
        ("2024-12-01", 35, "2025-01-05"),
        ("2023-12-31", 5, "2024-01-05"),
    ],
)
def test_days_are_counted_over_month_leap_day_and_year(drawn, days, last_day):
    """Computed with the calendar (check 9.4)."""
    walk, donation = drawn_on(drawn)
    set_limits(walk, dog_red_cells_additive_days=days)
    assert datetime.fromisoformat(f"{last_day}T23:59+00:00") == expiry(walk, donation, "red-cells-additive")


@pytest.mark.parametrize(
    ("product", "last_day"), [("fresh-frozen-plasma", "2025-02-28"), ("frozen-plasma", "2029-02-28")]
)
def test_years_are_calendar_years_also_from_29_february(product, last_day):
    """29 Feb 2024 + 1 y = 28 Feb 2025, + 5 y = 28 Feb 2029 (check 9.8); 1 y and 5 y: 21 CFR 610.53."""
    walk, donation = drawn_on("2024-02-29")
    assert datetime.fromisoformat(f"{last_day}T23:59+00:00") == expiry(walk, donation, product)


def test_a_unit_whose_additive_was_lost_falls_from_42_to_21_days():
    """CPD red cells whose additive bag was discarded: Gnanaraj 2023, a published rule (handbook 13, row 24)."""
    walk, donation = drawn_on("2024-02-10")
    set_limits(walk, dog_red_cells_additive_days=42)
    assert "2024-03-23" == expiry(walk, donation, "red-cells-additive").date().isoformat()
    walk.spin(donation)
    walk.press(donation)
    walk.do(LoseAdditive(donation=donation, reason="The additive bag was discarded."))
    walk.finish_cells(donation)
    walk.weigh(donation)
    walk.label(donation)
    label = walk.look(Labelling, donation).printed["red-cells"]
    assert ("red-cells", "2024-03-02") == (label.product, label.expires_at.date().isoformat())


def test_the_last_day_ends_by_the_clock_of_the_site():
    walk = pure_walk()
    set_limits(walk, time_zone="Asia/Tokyo")
    walk.at = datetime(2025, 3, 10, 16, 0, tzinfo=UTC)  # the eleventh in Tokyo
    assert datetime(2025, 4, 15, 14, 59, tzinfo=UTC) == expiry(walk, walk.drawn(), "red-cells-additive")


def test_days_count_from_the_end_of_the_draw():
    walk = pure_walk()
    walk.at = datetime(2025, 3, 10, 23, 50, tzinfo=UTC)
    donor, lot = walk.a_donor(), walk.a_lot()
    assert (2025, 3, 10) == (walk.at.year, walk.at.month, walk.at.day)
    donation = walk.drawn(donor=donor, lot=lot, minutes=10)
    assert "2025-04-15" == expiry(walk, donation, "red-cells-additive").date().isoformat()


def test_the_label_says_how_the_product_is_kept():
    walk = pure_walk()
    site = limits(walk.look)
    assert "2 to 6 °C" == storage_range(PRODUCTS["red-cells"], site)
    assert "−18 °C or colder" == storage_range(PRODUCTS["fresh-frozen-plasma"], site)
    assert {"fridge": 6, "freezer": 4} == {
        kept: sum(1 for each in PRODUCTS.values() if each.kept_in == kept) for kept in ("fridge", "freezer")
    }


def test_whole_blood_has_a_date_of_its_own_by_anticoagulant():
    walk = pure_walk()
    days = []
    for anticoagulant in ("CPDA-1", "CPD"):
        donation = walk.drawn(lot=walk.a_lot(anticoagulant=anticoagulant))
        walk.do(KeepWhole(donation=donation))
        days.append((expiry(walk, donation, "whole-blood").date() - walk.at.date()).days)
    assert [28, 21] == days


def test_a_lost_additive_keeps_the_shorter_date_even_if_the_site_set_the_additive_shorter_still():
    walk, donation = drawn_on("2025-03-10")
    set_limits(walk, dog_red_cells_additive_days=14)
    walk.spin(donation)
    walk.press(donation)
    walk.do(LoseAdditive(donation=donation, reason="Leaked."))
    assert datetime.fromisoformat("2025-03-24T23:59+00:00") == expiry(walk, donation, "red-cells")
