"""Changes of state on the pages: what fits a unit is offered, one question each, and the label comes next."""

from datetime import timedelta

import pytest
from django.urls import reverse

from buffycoat.labels.changes import weighed_parts
from buffycoat.labels.models import UnitRow
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import SetLimit, limits
from buffycoat.storage.models import OpenJobRow, ShelfRow
from buffycoat.storage.stock import stock
from tests.pages import answer, nothing_recorded, text
from tests.walk import Walk

pytestmark = pytest.mark.one_database

THAW = {"over_bag": "on", "bath_c": "36", "minutes": "20"}


def shelved(walk, species="dog"):
    donation = walk.on_the_shelf(species)
    return donation, walk.units(donation)


def offered(client, unit):
    page = client.get(f"/units/{unit}/change/").content.decode()
    names = ("thaw", "cryo", "divide", "open", "irradiate", "freeze", "take-out")
    return [name for name in names if f"/units/{unit}/{name}/" in page]


def labelled_again(client, donation, part, unit):
    assert 302 == answer(client, f"/labels/{donation}/{part}/").status_code
    done = answer(client, f"/labels/{donation}/scan-back/", unit=unit)
    assert 302 == done.status_code, text(done)


def test_each_unit_is_offered_what_fits_it(client, walk):
    donation, units = shelved(walk)
    assert ["thaw", "cryo"] == offered(client, units["plasma"])
    assert ["divide", "open", "irradiate", "take-out"] == offered(client, units["red-cells"])
    assert 302 == answer(client, f"/units/{units['plasma']}/thaw/", **THAW).status_code
    assert [] == offered(client, units["plasma"])
    first = "It was changed since its label was printed: print its label again first."
    assert first in text(client.get(f"/units/{units['plasma']}/change/"))
    labelled_again(client, donation, "plasma", units["plasma"])
    assert ["divide", "open", "freeze"] == offered(client, units["plasma"])


def test_plasma_is_thawed_labelled_again_and_put_into_the_fridge(client, walk):
    donation, units = shelved(walk)
    fridge = walk.a_place("fridge")
    done = answer(client, f"/units/{units['plasma']}/thaw/", **THAW)
    assert f"/labels/{donation}/plasma/" == done["Location"]
    shown = text(client.get(f"/labels/{donation}/plasma/"))
    assert "Fresh frozen plasma, thawed" in shown
    assert "24 hours after it was thawed" in shown
    assert "take the old label off and destroy it" in shown
    labelled_again(client, donation, "plasma", units["plasma"])
    done = answer(client, f"/put-away/?unit={units['plasma']}", looks_well="on", place=fridge)
    assert 302 == done.status_code, text(done)
    row = UnitRow.objects.get(pk=units["plasma"])
    assert ("fresh-frozen-plasma-thawed", 2, True) == (row.product, row.copy, row.label_true)
    assert fridge == row.shelf.place_id
    assert not OpenJobRow.objects.filter(pk=donation).exists()


def test_a_refused_thaw_says_why_and_records_nothing(client, walk):
    _, units = shelved(walk)
    with nothing_recorded():
        shown = text(answer(client, f"/units/{units['plasma']}/thaw/", bath_c="45", minutes="20"))
    assert "A bath of 45 °C: this site thaws at 33 to 37 °C." in shown
    assert "Seal it into an over-bag first" in shown


def test_a_changed_unit_shows_stop_until_its_label_is_true_again(client, walk):
    donation, units = shelved(walk)
    unit = units["red-cells"]
    assert 302 == answer(client, f"/units/{unit}/open/", reason="Spiked to be given").status_code
    assert "Its label is no longer true: print it again" in text(client.get(f"/units/{unit}/"))
    assert "its label is no longer true" in text(client.get("/stock/"))
    labelled_again(client, donation, "red-cells", unit)
    shown = text(client.get(f"/units/{unit}/"))
    assert "Its label is no longer true" not in shown
    assert "Red cells in additive, opened" in shown


def test_a_unit_is_divided_and_each_part_weighed_labelled_and_put_away(client, walk):
    donation, units = shelved(walk, "cat")
    unit, fridge = units["red-cells"], walk.a_place("fridge")
    held_g = weighed_parts(walk.look, donation)["red-cells"].content_g
    done = answer(client, f"/units/{unit}/divide/", parts="2", empty_g="12", closed="closed")
    assert f"/changes/{donation}/weigh/red-cells-1/" == done["Location"]
    for number, content_g in ((1, held_g // 2), (2, held_g - held_g // 2)):
        address = f"/changes/{donation}/weigh/red-cells-{number}/"
        assert address == client.get(reverse("next-step", args=[donation])).url
        done = answer(client, address, gross_g=str(12 + content_g))
        assert 302 == done.status_code, text(done)
        labelled(client, donation, f"red-cells-{number}", fridge)
    assert not OpenJobRow.objects.filter(pk=donation).exists()
    shown = text(client.get(f"/units/{unit}/"))
    assert "Divided into 2 parts" in shown
    parts = UnitRow.objects.filter(parent=unit)
    assert 2 == len(parts)
    for part in parts:
        assert show_code(part.unit) in shown
        assert f"Divided from {show_code(unit)}" in text(client.get(f"/units/{part.unit}/"))


def labelled(client, donation, part, place):
    assert 302 == answer(client, f"/labels/{donation}/{part}/").status_code
    unit = UnitRow.objects.get(donation=donation, part=part).unit
    assert 302 == answer(client, f"/labels/{donation}/scan-back/", unit=unit).status_code
    done = answer(client, f"/put-away/?unit={unit}", looks_well="on", place=place)
    assert 302 == done.status_code, text(done)


def test_more_than_the_unit_held_is_refused_in_words_and_less_asks_where_it_went(client, walk):
    donation, units = shelved(walk)
    held_g = weighed_parts(walk.look, donation)["red-cells"].content_g
    answer(client, f"/units/{units['red-cells']}/divide/", parts="2", empty_g="20", closed="open")
    first, second = (f"/changes/{donation}/weigh/red-cells-{number}/" for number in (1, 2))
    with nothing_recorded():
        shown = text(answer(client, first, gross_g=str(held_g + 100)))
    assert f"{held_g + 80} g cannot come out of {held_g} g: weigh again, the empty bag too." in shown
    assert 302 == answer(client, first, gross_g="120").status_code
    with nothing_recorded():
        shown = answer(client, second, gross_g="120")
    assert "Weigh again; if it is right, say where they went." in text(shown)
    assert b'name="explained"' in shown.content
    assert 302 == answer(client, second, gross_g="120", explained="The rest was spilled.").status_code


def test_a_part_that_nobody_made_has_no_page(client, walk):
    donation, _ = shelved(walk)
    assert 404 == client.get(f"/changes/{donation}/weigh/red-cells-1/").status_code


def test_a_unit_is_taken_out_with_a_scan_and_brought_back_in_time(client, walk):
    _donation, units = shelved(walk)
    unit, fridge = units["red-cells"], walk.a_place("fridge")
    assert "Take it out" in text(client.get(f"/put-away/?unit={unit}"))
    with nothing_recorded():
        wrong = text(answer(client, f"/units/{unit}/take-out/", unit=units["plasma"]))
    assert f"This is {show_code(units['plasma'])}: put that one back." in wrong
    assert 302 == answer(client, f"/units/{unit}/take-out/", unit=unit).status_code
    assert "out since" in text(client.get(f"/units/{unit}/"))
    assert "out since" in text(client.get("/stock/"))
    assert "Back by" in text(client.get(f"/put-away/?unit={unit}"))
    assert ShelfRow.objects.get(unit=unit).out_since
    assert 302 == answer(client, f"/put-away/?unit={unit}", looks_well="on", place=fridge).status_code
    assert ShelfRow.objects.get(unit=unit).out_since is None
    assert "ready" in text(client.get(f"/units/{unit}/"))


def test_what_was_out_for_too_long_shows_stop_and_does_not_go_back(client, walk):
    _donation, units = shelved(walk)
    unit, fridge = units["red-cells"], walk.a_place("fridge")
    answer(client, f"/units/{unit}/take-out/", unit=unit, happened_at=long_ago(walk))
    shown = text(client.get(f"/units/{unit}/"))
    assert "Do not give it. Out of the fridge for too long: discard it." in shown
    with nothing_recorded():
        shown = text(answer(client, f"/put-away/?unit={unit}", looks_well="on", place=fridge))
    assert "and 30 min are allowed at once: discard it." in shown


def long_ago(walk):
    """A moment after the last step of the bench, hours before now."""
    return f"{(walk.at + timedelta(minutes=5)).astimezone(limits(walk.look).zone):%H:%M}"


def test_where_the_surface_decides_the_page_asks_for_it(client, walk):
    _donation, units = shelved(walk)
    unit, fridge = units["red-cells"], walk.a_place("fridge")
    walk.do(SetLimit(key="return_by", value="surface temperature", reason="invented"))
    assert "Surface of the bag" not in text(client.get(f"/put-away/?unit={unit}"))
    answer(client, f"/units/{unit}/take-out/", unit=unit)
    values = {"looks_well": "on", "place": fridge}
    with nothing_recorded():
        assert "Measure its surface" in text(answer(client, f"/put-away/?unit={unit}", **values))
        shown = text(answer(client, f"/put-away/?unit={unit}", surface_c="12", **values))
    assert "Its surface is at 12 °C and goes back up to 10 °C: discard it." in shown
    assert 302 == answer(client, f"/put-away/?unit={unit}", surface_c="8", **values).status_code


@pytest.mark.parametrize(
    ("change", "part", "answers", "becomes"),
    [
        ("irradiate", "red-cells", {"dose_gy": "25"}, "Red cells in additive, irradiated"),
        ("cryo", "plasma", {"cryo_empty_g": "28", "poor_empty_g": "20"}, ""),
    ],
)
def test_other_changes_lead_to_the_label_or_to_the_weighing(client, walk, change, part, answers, becomes):
    donation, units = shelved(walk)
    done = answer(client, f"/units/{units[part]}/{change}/", **answers)
    next_page = f"/labels/{donation}/{part}/" if becomes else f"/changes/{donation}/weigh/{part}-1/"
    assert next_page == done["Location"]
    assert becomes in text(client.get(next_page))


def test_plasma_is_frozen_again_where_the_site_allows_it(client, walk):
    donation, units = shelved(walk)
    unit = units["plasma"]
    walk.do(SetLimit(key="refreeze", value="while cold", reason="invented"))
    answer(client, f"/units/{unit}/thaw/", **THAW)
    labelled_again(client, donation, "plasma", unit)
    assert 302 == answer(client, f"/units/{unit}/freeze/", surface_c="6").status_code
    assert "Frozen plasma" in text(client.get(f"/labels/{donation}/plasma/"))


def test_a_unit_of_the_past_year_is_labelled_again_as_frozen_plasma(db):
    walk = Walk()
    donation = walk.on_the_shelf()
    walk.wait(days=400)
    plasma = plasma_in_stock(walk)
    assert ("stop", True) == (plasma.status, plasma.aged)
    assert "print its label again, it is frozen plasma now" in plasma.stop_because
    walk.do(PrintLabel(donation=donation, part="plasma"))
    walk.do(ScanLabelBack(donation=donation, unit=walk.units(donation)["plasma"]))
    plasma = plasma_in_stock(walk)
    assert ("ready", False) == (plasma.status, plasma.aged)


def plasma_in_stock(walk):
    return next(unit for unit in stock(walk.at, limits(walk.look)) if unit.row.part == "plasma")
