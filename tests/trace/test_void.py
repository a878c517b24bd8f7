"""Void: a whole job that should never have been, struck at once, if nothing of it is out in the world."""

import pytest
from django.urls import reverse

from buffycoat.donors.models import DonorRow
from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import StartDraw
from buffycoat.journal.book import Book, line_of, standing
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.labels.rules import PrintLabel
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import Separation
from buffycoat.site.rules import SetLimit
from buffycoat.spins.models import SpinRow
from buffycoat.storage.places import OpenPlace
from tests.pages import answer, fields, nothing_recorded, text


def void(client, code, reason="Begun for the wrong dog."):
    return answer(client, reverse("void", args=[code]), reason=reason)


def test_a_donation_begun_for_the_wrong_animal_is_voided_and_stays_readable(client, walk):
    donor = walk.a_donor()
    donation = walk.draw_started(donor=donor)
    address = reverse("void", args=[donation])
    assert "leaves all lists. Destroy its stickers" in text(client.get(address))
    response = void(client, donation)
    assert reverse("story", args=[donation]) == response.url
    assert ([], None) == (standing(f"donation/{donation}"), DonorRow.objects.get(pk=donor).donations.first())
    page = text(client.get(response.url))
    assert "Nothing of this donation stands any more." in page
    assert page.count("Begun for the wrong dog.") == 1
    assert [] == list(walk.why_not(StartDraw(donor=donor, lot=walk.a_lot(), tare_g=260, wanted_ml=450)))
    assert rebuild(check=True) > 0


@pytest.mark.parametrize("way", ["scan", "donation", "next-step"])
def test_a_voided_code_leads_to_its_story_wherever_it_is_asked_for(client, walk, way):
    donation = walk.drawn()
    void(client, donation)
    address = reverse("scan") + f"?code={donation}" if way == "scan" else reverse(way, args=[donation])
    assert reverse("story", args=[donation]) == client.get(address).url


def test_all_steps_of_a_voided_donation_are_struck_the_last_first(client, walk):
    donation = walk.kept_whole()
    before = Entry.objects.count()
    void(client, donation)
    struck = [line.fact.struck_number for line in _lines_since(before)]
    assert sorted(struck, reverse=True) == struck
    assert 6 == len(struck)  # start with the donor's line, end, kept whole, clots, segments
    assert 1 == len({line.command_id for line in _lines_since(before)})
    assert not DonationRow.objects.filter(pk=donation).exists()


def _lines_since(number):
    return [line_of(entry) for entry in Entry.objects.filter(number__gt=number).order_by("number")]


def test_a_spin_that_never_ran_is_voided_and_its_bags_wait_again(client, walk):
    donations = walk.drawn(), walk.drawn()
    spin = walk.in_spin(*donations)
    void(client, spin)
    assert not SpinRow.objects.exists()
    assert {None} == {Book()(Separation, each).spun.in_spin for each in donations}


def test_a_donation_that_was_spun_is_voided_only_after_its_spin(client, walk):
    donation = walk.spun()
    began = Entry.objects.get(kind="spin-started")
    spin = began.stream.partition("/")[2]
    page = text(client.get(reverse("void", args=[donation])))
    assert (
        f"Entry {began.number} (spin started) began {show_code(spin)} in the same step: void that first"
        in page
    )
    void(client, spin)
    void(client, donation)
    assert [] == standing(f"donation/{donation}")


def test_a_labelled_bag_is_discarded_on_record_and_never_voided_away(client, walk):
    donation = walk.on_the_shelf()
    with nothing_recorded():
        page = text(client.get(reverse("void", args=[donation])))
    assert "a labelled bag is there. Discard that unit on record, or take its label off" in page
    assert "Void it" not in page


def test_a_label_that_was_only_printed_is_voided_with_its_unit(client, walk):
    donation = walk.weighed()
    unit = walk.do(PrintLabel(donation=donation, part="plasma")).lines[0].fact.unit
    void(client, unit, "Printed for the wrong bag.")
    assert reverse("story", args=[unit]) == client.get(reverse("unit", args=[unit])).url
    assert [] == walk.why_not(PrintLabel(donation=donation, part="plasma"))


def test_a_donor_registered_twice_is_voided_and_one_that_gave_is_not(client, walk):
    twice, gave = walk.a_donor(), walk.a_donor()
    donation = walk.draw_started(donor=gave)
    void(client, twice, "The same animal, registered twice.")
    assert [gave] == list(DonorRow.objects.values_list("donor", flat=True))
    page = text(client.get(reverse("void", args=[gave])))
    assert f"(draw started) began {show_code(donation)} in the same step: void that first" in page


def test_a_void_has_a_reason_and_is_refused_when_someone_went_on(client, walk):
    donation = walk.drawn()
    address = reverse("void", args=[donation])
    with nothing_recorded():
        assert "Why it is struck is missing." in text(void(client, donation, ""))
    sent = {**fields(client.get(address)), "reason": "A rehearsal."}
    walk.by = "kim"
    walk.in_spin(donation)
    with nothing_recorded():
        assert "kim was faster" in text(client.post(address, sent))


@pytest.mark.parametrize("name", ["undo", "void"])
def test_nothing_is_taken_back_twice(client, walk, name):
    donation = walk.draw_started()
    void(client, donation)
    page = client.get(reverse(name, args=[donation]), follow=True)
    assert "Nothing stands here that could be" in text(page)


def test_a_limit_is_struck_with_what_it_leaves_as_it_is(client, walk):
    walk.do(SetLimit(key="least_segments", value=5, reason="invented"))
    number = Entry.objects.filter(kind="limit-set").latest("number").number
    address = reverse("journal-strike", args=[number])
    assert "Labels that were printed keep their date" in text(client.get(address))
    assert reverse("limits") == answer(client, address, reason="Misread.").url


def test_a_place_with_a_unit_in_it_is_not_struck_and_an_empty_one_is(client, walk):
    walk.on_the_shelf()
    empty = walk.do(OpenPlace(name="Fridge 9", appliance="fridge")).lines[0].fact.place
    page = text(client.get(reverse("void", args=[walk.a_place("fridge")])))
    assert "(unit put away) first: it names" in page
    void(client, empty, "It was never there.")
    assert 404 == client.get(reverse("place", args=[empty])).status_code
