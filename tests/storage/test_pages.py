"""The pages of storage: a unit goes into a place that suits it, is found in stock, and leaves it only with a reason."""

from datetime import timedelta

import pytest
from django.urls import reverse

from buffycoat.journal.models import Entry
from buffycoat.labels.rules import PrintLabel
from buffycoat.science.numbering import show_code
from buffycoat.storage.models import PlaceRow, ShelfRow
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import DiscardUnit, PutAway
from tests.pages import answer, asked, fields, kinds_since, nothing_recorded, pdf, text
from tests.walk import unknown

pytestmark = pytest.mark.one_database


def putting(unit):
    return f"{reverse('put-away')}?unit={unit}"


@pytest.fixture
def labelled(walk):
    """The plasma unit of a labelled donation."""
    return walk.units(walk.labelled("dog"))["plasma"]


def donation_of(unit):
    return ShelfRow.objects.get(pk=unit).unit.donation_id


def test_a_scanned_unit_is_asked_its_place(client, labelled):
    assert "Scan the unit" == asked(client.get(reverse("put-away")))
    response = answer(client, reverse("put-away"), unit=labelled)
    assert putting(labelled) == response.url
    page = client.get(response.url)
    assert "Put it into a freezer, and scan the card on the door" == asked(page)
    assert "No freezer is open yet: open one first." in text(page)
    assert "Freezer until" in text(page)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Unit is missing. Scan the unit, or type its code."),
        ("40123", "A code of ours has 14 letters and figures; this has 5."),
        (show_code(unknown("G")), "That is a donation, not a unit."),
        (show_code(unknown("U")), f"No unit has the number {show_code(unknown('U'))}: scan its label again."),
    ],
)
def test_what_is_no_unit_of_ours_is_refused(client, typed, sentence):
    with nothing_recorded():
        response = answer(client, reverse("put-away"), unit=typed)
    assert sentence in text(response)
    assert typed in response.content.decode()


def test_a_unit_in_its_place_is_recorded_once_and_said_back(client, walk, labelled):
    place = walk.a_place("freezer")
    count, page = Entry.objects.count(), client.get(putting(labelled))
    assert "Here that is: Freezer 1." in text(page)
    sent = {**fields(page), "looks_well": "on", "place": place}
    first, second = (client.post(putting(labelled), sent) for _ in range(2))
    assert ["unit-put-away"] == kinds_since(count)
    assert reverse("next-step", args=[donation_of(labelled)]) == first.url
    assert 302 == second.status_code
    said = text(client.get(first.url, follow=True))
    assert (
        f"Fresh frozen plasma {show_code(labelled)} is in Freezer 1. It is kept at −18 °C or colder" in said
    )
    assert "Next: put the red cells away." in said


def test_after_the_last_unit_the_donation_is_done_and_today_is_offered(client, walk, labelled):
    donation = donation_of(labelled)
    for part, unit in walk.units(donation).items():
        place = walk.a_place("freezer" if part == "plasma" else "fridge")
        response = answer(client, putting(unit), looks_well="on", place=place)
    page = client.get(response.url, follow=True)
    assert "With that this donation is done" in text(page)
    assert f'<a class="button button-main" href="{reverse("today")}">Today</a>' in page.content.decode()


@pytest.mark.parametrize(
    ("appliance", "typed", "sentence"),
    [
        (
            "fridge",
            {"looks_well": "on"},
            "Fresh frozen plasma belongs in a freezer (−18 °C or colder); Fridge 1 is a fridge.",
        ),
        ("freezer", {}, "Look at it once more: clot, leak, colour."),
        (
            "freezer",
            {"looks_well": "on", "happened_at": "31 Dec 2098 10:00"},
            "The time given is still to come",
        ),
        ("freezer", {"looks_well": "on", "happened_at": "1 Jan 2020 10:00"}, "this one cannot be earlier"),
    ],
)
def test_a_wrong_place_or_time_is_refused_and_what_was_typed_stays(
    client, walk, labelled, appliance, typed, sentence
):
    place = walk.a_place(appliance)
    with nothing_recorded():
        response = answer(client, putting(labelled), place=place, **typed)
    assert sentence in text(response)
    assert f'value="{show_code(place)}"' in response.content.decode()
    assert ("checked" in response.content.decode()) == ("looks_well" in typed)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Card on the door is missing."),
        (show_code(unknown("U")), "That is a unit, not a place."),
        (
            show_code(unknown("P")),
            f"No place has the number {show_code(unknown('P'))}: scan the card on the door.",
        ),
    ],
)
def test_what_is_no_place_of_ours_is_refused(client, labelled, typed, sentence):
    with nothing_recorded():
        response = answer(client, putting(labelled), looks_well="on", place=typed)
    assert sentence in text(response)


def test_fresh_plasma_that_comes_too_late_is_sent_back_to_be_labelled(client, walk):
    walk.at -= timedelta(hours=6)
    unit = walk.units(walk.labelled("dog"))["plasma"]
    place = walk.a_place("freezer")
    with nothing_recorded():
        response = answer(client, putting(unit), looks_well="on", place=place)
    assert "Too late for fresh frozen plasma" in text(response)
    assert reverse("label-print", args=[donation_of(unit), "plasma"]) in response.content.decode()


def test_a_unit_not_scanned_back_is_led_to_the_scan(client, walk):
    donation = walk.weighed("dog")
    walk.do(PrintLabel(donation=donation, part="plasma"))
    response = client.get(putting(walk.units(donation)["plasma"]), follow=True)
    assert asked(response).startswith("Scan the label on the bag")
    assert "its label is scanned back from the bag" in text(response)


def test_whoever_is_second_with_a_unit_is_told_who_was_faster(client, walk, labelled):
    place = walk.a_place("freezer")
    sent = {**fields(client.get(putting(labelled))), "looks_well": "on", "place": place}
    walk.by = "kim"
    walk.do(PutAway(unit=labelled, place=place, looks_well=True))
    with nothing_recorded():
        assert "kim was faster" in text(client.post(putting(labelled), sent))


def test_a_unit_is_moved_from_one_place_to_another(client, walk):
    unit = walk.units(walk.on_the_shelf("dog"))["plasma"]
    other = walk.do(OpenPlace(name="Freezer 2", appliance="freezer")).the(PlaceOpened).place
    assert asked(client.get(putting(unit))).startswith("Move it from Freezer 1 to another freezer")
    with nothing_recorded():
        same = answer(client, putting(unit), looks_well="on", place=walk.a_place("freezer"))
    assert "It is in Freezer 1 already." in text(same)
    response = answer(client, putting(unit), looks_well="on", place=other)
    assert reverse("unit", args=[unit]) == response.url
    assert "is in Freezer 2." in text(client.get(response.url))


def test_a_discarded_unit_leaves_the_stock_with_its_reason(client, walk):
    unit = walk.units(walk.on_the_shelf("dog"))["plasma"]
    address, count = reverse("unit-discard", args=[unit]), Entry.objects.count()
    sent = {**fields(client.get(address)), "why": "broken or leaking", "more": "a crack at the port."}
    first, second = (client.post(address, sent) for _ in range(2))
    assert ["unit-discarded"] == kinds_since(count)
    assert reverse("unit", args=[unit]) == first.url == second.url
    said = "is discarded and out of the stock: Broken or leaking: a crack at the port."
    assert said in text(client.get(first.url))
    assert show_code(unit) not in text(client.get(reverse("stock"))).replace(" ", "")
    assert "is gone already" in text(client.get(address, follow=True))
    assert "is gone and cannot be put away" in text(client.get(putting(unit), follow=True))


def test_a_unit_discarded_at_the_bench_leads_on_to_the_rest_of_its_donation(client, walk, labelled):
    response = answer(client, reverse("unit-discard", args=[labelled]), why="clotted")
    assert "Next: put the red cells away." in text(client.get(response.url, follow=True))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, "Why: choose one."),
        ({"why": "bored", "more": "of it"}, "Why: choose one of those shown."),
        ({"why": "other"}, "Say what was seen"),
        ({"why": "expired", "more": "x" * 300}, "This is 300 characters long; at most 200 fit."),
    ],
)
def test_a_discard_without_a_right_reason_is_refused(client, labelled, typed, sentence):
    with nothing_recorded():
        response = answer(client, reverse("unit-discard", args=[labelled]), **typed)
    assert sentence in text(response)
    assert typed.get("more", "") in response.content.decode()


def test_two_who_discard_one_unit_record_it_once(client, walk, labelled):
    address = reverse("unit-discard", args=[labelled])
    sent = {**fields(client.get(address)), "why": "expired"}
    walk.by = "kim"
    walk.do(DiscardUnit(unit=labelled, reason="Expired"))
    with nothing_recorded():
        assert "kim was faster" in text(client.post(address, sent))


def test_stock_is_counted_by_kind_and_filtered_by_links(client, walk):
    dog, cat = walk.units(walk.on_the_shelf("dog")), walk.units(walk.on_the_shelf("cat"))
    page = client.get(reverse("stock"))
    assert "All 4, the first to expire first" in text(page)
    assert 'href="?species=cat&amp;product=red-cells&amp;blood_type=A#units"' in page.content.decode()
    page = client.get(reverse("stock"), {"species": "cat", "product": "red-cells", "blood_type": "A"})
    shown = text(page).replace(" ", "")
    assert "1ofCat,Redcells,A" in shown
    assert show_code(cat["red-cells"]) in shown
    assert show_code(dog["red-cells"]) not in shown


def test_the_strip_leaves_out_what_keeps_longer_than_eight_weeks(client, walk):
    walk.on_the_shelf("dog")
    assert "1 more keep longer than eight weeks" in text(client.get(reverse("stock")))
    only = client.get(reverse("stock"), {"product": "fresh-frozen-plasma"})
    assert "Each of them keeps longer than eight weeks." in text(only)


@pytest.mark.parametrize("query", ["species=fox", "product=%3Cb%3E", "blood_type=x&species=dog"])
def test_a_filter_that_finds_nothing_says_so(client, walk, query):
    walk.on_the_shelf("dog")
    page = client.get(f"{reverse('stock')}?{query}")
    assert "None of these is on the shelves. Show all" in text(page)
    assert "<b>" not in page.content.decode().split("<main")[1].split("one-by-one")[1][:200]


def test_empty_shelves_say_what_would_stand_there(client):
    assert "Nothing is on the shelves." in text(client.get(reverse("stock")))
    assert "No place is open." in text(client.get(reverse("places")))


def test_an_opened_place_has_a_page_a_list_line_and_a_card(client, walk):
    response = answer(client, reverse("place-new"), name="Fridge 1", appliance="fridge")
    place = PlaceRow.objects.get().place
    assert reverse("place", args=[place]) == response.url
    assert "The fridge Fridge 1 is open. Next: print its card for the door." in text(client.get(response.url))
    assert "Nothing stands in here." in text(client.get(response.url))
    assert "Fridge 1" in text(client.get(reverse("places")))
    assert pdf(client.get(reverse("place-card", args=[place])))


def test_a_place_lists_what_stands_in_it(client, walk):
    units = walk.units(walk.on_the_shelf("dog"))
    page = text(client.get(reverse("place", args=[walk.a_place("freezer")]))).replace(" ", "")
    assert show_code(units["plasma"]) in page
    assert show_code(units["red-cells"]) not in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name": "", "appliance": "fridge"}, "Name on the door is missing."),
        ({"name": "Attic", "appliance": "attic"}, "What it is: choose one of those shown."),
        ({"name": "Attic"}, "What it is: choose one."),
    ],
)
def test_a_place_with_a_wrong_value_is_not_opened(client, typed, sentence):
    with nothing_recorded():
        response = answer(client, reverse("place-new"), **typed)
    assert sentence in text(response)
    assert typed["name"] in response.content.decode()


@pytest.mark.parametrize(("name", "kind"), [("place", "P"), ("place-card", "P"), ("unit-discard", "U")])
def test_an_unknown_number_is_not_found(client, name, kind):
    assert 404 == client.get(reverse(name, args=[unknown(kind)])).status_code


@pytest.mark.parametrize("text_of_code", [unknown("U"), unknown("P"), "zzz", "%00"])
def test_an_unknown_unit_in_the_address_is_not_found(client, text_of_code):
    assert 404 == client.get(putting(text_of_code)).status_code
