"""The pages of the donors: each bad answer gets its sentence, keeps what was typed and records nothing."""

import re
import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth import get_user_model
from django.utils.html import escape

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import Donor, ExamineDonor
from buffycoat.draws.rules import DiscardDonation
from buffycoat.journal.book import Book
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.people.models import OwnerContact
from buffycoat.science.numbering import show_code
from tests.pages import near_noon
from tests.walk import unknown

pytestmark = pytest.mark.one_database

BRAMBLE = {"name": "Bramble", "species": "dog", "sex": "female", "born_on": "1 May 2021", "breed": "Mixed"}


@pytest.fixture
def walk(db):
    return near_noon(timedelta(days=180))


def days_ago(walk, days):
    walk.at = datetime.now(UTC) - timedelta(days=days, hours=1)


def post(client, address, **typed):
    return client.post(address, {"command_id": uuid.uuid4(), **typed})


def text(response):
    """What a person reads, on one line."""
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).replace("\xa0", " ").split())


def names(client, query=""):
    return re.findall(r'<a href="/donors/D\w+/">(\w+)</a>', client.get(f"/donors/{query}").content.decode())


def test_a_registered_donor_has_a_number_and_a_page(client):
    response = post(client, "/donors/new/", **BRAMBLE)
    donor = DonorRow.objects.get(name="Bramble").donor
    assert f"/donors/{donor}/" == response["Location"]
    page = text(client.get(response["Location"]))
    assert f"Bramble is registered as {show_code(donor)}. Next:" in page
    assert "Mixed" in page
    assert "type not known" in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name": " "}, "Name is missing. Type it."),
        ({"species": ""}, "Species: choose one."),
        ({"sex": "x"}, "Sex: choose one of those shown."),
        ({"born_on": "5/6/2021"}, "In “5/6/2021” the day and the month could be mistaken for each other."),
        ({"born_on": "1 May 2031"}, "01 May 2031 is still to come: give the day of birth."),
        ({"breed": "M" * 101}, "This is 101 characters long; at most 100 fit."),
    ],
)
def test_a_donor_typed_badly_is_not_registered(client, typed, sentence):
    response = post(client, "/donors/new/", **BRAMBLE | typed)
    assert sentence in text(response)
    assert "<title>Error:" in response.content.decode()
    assert (
        f'value="{BRAMBLE["born_on"] if "born_on" not in typed else typed["born_on"]}"'
        in response.content.decode()
    )
    assert 0 == DonorRow.objects.count()


def test_a_donor_of_the_same_name_species_and_birthday_is_asked_about_first(client):
    post(client, "/donors/new/", **BRAMBLE)
    again = post(client, "/donors/new/", **BRAMBLE | {"name": "bramble"})
    assert "There is a donor of that name: Bramble, a dog born on the same day." in text(again)
    assert f'href="/donors/{DonorRow.objects.get().donor}/"' in again.content.decode()
    post(client, "/donors/new/", **BRAMBLE | {"name": "bramble", "another": "on"})
    assert 2 == DonorRow.objects.count()


@pytest.mark.parametrize("typed", [{"species": "cat"}, {"born_on": "2 May 2021"}])
def test_the_same_name_alone_is_no_question(client, typed):
    post(client, "/donors/new/", **BRAMBLE)
    post(client, "/donors/new/", **BRAMBLE | typed)
    assert 2 == DonorRow.objects.count()


def test_the_same_form_sent_twice_registers_one_donor_and_asks_nothing(client):
    form = {"command_id": uuid.uuid4(), **BRAMBLE}
    first, second = client.post("/donors/new/", form), client.post("/donors/new/", form)
    assert first["Location"] == second["Location"]
    assert 1 == DonorRow.objects.count()


def test_weight_and_pcv_of_today_open_the_way_to_the_draw(client, walk):
    donor = walk.a_donor("dog", examined=False)
    before = text(client.get(f"/donors/{donor}/"))
    assert "Not yet" in before
    assert "Weigh Bramble and read the PCV first: both must be of today." in before
    response = post(
        client, f"/donors/{donor}/examine/", weight_g="32.4", pcv_permille="45.5 %", cautions="Shy"
    )
    assert 32_400 == Book()(Donor, donor).examined.weight_g
    after = client.get(response["Location"])
    assert "Weighed 32.4 kg, PCV 45.5 %. Next: draw." in text(after)
    assert "give today? Yes" in text(after)
    assert "Caution. Shy" in text(after)
    assert f'class="button button-main" href="/draws/new/?donor={donor}"' in after.content.decode()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"weight_g": "3x"}, "“3x” has the letter x in it."),
        ({"weight_g": "3,2"}, "“3,2” has a comma."),
        ({"weight_g": "324"}, "324 kg is no weight of a donor dog (1 to 120 kg): weigh again."),
        ({"pcv_permille": ""}, "PCV today is missing. Type it in %."),
        ({"pcv_permille": "80"}, "A PCV of 80 % is not read in a living animal (5 to 75 %): read it again."),
        ({"happened_at": "soon"}, "“soon” has no clock time at its end."),
    ],
)
def test_a_weight_or_pcv_typed_badly_is_not_recorded(client, walk, typed, sentence):
    donor = walk.a_donor("dog", examined=False)
    count = Entry.objects.count()
    given = {"weight_g": "32", "pcv_permille": "45", "cautions": "Shy", **typed}
    response = post(client, f"/donors/{donor}/examine/", **given)
    assert sentence in text(response)
    assert f'value="{given["weight_g"]}"' in response.content.decode()
    assert "Shy" in text(response)
    assert count == Entry.objects.count()


def test_two_people_at_one_donor_are_told_who_was_faster(client, walk):
    donor = walk.a_donor("dog", examined=False)
    seen = re.search(
        r'name="seen" value="([^"]+)"', client.get(f"/donors/{donor}/examine/").content.decode()
    )[1]
    walk.by = "kim"
    walk.do(ExamineDonor(donor=donor, weight_g=30_000, pcv_permille=440))
    response = post(
        client,
        f"/donors/{donor}/examine/",
        weight_g="32",
        pcv_permille="45",
        seen=seen.replace("&quot;", '"'),
    )
    assert "kim was faster" in text(response)
    assert 30_000 == Book()(Donor, donor).examined.weight_g


def test_every_reason_against_a_donor_stands_on_its_page_with_the_limits_behind_it(client, walk):
    days_ago(walk, 0)
    donor = walk.a_donor("cat", born_on=datetime.now(UTC).date() - timedelta(days=150))
    walk.do(ExamineDonor(donor=donor, weight_g=3_500, pcv_permille=300))
    response = client.get(f"/donors/{donor}/")
    page = text(response)
    assert "Sorrel is 4 months old; this site draws from 12 months on." in page
    assert "Sorrel weighs 3.5 kg; this site draws from 4 kg on." in page
    assert "PCV 30 %; this site draws from 35 % on." in page
    assert "ISFM 2021, from memory (35 %)" in page
    assert "button-main" not in response.content.decode()


def test_the_blood_type_of_a_first_test_is_recorded(client, walk):
    donor = walk.a_donor("cat", typed=False)
    response = post(client, f"/donors/{donor}/type/", blood_type="AB", method="Invented card, lot 7")
    assert "AB" == Book()(Donor, donor).blood_type
    assert "Sorrel is AB. Another person reads it a second time" in text(client.get(response["Location"]))


def test_a_second_reading_is_taken_blind_and_is_another_persons(client, walk):
    donor = walk.a_donor("cat")
    page = client.get(f"/donors/{donor}/type/").content.decode()
    assert "checked" not in page
    assert "card-type" not in page
    assert "and is not shown here: read the test for yourself." in page
    client.force_login(get_user_model().objects.create_user("kim"))
    agreed = post(client, f"/donors/{donor}/type/", blood_type="A")
    assert "Sorrel is A. Both readings agree." in text(client.get(agreed["Location"]))
    count = Entry.objects.count()
    own = post(client, f"/donors/{donor}/type/", blood_type="A")
    assert "kim read this already: another person reads it now." in text(own)
    assert count == Entry.objects.count()


def test_a_dog_has_no_cats_type(client, walk):
    donor = walk.a_donor("dog", typed=False)
    response = post(client, f"/donors/{donor}/type/", blood_type="AB")
    assert "Blood type: choose one of those shown." in text(response)
    assert Book()(Donor, donor).typed is None


def test_the_owners_contact_is_kept_changed_and_erased_outside_the_journal(client, walk):
    donor = walk.a_donor("dog")
    count = Entry.objects.count()
    address = f"/donors/{donor}/owner/"
    client.post(address, {"name": "A. Example", "phone": "+00 1234", "email": ""})
    page = client.get(f"/donors/{donor}/")
    assert 'href="tel:+001234"' in page.content.decode()
    assert "Contacts are kept outside the journal and can be erased." in text(page)
    client.post(address, {"name": "B. Example", "phone": "", "email": "b@example.org"})
    assert ["B. Example"] == list(OwnerContact.objects.values_list("name", flat=True))
    client.post(address, {"erase": "yes"})
    assert 0 == OwnerContact.objects.count()
    assert "No contact is kept." in text(client.get(f"/donors/{donor}/"))
    assert count == Entry.objects.count()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        (
            {"name": "A. Example", "email": "a at example"},
            "“a at example” is no e-mail address: type it like",
        ),
        (
            {"name": "", "email": ""},
            "Nothing is filled in. Type a name, a phone number or an e-mail address.",
        ),
        ({"name": "A. Example", "phone": "1" * 41}, "This is 41 characters long; at most 40 fit."),
    ],
)
def test_a_contact_typed_badly_is_not_kept(client, walk, typed, sentence):
    response = client.post(f"/donors/{walk.a_donor()}/owner/", typed)
    assert sentence in text(response)
    assert escape(typed["name"]) in response.content.decode()
    assert 0 == OwnerContact.objects.count()


def test_the_page_tells_what_became_of_each_donation(client, walk):
    donor = walk.a_donor("dog")
    shelved = walk.on_the_shelf("dog", donor=donor)
    days_ago(walk, 60)
    walk.do(ExamineDonor(donor=donor, weight_g=32_000, pcv_permille=450))
    thrown = walk.drawn("dog", donor=donor)
    walk.do(DiscardDonation(donation=thrown, reason="Clot seen"))
    days_ago(walk, 0)
    walk.do(ExamineDonor(donor=donor, weight_g=32_000, pcv_permille=450))
    running = walk.draw_started("dog", donor=donor)
    page = text(client.get(f"/donors/{donor}/"))
    rows = {each: page.split(show_code(each), 1)[1][:170] for each in (running, thrown, shelved)}
    assert "The draw is running." in rows[running]
    assert "Discarded: Clot seen" in rows[thrown]
    assert "Red cells in additive , in Fridge 1" in rows[shelved]
    assert "Fresh frozen plasma , in Freezer 1" in rows[shelved]
    assert f"gave on {datetime.now(UTC):%d %b %Y}" in page


def test_the_journal_of_a_donor_names_what_was_struck_and_why(client, walk):
    donor = walk.a_donor("dog")
    strike(Entry.objects.get(kind="donor-examined").number, reason="Another dog", by="robin")
    page = text(client.get(f"/donors/{donor}/"))
    assert "Donor examined: 32 kg, PCV 45 %" in page
    assert "Struck by robin: Another dog" in page


@pytest.fixture
def four(client, walk):
    """Ash gave long ago, Birch gave lately, Cedar never gave and is not typed, Dill is a cat."""
    ash, birch = walk.a_donor("dog", name="Ash"), walk.a_donor("dog", name="Birch")
    walk.drawn("dog", donor=ash)
    days_ago(walk, 10)
    walk.do(ExamineDonor(donor=birch, weight_g=40_000, pcv_permille=450))
    walk.drawn("dog", donor=birch)
    cedar = walk.a_donor("dog", name="Cedar", typed=False, examined=False)
    OwnerContact(donor=cedar, name="Q. Example").save()
    return {"ash": ash, "birch": birch, "cedar": cedar, "dill": walk.a_donor("cat", name="Dill")}


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", ["Ash", "Birch", "Cedar", "Dill"]),
        ("?find=IR", ["Birch"]),
        ("?find=q.+ex", ["Cedar"]),
        ("?find=nobody", []),
        ("?species=cat", ["Dill"]),
        ("?blood_type=A", ["Dill"]),
        ("?blood_type=type+not+known", ["Cedar"]),
        ("?gave=never", ["Cedar", "Dill"]),
        ("?gave=rested", ["Ash", "Cedar", "Dill"]),
        ("?gave=resting", ["Birch"]),
        ("?gave=nonsense&species=horse&sort=nonsense", ["Ash", "Birch", "Cedar", "Dill"]),
        ("?sort=gave", ["Cedar", "Dill", "Ash", "Birch"]),
        ("?sort=weight", ["Birch", "Ash", "Dill", "Cedar"]),
        ("?sort=type", ["Dill", "Ash", "Birch", "Cedar"]),
    ],
)
def test_donors_are_found_narrowed_and_sorted(client, four, query, found):
    assert found == names(client, query)


def test_a_donor_is_found_by_its_number_as_it_is_printed(client, four):
    assert ["Cedar"] == names(client, f"?find={show_code(four['cedar']).lower()}")


def test_the_list_says_from_when_a_donor_may_give_again(client, four, walk):
    gave_at = walk.look(Donor, four["birch"]).last_drawn_at
    assert f"from {(gave_at + timedelta(days=56)).day} " in text(client.get("/donors/?find=Birch"))


def test_an_empty_list_says_what_to_do(client):
    assert "No donor is registered yet. Register the first one." in text(client.get("/donors/"))


def test_the_donors_card_is_a_pdf_shown_in_the_page(client, walk):
    donor = walk.a_donor("dog")
    response = client.get(f"/donors/{donor}/card.pdf")
    assert "application/pdf" == response["Content-Type"]
    assert response.content.startswith(b"%PDF")
    assert response["Content-Disposition"].startswith("inline")


@pytest.mark.parametrize("page", ["", "examine/", "type/", "owner/", "card.pdf"])
def test_a_number_that_no_donor_has_is_not_found(client, page):
    assert 404 == client.get(f"/donors/{unknown('D')}/{page}").status_code
