"""The pages that start a draw: each bad answer gets its sentence, keeps what was typed and records nothing."""

import re
from datetime import timedelta

import pytest
from django.urls import reverse

from buffycoat.donors.rules import ExamineDonor
from buffycoat.draws.models import DonationRow
from buffycoat.journal.models import Entry
from tests.draws.reading import asked, hidden, text
from tests.walk import Walk, unknown

pytestmark = pytest.mark.one_database

NEW = "/draws/new/"
ASKED = {
    "donor": "Who gives today?",
    "lot": "Which bag set?",
    "tare_g": "What does the empty set weigh?",
    "wanted_ml": "How much is to be drawn?",
}


@pytest.fixture
def dog(walk):
    """A draft of a dog's draw that lacks only the volume."""
    return {"donor": walk.a_donor("dog"), "lot": walk.a_lot("dog"), "tare_g": "260"}


@pytest.fixture
def cat(walk):
    return {"donor": walk.a_donor("cat"), "lot": walk.a_lot("cat"), "tare_g": "40"}


def plain(values):
    return {name: value.replace("-", "") for name, value in values.items()}


def start(client, draft, wanted_ml, **more):
    """Opens the last question and answers it."""
    page = client.get(NEW, draft)
    address = f"{NEW}?{page.request['QUERY_STRING']}"
    return client.post(address, {**hidden(page), "wanted_ml": wanted_ml, **more})


def entries():
    return Entry.objects.count()


def test_the_questions_follow_each_other_and_the_address_keeps_what_was_answered(client, dog):
    given = {}
    for name, question in ASKED.items():
        page = client.get(NEW, given)
        assert question == asked(page)
        assert given.items() <= plain(hidden(page)).items()
        given[name] = dog.get(name)


def test_the_donors_card_shows_weight_pcv_type_and_cautions_of_today(client, walk):
    donor = walk.a_donor("dog", cautions="Ears are touchy")
    page = text(client.get(NEW, {"donor": donor}))
    for told in ("Bramble", "Weight and PCV today 32 kg, 45 %", "DEA 1 negative", "Ears are touchy"):
        assert told in page


def test_a_donor_who_may_not_give_is_told_at_once_with_every_reason(client, walk):
    donor = walk.a_donor("dog", examined=False, born_on=walk.at.date() - timedelta(days=200))
    walk.do(ExamineDonor(donor=donor, weight_g=20_000, pcv_permille=380))
    page = client.get(NEW, {"donor": donor})
    assert "Bramble cannot give today" == asked(page)
    for reason in ("Bramble is 6 months old", "weighs 20 kg; this site draws from 25 kg", "PCV 38 %"):
        assert reason in text(page)
    assert f"/donors/{donor}/examine/" in page.content.decode()


def test_a_donor_not_weighed_today_leads_to_the_examination(client, walk):
    donor = walk.a_donor("cat", examined=False)
    page = client.get(NEW, {"donor": donor})
    assert "Weigh Sorrel and read the PCV first" in text(page)
    assert f'id="answer" method="get" action="/donors/{donor}/examine/"' in page.content.decode()


def test_a_donor_who_gave_too_recently_is_told_from_when_on(client, walk):
    donor = walk.a_donor("dog")
    walk.drawn("dog", donor=donor)
    assert "may give again from" in text(client.get(NEW, {"donor": donor}))


def test_a_scanned_lot_waits_while_the_donor_is_asked(client, walk):
    lot = walk.a_lot("dog")
    page = client.get(NEW, {"lot": lot})
    assert ASKED["donor"] == asked(page)
    assert lot == hidden(page)["lot"]


def test_the_set_tells_what_it_holds_and_until_when(client, dog):
    page = text(client.get(NEW, {"donor": dog["donor"], "lot": dog["lot"]}))
    assert "450 mL of blood into 63 mL of CPD; 100 mL of Invented additive in its own bag" in page
    assert "Lot INV-450, good to" in page


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("donor", unknown("L"), "That is a bag set lot, not a donor."),
        ("donor", unknown("D"), "No donor has the number"),
        ("donor", "DHAVN-0000001-00", "a character was misread"),
        ("lot", unknown("D"), "That is a donor, not a bag set lot."),
        ("lot", unknown("L"), "No bag set lot has the number"),
        ("lot", "", "Bag set lot is missing. Scan the bag set lot, or type its code."),
        ("tare_g", "26o", "has the letter o in it"),
        ("tare_g", "0.26 kg", "this is asked in g"),
        ("tare_g", "31", "the empty main bag alone has 32 g"),
        ("tare_g", "", "Empty set is missing. Type it in g."),
    ],
)
def test_a_bad_answer_gets_its_sentence_is_kept_and_asked_again(client, dog, name, value, sentence):
    page = client.get(NEW, {**dog, name: value})
    assert ASKED[name] == asked(page)
    assert sentence in text(page)
    assert "<title>Error: " in page.content.decode()
    typed = re.search(rf'name="{name}" (?:value="([^"]*)")?', page.content.decode())[1] or ""
    assert value.replace("-", "") == typed.replace("-", "")


def test_an_expired_lot_is_refused(client, walk, dog):
    old = Walk(at=walk.at - timedelta(days=400)).a_lot("dog", maker_lot="OLD-1")
    page = client.get(NEW, {**dog, "lot": old})
    assert ASKED["lot"] == asked(page)
    assert "Bag set lot OLD-1 expired on" in text(page)


def test_a_set_for_the_other_species_is_refused(client, walk, dog):
    page = client.get(NEW, {**dog, "lot": walk.a_lot("cat")})
    assert ASKED["lot"] == asked(page)
    assert "This bag set is for a cat, and Bramble is a dog." in text(page)


def test_a_set_too_large_for_the_donor_is_refused_before_it_is_weighed(client, walk):
    small = walk.a_donor("cat")
    lot = walk.a_lot("cat", nominal_ml=100, anticoagulant_ml=14)
    page = client.get(NEW, {"donor": small, "lot": lot})
    assert "This set needs at least 90 mL, and Sorrel can give at most 62 mL: take a smaller set." in text(
        page
    )


def test_the_usual_weight_of_an_empty_set_comes_from_its_card(client, dog):
    page = text(client.get(NEW, {"donor": dog["donor"], "lot": dog["lot"]}))
    assert "Usual here: 226 to 286 g." in page  # 32 + 28 g dry, 63 and 100 mL at 1.020 g/mL, and 60 g more


def test_an_unusual_weight_of_the_empty_set_is_asked_about_and_not_refused(client, dog):
    page = client.get(NEW, {**dog, "tare_g": "150"})
    assert ASKED["wanted_ml"] == asked(page)
    assert "150 g is outside the usual 226 to 286 g for an empty set." in text(page)


def test_the_last_question_starts_with_what_the_set_is_made_for(client, dog):
    page = client.get(NEW, dog)
    assert 'name="wanted_ml" value="450"' in page.content.decode()
    assert "Stop at 734 g" in text(page)
    assert "Of Bramble’s blood 16 % 14.1 mL/kg; at most 576 mL" in text(page)


def test_the_largest_draw_and_the_density_name_their_sources(client, cat):
    page = text(client.get(NEW, cat))
    for told in (
        "1.053 g/mL",
        "Human convention 1.053 g/mL",
        "12 mL/kg",
        "ISFM 2021, from memory",
        "60 mL/kg",
    ):
        assert told in page


def test_a_cat_with_a_small_set_is_asked_in_its_own_measure(client, cat):
    page = text(client.get(NEW, cat))
    for told in (
        "50 mL of blood into 7 mL of CPDA-1; no additive",
        "Stop at 93 g",
        "This set takes 45 to 55 mL from Sorrel",
    ):
        assert told in page


def test_the_target_follows_the_volume_while_it_is_typed(client, dog):
    part = client.get("/draws/target/", {**dog, "wanted_ml": "430"})
    assert "Stop at 713 g" in text(part)
    assert "wanted_ml=430" in part["HX-Replace-Url"]
    assert 'name="wanted_ml" value="430"' in client.get(part["HX-Replace-Url"]).content.decode()


@pytest.mark.parametrize("typed", ["", "4o0"])
def test_a_volume_half_typed_is_not_scolded(client, dog, typed):
    part = client.get("/draws/target/", {**dog, "wanted_ml": typed})
    assert "Type the volume in mL" in text(part)
    assert "HX-Replace-Url" not in part


def test_a_target_without_the_answers_before_it_is_not_there(client, dog):
    assert 404 == client.get("/draws/target/", {"donor": dog["donor"], "wanted_ml": "450"}).status_code


def test_starting_records_the_draw_and_leads_to_the_running_page(client, dog):
    answer = start(client, dog, "450")
    row = DonationRow.objects.get()
    assert reverse("draw-finish", args=[row.donation]) == answer.url
    assert (734, 450) == (row.target_g, row.wanted_ml)
    page = text(client.get(answer.url))
    assert "make 734 g. Next: a sticker on every bag of the set." in page


@pytest.mark.parametrize(
    ("wanted_ml", "sentence"),
    [
        ("4S0", "has the letter S in it"),
        ("600", "This set holds anticoagulant for 450 mL: draw 405 to 495 mL"),
        ("600", "600 mL is more than this donor can give: at 32 kg the largest draw is 576 mL"),
        ("", "Wanted volume is missing."),
    ],
)
def test_a_bad_volume_is_refused_and_kept(client, dog, wanted_ml, sentence):
    before = entries()
    page = start(client, dog, wanted_ml)
    assert sentence in text(page)
    assert f'name="wanted_ml" value="{wanted_ml}"' in page.content.decode() or not wanted_ml
    assert before == entries()


def test_a_draw_cannot_begin_in_the_time_to_come(client, walk, dog):
    page = start(client, dog, "450", happened_at="24 Oct 2199 14:05")
    assert "still to come" in text(page)
    assert 'value="24 Oct 2199 14:05"' in page.content.decode()
    assert not DonationRow.objects.exists()


def test_the_same_start_sent_twice_makes_one_draw(client, dog):
    page = client.get(NEW, dog)
    sent = {**hidden(page), "wanted_ml": "450"}
    address = f"{NEW}?{page.request['QUERY_STRING']}"
    first, second = client.post(address, sent), client.post(address, sent)
    assert (302, first.url) == (second.status_code, second.url)
    assert 1 == DonationRow.objects.count()


def test_two_people_with_one_donor_make_one_draw(client, dog):
    page = client.get(NEW, dog)
    start(client, dog, "450")
    late = client.post(f"{NEW}?{page.request['QUERY_STRING']}", {**hidden(page), "wanted_ml": "450"})
    assert "Bramble cannot give today" == asked(late)
    assert 1 == DonationRow.objects.count()
