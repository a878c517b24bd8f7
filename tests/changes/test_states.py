"""A unit that is thawed, opened, irradiated or frozen again: what it is then, and until when."""

from datetime import datetime, timedelta

import pytest

from buffycoat.changes.rules import FreezeUnit, IrradiateUnit, OpenUnit, ThawUnit
from buffycoat.labels.rules import Labelling, PrintLabel, ScanLabelBack, due_now
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import SetLimit
from buffycoat.storage.rules import DiscardUnit, PutAway
from tests.walk import pure_walk, unknown

THAW = {"bath_c": 36, "minutes": 20, "over_bag": True}


def shelved(species="dog", **but):
    walk = pure_walk()
    donation = walk.on_the_shelf(species, **but)
    return walk, donation, walk.units(donation)


def label_again(walk, donation, part):
    unit = walk.units(donation)[part]
    walk.do(PrintLabel(donation=donation, part=part))
    walk.do(ScanLabelBack(donation=donation, unit=unit))


def thawed(**limits):
    walk, donation, units = shelved()
    for key, value in limits.items():
        walk.do(SetLimit(key=key, value=value, reason="invented"))
    walk.do(ThawUnit(unit=units["plasma"], **THAW))
    return walk, donation, units["plasma"]


def test_thawed_plasma_keeps_for_a_day():
    """24 h: UK guidelines for blood services, as in the handbook's table."""
    walk, donation, _ = thawed()
    done_at = walk.at - timedelta(minutes=1)
    now = due_now(walk.look, donation, "plasma", walk.at)
    assert "fresh-frozen-plasma-thawed" == now.product
    assert done_at + timedelta(hours=24) == now.expires_at
    assert "24 hours after it was thawed" == now.because


def test_a_thaw_never_lengthens_the_date_of_plasma():
    walk, donation, units = shelved()
    last = walk.look(Labelling, donation).printed["plasma"].expires_at
    walk.at = last - timedelta(hours=2)
    walk.do(ThawUnit(unit=units["plasma"], **THAW))
    now = due_now(walk.look, donation, "plasma", walk.at)
    assert (last, "its own end") == (now.expires_at, now.because)


@pytest.mark.parametrize(
    ("but", "reason"),
    [
        ({"bath_c": 32}, "A bath of 32 °C: this site thaws at 33 to 37 °C."),
        ({"bath_c": 38}, "A bath of 38 °C: this site thaws at 33 to 37 °C."),
        (
            {"minutes": 31},
            "31 min in the bath: this site allows 1 to 30 min. What lay in warm water for longer is discarded.",
        ),
        (
            {"over_bag": False},
            "Seal it into an over-bag first: bath water carries germs, and they get in at the ports.",
        ),
    ],
)
def test_how_plasma_is_thawed_is_for_the_site_to_set(but, reason):
    """33 to 37 °C: UK; sealed in a bag: animal banks, as in the handbook's table."""
    walk, _, units = shelved()
    assert [] == walk.why_not(ThawUnit(unit=units["plasma"], **THAW))
    assert [reason] == walk.why_not(ThawUnit(unit=units["plasma"], **{**THAW, **but}))


def test_every_reason_against_a_thaw_is_said_at_once():
    walk, _, units = shelved()
    wrong = ThawUnit(unit=units["red-cells"], bath_c=50, minutes=0, over_bag=False)
    assert 4 == len(walk.why_not(wrong))
    assert "Red cells in additive is not frozen here: there is nothing to thaw." == walk.why_not(wrong)[0]


def test_what_was_never_frozen_is_not_thawed():
    walk = pure_walk()
    unit = walk.units(walk.labelled())["plasma"]
    refusal = "Fresh frozen plasma is not frozen here: there is nothing to thaw."
    assert [refusal] == walk.why_not(ThawUnit(unit=unit, **THAW))


def test_a_thawed_unit_is_not_put_away_before_its_new_label_was_scanned_back():
    walk, donation, unit = thawed()
    shelve = PutAway(unit=unit, place=walk.a_place("fridge"), looks_well=True)
    first = "It was changed since its label was printed: print its label again first."
    assert [first] == walk.why_not(shelve)
    label_again(walk, donation, "plasma")
    assert [] == walk.why_not(shelve)
    into_the_freezer = PutAway(unit=unit, place=walk.a_place("freezer"), looks_well=True)
    refusal = "Fresh frozen plasma, thawed belongs in a fridge (2 to 6 °C); Freezer 1 is a freezer."
    assert [refusal] == walk.why_not(into_the_freezer)


def test_the_label_from_before_a_change_is_not_taken_for_the_new_one():
    walk, donation, unit = thawed()
    refusal = "No label of this donation waits to be scanned back: print it first."
    assert [refusal] == walk.why_not(ScanLabelBack(donation=donation, unit=unit))


def test_a_changed_unit_gets_its_new_label_without_another_reason():
    walk, donation, units = shelved()
    walk.do(OpenUnit(unit=units["red-cells"], reason="Spiked."))
    walk.do(PrintLabel(donation=donation, part="red-cells"))
    label = walk.look(Labelling, donation).printed["red-cells"]
    assert (2, "opened", units["red-cells"]) == (label.copy, label.changed, label.unit)


def test_an_opened_unit_keeps_for_24_hours():
    """21 CFR 610.53; dog and cat: Giger 2017."""
    walk, donation, units = shelved()
    opened_at = walk.at
    walk.do(OpenUnit(unit=units["red-cells"], reason="A sample taken."))
    now = due_now(walk.look, donation, "red-cells", walk.at)
    assert ("red-cells-additive", opened_at + timedelta(hours=24)) == (now.product, now.expires_at)
    assert "24 hours after it was opened" == now.because


def test_an_irradiated_unit_keeps_for_28_days_or_to_its_own_date_whichever_comes_first():
    """Drawn on 1 January 2026 with 42 days; irradiated on the 20th: 12 February (check 9.5, 21 CFR 610.53)."""
    walk = pure_walk()
    walk.do(SetLimit(key="dog_red_cells_additive_days", value=42, reason="invented"))
    walk.at = datetime.fromisoformat("2026-01-01T09:00+00:00")
    donation = walk.on_the_shelf()
    unit = walk.units(donation)["red-cells"]
    early, late = (datetime.fromisoformat(f"2026-01-{day}T12:00+00:00") for day in ("02", "20"))
    becomes = [
        next(IrradiateUnit(unit=unit, dose_gy=25).facts(walk.look, at))[1].becomes for at in (early, late)
    ]
    ends = ["2026-01-30T23:59+00:00", "2026-02-12T23:59+00:00"]
    assert ends == [each.expires_at.isoformat(timespec="minutes") for each in becomes]
    assert ["28 days after it was irradiated", "its own end"] == [each.because for each in becomes]


def test_plasma_is_not_irradiated_and_nothing_is_twice():
    walk, donation, units = shelved()
    refusal = "Only red cells and whole blood are irradiated: plasma that was frozen holds no living cells."
    assert [refusal] == walk.why_not(IrradiateUnit(unit=units["plasma"], dose_gy=25))
    assert [] == walk.why_not(IrradiateUnit(unit=units["red-cells"], dose_gy=25))
    assert 1 == len(walk.why_not(IrradiateUnit(unit=units["red-cells"], dose_gy=5)))
    walk.do(IrradiateUnit(unit=units["red-cells"], dose_gy=25))
    label_again(walk, donation, "red-cells")
    refusal = "It is irradiated already: a second time only harms the red cells."
    assert [refusal] == walk.why_not(IrradiateUnit(unit=units["red-cells"], dose_gy=25))


def test_thawed_plasma_is_frozen_again_only_where_the_site_allows_it_and_while_it_is_cold():
    """Never: UK Red Book. While cold, up to 10 °C: a supplier."""
    walk, donation, unit = thawed()
    label_again(walk, donation, "plasma")
    freeze = FreezeUnit(unit=unit, surface_c=6)
    never = "This site never freezes thawed plasma again; who decides it sets the limit."
    assert [never] == walk.why_not(freeze)
    walk.do(SetLimit(key="refreeze", value="while cold", reason="invented"))
    assert [] == walk.why_not(freeze)
    warm = "Its surface is at 11 °C: it is frozen again only at 0 to 10 °C."
    assert [warm] == walk.why_not(FreezeUnit(unit=unit, surface_c=11))


def test_plasma_frozen_again_is_frozen_plasma_five_years_from_the_draw():
    walk, donation, unit = thawed(refreeze="while cold")
    label_again(walk, donation, "plasma")
    walk.do(FreezeUnit(unit=unit, surface_c=6))
    now = due_now(walk.look, donation, "plasma", walk.at)
    ends = datetime.fromisoformat("2030-03-10T23:59+00:00")
    assert ("frozen-plasma", ends) == (now.product, now.expires_at)
    label_again(walk, donation, "plasma")
    assert [] == walk.why_not(PutAway(unit=unit, place=walk.a_place("freezer"), looks_well=True))


def test_fresh_frozen_plasma_that_came_to_its_date_is_labelled_again_as_frozen_plasma():
    """Common practice: fresh frozen for a year, then frozen plasma for four years more."""
    walk, donation, units = shelved()
    last = walk.look(Labelling, donation).printed["plasma"].expires_at
    again = PrintLabel(donation=donation, part="plasma")
    assert 1 == len(walk.why_not(again, last))
    after = last + timedelta(seconds=1)
    assert [] == walk.why_not(again, after)
    walk.at = after
    shelve = PutAway(unit=units["plasma"], place=walk.a_place("freezer"), looks_well=True)
    refusal = f"{show_code(units['plasma'])} expired on 10 Mar 2026: it is frozen plasma now, print its label again."
    assert refusal in walk.why_not(shelve)
    label_again(walk, donation, "plasma")
    label = walk.look(Labelling, donation).printed["plasma"]
    ends = datetime.fromisoformat("2030-03-10T23:59+00:00")
    assert ("frozen-plasma", ends) == (label.product, label.expires_at)


def test_frozen_plasma_that_came_to_its_date_is_discarded():
    walk, donation, units = shelved()
    walk.at = datetime.fromisoformat("2030-03-11T00:00+00:00")
    assert ["Its date is over: discard it, do not label it."] == walk.why_not(
        PrintLabel(donation=donation, part="plasma", reason="Smeared.")
    )
    assert f"{show_code(units['plasma'])} expired on 10 Mar 2026: discard it." in walk.why_not(
        ThawUnit(unit=units["plasma"], **THAW)
    )


CHANGES = {
    "thaw": lambda unit: ThawUnit(unit=unit, **THAW),
    "open": lambda unit: OpenUnit(unit=unit, reason="Spiked."),
    "irradiate": lambda unit: IrradiateUnit(unit=unit, dose_gy=25),
    "freeze": lambda unit: FreezeUnit(unit=unit, surface_c=4),
}


@pytest.mark.parametrize("change", CHANGES)
def test_nothing_is_done_with_a_unit_that_is_unknown_or_gone_or_not_truly_labelled(change):
    walk, donation, units = shelved()
    part = "plasma" if change in ("thaw", "freeze") else "red-cells"
    command = CHANGES[change]
    assert (
        f"No unit has the number {show_code(unknown('U'))}: scan its label again."
        == (walk.why_not(command(unknown("U")))[0])
    )
    walk.do(PrintLabel(donation=donation, part=part, reason="Smeared."))
    back = "Its label was not scanned back from the bag yet: do that first."
    assert back == walk.why_not(command(units[part]))[0]
    walk.do(DiscardUnit(unit=units[part], reason="Broken."))
    gone = f"{show_code(units[part])} was discarded: Broken."
    assert gone == walk.why_not(command(units[part]))[0]


def test_a_second_change_waits_for_the_label_of_the_first():
    walk, donation, units = shelved()
    walk.do(OpenUnit(unit=units["red-cells"], reason="Spiked."))
    first = "It was changed since its label was printed: print its label again first."
    irradiate = IrradiateUnit(unit=units["red-cells"], dose_gy=25)
    assert [first] == walk.why_not(irradiate)
    label_again(walk, donation, "red-cells")
    assert [] == walk.why_not(irradiate)
    walk.do(irradiate)
    walk.do(PrintLabel(donation=donation, part="red-cells"))
    label = walk.look(Labelling, donation).printed["red-cells"]
    assert "opened, irradiated" == label.changed
