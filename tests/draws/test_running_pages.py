"""The pages of a running and a finished draw: each bad answer gets its sentence and records nothing."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse

from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import Draw
from buffycoat.journal.book import Book, version_of
from buffycoat.journal.models import Entry
from buffycoat.site.rules import Limits
from tests.draws.reading import asked, hidden, text
from tests.walk import unknown

pytestmark = pytest.mark.one_database


def finish(client, donation, gross_g, **more):
    address = reverse("draw-finish", args=[donation])
    return client.post(address, {**hidden(client.get(address)), "gross_g": gross_g, **more})


def clock(moment, zone):
    return f"{moment.astimezone(zone):%H:%M}"


def entries():
    return Entry.objects.count()


def test_the_running_page_shows_target_clock_number_stickers_and_cautions(client, walk):
    donation = walk.draw_started("dog", donor=walk.a_donor("dog", cautions="Ears are touchy"))
    response = client.get(reverse("draw-finish", args=[donation]))
    assert asked(response).startswith("Stop at 734 g")
    for told in (
        "For plasma, end by",
        "Ears are touchy",
        "Mix gently",
        "distress",
        "veterinarian",
    ):
        assert told in text(response)
    assert reverse("draw-stickers", args=[donation]) in response.content.decode()


def test_a_full_bag_is_read_back_with_what_it_may_become(client, walk):
    donation = walk.draw_started("dog")
    page = client.get(finish(client, donation, "734").url)
    assert "734 g less 260 g of empty set is 474 g: 450 mL at 1.053 g/mL, as wanted." in text(page)
    assert 1 == DonationRow.objects.filter(volume_ml=450, filling="as wanted").count()


@pytest.mark.parametrize(
    ("species", "gross_g", "minutes", "question", "told", "leads_to"),
    [
        ("dog", "734", 8, "Filled as wanted", "red cells and plasma, or whole blood", "next-step"),
        ("cat", "93", 8, "Filled as wanted", "red cells and plasma, or whole blood", "next-step"),
        (
            "dog",
            "734",
            20,
            "Filled as wanted, too slow for plasma",
            "The draw took 20 min, over 15 min: no plasma product.",
            "next-step",
        ),
        (
            "dog",
            "640",
            8,
            "Too little for plasma: red cells only",
            "red cells only, marked low volume",
            "next-step",
        ),
        ("cat", "80", 8, "Too little for plasma: red cells only", "Only 38 mL of 45 mL", "next-step"),
        (
            "dog",
            "500",
            8,
            "Too little: discard this bag",
            "too much anticoagulant for the blood",
            "draw-discard",
        ),
        (
            "dog",
            "850",
            8,
            "Too full: discard this bag",
            "too little anticoagulant, it may clot",
            "draw-discard",
        ),
    ],
)
def test_each_filling_has_its_consequence_and_next_step(
    client, walk, species, gross_g, minutes, question, told, leads_to
):
    donation = walk.draw_started(species)
    zone = walk.look(Limits, "limits").zone
    ended = clock(walk.look(Draw, donation).started_at + timedelta(minutes=minutes), zone)
    page = client.get(finish(client, donation, gross_g, happened_at=ended).url)
    assert question == asked(page)
    assert told in text(page)
    assert f'id="answer" method="get" action="{reverse(leads_to, args=[donation])}"' in page.content.decode()


@pytest.mark.parametrize(
    ("gross_g", "sentence"),
    [
        ("7e4", "has the letter e in it"),
        ("260", "260 g on the scale is no more than the empty set (260 g)"),
        ("5000", "5000 g is heavier than any bag"),
        ("73 4", "has a blank inside the number"),
        ("", "Mass on the scale is missing."),
    ],
)
def test_a_bad_mass_is_refused_and_kept(client, walk, gross_g, sentence):
    donation = walk.draw_started("dog")
    before = entries()
    page = finish(client, donation, gross_g)
    assert sentence in text(page)
    assert f'name="gross_g" value="{gross_g}"' in page.content.decode() or not gross_g
    assert before == entries()


def test_a_draw_cannot_end_before_it_began(client, walk):
    donation = walk.draw_started("dog")
    state, zone = walk.look(Draw, donation), walk.look(Limits, "limits").zone
    page = finish(client, donation, "734", happened_at=clock(state.started_at - timedelta(minutes=5), zone))
    assert "this one cannot be earlier" in text(page)
    assert not DonationRow.objects.exclude(finished_at=None).exists()


def test_the_same_end_sent_twice_is_recorded_once(client, walk):
    donation = walk.draw_started("dog")
    address = reverse("draw-finish", args=[donation])
    sent = {**hidden(client.get(address)), "gross_g": "734"}
    answers = [client.post(address, sent) for _ in range(2)]
    assert [address, address] == [answer.url for answer in answers]
    assert 2 == version_of(f"donation/{donation}")


def test_two_people_at_one_bag_are_told_who_was_faster(client, walk):
    donation = walk.draw_started("dog")
    address = reverse("draw-finish", args=[donation])
    drawn_from = hidden(client.get(address))
    finish(client, donation, "734")
    late = client.post(address, {**drawn_from, "gross_g": "700"})
    assert "robin was faster" in text(late)
    assert "450 mL" in text(late)


def test_an_unusable_bag_is_discarded_with_its_reason_filled_in(client, walk):
    donation = walk.drawn("dog", gross_g=500)
    address = reverse("draw-discard", args=[donation])
    page = client.get(address)
    assert "Only 228 mL: too much anticoagulant for the blood. Discard." in text(page)
    client.post(address, {**hidden(page), "reason": "Too little, needle slipped."})
    assert "Too little, needle slipped." == Book()(Draw, donation).discarded
    assert "This donation is discarded" == asked(client.get(reverse("draw-finish", args=[donation])))


def test_a_discard_without_a_reason_is_refused(client, walk):
    donation = walk.draw_started("dog")
    page = client.post(
        reverse("draw-discard", args=[donation]),
        {"command_id": uuid.uuid4().hex, "seen": "{}", "reason": " "},
    )
    assert "Why is missing." in text(page)
    assert Book()(Draw, donation).discarded is None


@pytest.mark.parametrize("name", ["draw-finish", "draw-discard", "draw-stickers"])
def test_a_donation_that_nobody_knows_is_not_there(client, name):
    assert 404 == client.get(reverse(name, args=[unknown("G")])).status_code


def test_the_stickers_are_a_pdf(client, walk):
    answer = client.get(reverse("draw-stickers", args=[walk.draw_started("cat")]))
    assert ("application/pdf", b"%PDF") == (answer["Content-Type"], answer.content[:4])


def test_the_list_shows_running_draws_with_a_clock_and_what_became_of_the_others(client, walk):
    walk.draw_started("cat")
    walk.labelled("dog")
    walk.drawn("dog", donor=walk.a_donor("dog", name="Fern"), gross_g=850)
    page = text(client.get("/draws/"))
    for told in (
        "Sorrel: stop at 93 g",
        "For plasma, end by",
        "Red cells,",
        "Plasma,",
        "Fern",
        "Discard the bag",
    ):
        assert told in page
