"""A unit out of its fridge: its time is summed over its life, and the site says what decides whether it goes back."""

from datetime import timedelta

import pytest

from buffycoat.changes.rules import DivideUnit, IrradiateUnit, ThawUnit
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import SetLimit, limits
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import DiscardUnit, PutAway, Shelf, TakeOut
from tests.walk import pure_walk, unknown


def shelved(**set_here):
    walk = pure_walk()
    donation = walk.on_the_shelf()
    for key, value in set_here.items():
        walk.do(SetLimit(key=key, value=value, reason="invented"))
    return walk, donation, walk.units(donation)["red-cells"]


def back(walk, unit, **but):
    return PutAway(unit=unit, place=walk.a_place("fridge"), looks_well=True, **but)


def out_for(walk, unit, **duration):
    """Out and back; the return is refused or not at that very moment."""
    taken_at = walk.at
    walk.do(TakeOut(unit=unit), taken_at)
    walk.at = taken_at + timedelta(**duration)


def test_a_unit_goes_back_within_the_half_hour_and_not_a_second_later():
    """30 min: AABB, as reported from Australia."""
    walk, _, unit = shelved()
    out_for(walk, unit, minutes=30)
    assert [] == walk.why_not(back(walk, unit))
    too_late = "It was out of the fridge for 31 min, and 30 min are allowed at once: discard it."
    assert [too_late] == walk.why_not(back(walk, unit), walk.at + timedelta(seconds=1))


def test_the_times_out_are_summed_over_its_life():
    walk, donation, unit = shelved()
    for _ in range(3):
        out_for(walk, unit, minutes=29)
        walk.do(back(walk, unit), walk.at)
    assert 3 * 29 * 60 == walk.look(Shelf, donation).out_of("red-cells").before_s
    out_for(walk, unit, minutes=3)
    assert [] == walk.why_not(back(walk, unit))
    in_all = (
        "With 87 min before, it was out of the fridge for 91 min in all, "
        "and 90 min are allowed over its life: discard it."
    )
    assert [in_all] == walk.why_not(back(walk, unit), walk.at + timedelta(seconds=1))


def test_the_last_moment_to_come_back_is_the_nearer_of_the_two_limits():
    walk, donation, unit = shelved(out_total_min=40)
    taken_at = walk.at
    out_for(walk, unit, minutes=25)
    outings = walk.look(Shelf, donation).out_of("red-cells")
    assert taken_at + timedelta(minutes=30) == outings.back_by(limits(walk.look))
    walk.do(back(walk, unit), walk.at)
    taken_at = walk.at
    walk.do(TakeOut(unit=unit), taken_at)
    outings = walk.look(Shelf, donation).out_of("red-cells")
    back_by = taken_at + timedelta(minutes=15)
    assert back_by == outings.back_by(limits(walk.look))
    assert [] == walk.why_not(back(walk, unit), back_by)
    assert 1 == len(walk.why_not(back(walk, unit), back_by + timedelta(seconds=1)))


def test_where_the_surface_decides_it_is_measured_and_time_refuses_nothing():
    """10 °C: Dutch table, as in the handbook's."""
    walk, _, unit = shelved(return_by="surface temperature")
    out_for(walk, unit, hours=2)
    measure = "Measure its surface: here the temperature decides whether it goes back."
    assert [measure] == walk.why_not(back(walk, unit))
    assert [] == walk.why_not(back(walk, unit, surface_c=10))
    warm = "Its surface is at 11 °C and goes back up to 10 °C: discard it."
    assert [warm] == walk.why_not(back(walk, unit, surface_c=11))


def test_a_surface_that_was_measured_counts_also_where_the_time_decides_and_frozen_cells_do_not_go_back():
    """1 to 10 °C: UK animal bank."""
    walk, _, unit = shelved()
    out_for(walk, unit, minutes=5)
    assert [[], [], []] == [walk.why_not(back(walk, unit, surface_c=each)) for each in (None, 1, 10)]
    warm = "Its surface is at 11 °C and goes back up to 10 °C: discard it."
    assert [warm] == walk.why_not(back(walk, unit, surface_c=11))
    burst = "Its surface is at −3 °C: red cells that froze have burst, discard it."
    assert [burst] == walk.why_not(back(walk, unit, surface_c=-3))


def test_a_move_from_fridge_to_fridge_asks_for_no_temperature():
    walk, _, unit = shelved(return_by="surface temperature")
    other = walk.do(OpenPlace(name="Fridge 2", appliance="fridge")).the(PlaceOpened).place
    assert [] == walk.why_not(PutAway(unit=unit, place=other, looks_well=True))


def test_a_unit_is_taken_out_once_and_stands_in_no_place_then():
    walk, donation, unit = shelved()
    assert [] == walk.why_not(TakeOut(unit=unit))
    walk.do(TakeOut(unit=unit))
    assert "red-cells" not in walk.look(Shelf, donation).put_away
    assert [f"{show_code(unit)} is out already: put it away first."] == walk.why_not(TakeOut(unit=unit))
    assert [f"No unit has the number {show_code(unknown('U'))}: scan its label again."] == walk.why_not(
        TakeOut(unit=unknown("U"))
    )


def test_what_stands_in_no_place_or_is_gone_is_not_taken_out():
    walk = pure_walk()
    unit = walk.units(walk.labelled())["red-cells"]
    assert [f"{show_code(unit)} stands in no place yet: put it away first."] == walk.why_not(
        TakeOut(unit=unit)
    )
    walk.do(DiscardUnit(unit=unit, reason="Broken."))
    assert [f"{show_code(unit)} was discarded: Broken."] == walk.why_not(TakeOut(unit=unit))


def test_frozen_plasma_is_not_taken_out_to_lie_about():
    walk, donation, _ = shelved()
    unit = walk.units(donation)["plasma"]
    refusal = "Fresh frozen plasma leaves the freezer to be thawed, or to be moved into another one."
    assert [refusal] == walk.why_not(TakeOut(unit=unit))


def test_a_change_takes_a_unit_out_of_its_place_and_its_time_runs():
    walk, donation, unit = shelved()
    out_for(walk, unit, minutes=10)
    walk.do(back(walk, unit), walk.at)
    irradiated_at = walk.at
    walk.do(IrradiateUnit(unit=unit, dose_gy=25))
    outings = walk.look(Shelf, donation).out_of("red-cells")
    assert (irradiated_at, 600) == (outings.since, outings.before_s)


def test_parts_take_over_the_time_out_of_what_they_were_divided_from():
    walk, donation, unit = shelved()
    out_for(walk, unit, minutes=10)
    walk.do(back(walk, unit), walk.at)
    taken_at = walk.at
    out_for(walk, unit, minutes=5)
    walk.do(DivideUnit(unit=unit, parts=2, empty_g=20, closed=True))
    parts = [walk.look(Shelf, donation).out_of(f"red-cells-{number}") for number in (1, 2)]
    assert [(taken_at, 600)] * 2 == [(each.since, each.before_s) for each in parts]


def test_the_time_of_thawed_plasma_runs_from_the_end_of_the_thaw():
    walk, donation, _ = shelved()
    unit, thawed_at = walk.units(donation)["plasma"], walk.at
    walk.do(ThawUnit(unit=unit, bath_c=36, minutes=20, over_bag=True))
    walk.do(PrintLabel(donation=donation, part="plasma"))
    walk.do(ScanLabelBack(donation=donation, unit=unit))
    assert [] == walk.why_not(back(walk, unit), thawed_at + timedelta(minutes=30))
    late = thawed_at + timedelta(minutes=30, seconds=1)
    too_late = "It was out of the fridge for 31 min, and 30 min are allowed at once: discard it."
    assert [too_late] == walk.why_not(back(walk, unit), late)


def test_the_time_before_a_unit_was_first_put_away_is_not_counted():
    walk = pure_walk()
    donation = walk.labelled()
    walk.wait(hours=5)
    walk.put_away(donation)
    assert {0} == {walk.look(Shelf, donation).out_of(part).before_s for part in ("red-cells", "plasma")}


@pytest.mark.parametrize("minutes", [0, 29, 30])
def test_out_in_time_is_not_warm(minutes):
    walk, donation, unit = shelved()
    out_for(walk, unit, minutes=minutes)
    outings, site = walk.look(Shelf, donation).out_of("red-cells"), limits(walk.look)
    assert not outings.warm(walk.at, site)
    assert outings.warm(walk.at + timedelta(minutes=30, seconds=1 if minutes == 0 else 60), site)


def test_where_the_surface_decides_no_clock_says_that_it_is_warm():
    walk, donation, unit = shelved(return_by="surface temperature")
    out_for(walk, unit, hours=9)
    assert not walk.look(Shelf, donation).out_of("red-cells").warm(walk.at, limits(walk.look))
