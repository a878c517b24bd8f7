"""Today, the scan box, the stories, the journal, and the pages that say what went wrong."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from buffycoat.donors.rules import TypeBlood
from buffycoat.draws.rules import DiscardDonation
from buffycoat.draws.stickers import sticker
from buffycoat.equipment.rules import RegisterEquipment
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.strike import strike
from buffycoat.labels.rules import PrintLabel
from buffycoat.science.numbering import KINDS, make_code, show_code
from buffycoat.separation.rules import ExpressPlasma
from buffycoat.spins.models import SpinRow
from tests.issuing.giving import a_patient, a_request
from tests.pages import answer, asked, fields, kinds_since, nothing_recorded, text
from tests.walk import unknown

pytestmark = pytest.mark.one_database


def scan(client, code, **how):
    return client.get(reverse("scan"), {"code": code}, **how)


def test_today_tells_a_newcomer_what_to_set_up_first_with_links(client):
    page = client.get("/")
    assert "First, set up the bank" in text(page)
    for name in ("limits", "place-new", "rotor-new", "bag-set-new", "donor-new"):
        assert f'href="{reverse(name)}"' in page.content.decode()
    assert "No bag is in work." in text(page)


def test_what_is_set_up_is_marked_as_done_until_work_begins(client, walk):
    walk.a_place("fridge")
    assert "2. Open a fridge and a freezer Each gets a card" in text(client.get("/"))
    walk.a_place("freezer")
    assert "Open a fridge and a freezer: done" in text(client.get("/"))
    walk.drawn("dog")
    assert "First, set up the bank" not in text(client.get("/"))


def test_today_shows_each_job_with_its_clock_the_nearest_first(client, walk):
    walk.drawn("dog", donor=walk.a_donor("dog", name="Barnacle"))
    walk.in_spin(walk.drawn("cat"))
    page = text(client.get("/"))
    assert page.index("In the centrifuge") < page.index("Waits for the spin")
    assert "Spin ends" in page
    assert "Freezer until" in page


def test_today_shows_what_runs_out_and_what_has_run_out(client, walk):
    walk.on_the_shelf("cat")
    assert "Nothing runs out within" in text(client.get("/"))


@pytest.mark.parametrize(
    ("text_of_code", "why"),
    [
        ("", "No code was given Nothing was scanned or typed."),
        ("40123456", "A code of ours has 14 letters and figures; this has 8."),
        (unknown("G")[:-2] + "00", "a character was misread"),
        (unknown("D"), "This is a good code of a donor, but nothing by that number is in the book."),
        (make_code("U", "QRTU", 7), "This is the code of a unit from another site (QRTU; ours has HAVN)"),
        (make_code("C", "HAVN", 7), "This is the code of a command card, and that opens no page"),
        ("<script>x</script>", "leads nowhere"),
    ],
)
def test_a_code_that_leads_nowhere_gets_one_sentence_and_stays(client, text_of_code, why):
    response = scan(client, text_of_code)
    assert 404 == response.status_code
    assert why in text(response)
    assert "<script>x" not in response.content.decode()


def test_every_kind_of_code_leads_to_its_page(client, walk):
    donation = walk.on_the_shelf("dog")
    a_request(walk, a_patient(walk))
    plate = {"name": "Bath", "sort": "bath", "maker_number": "INV-1", "checked_how": "A thermometer"}
    walk.do(RegisterEquipment(**plate, check_every_days=90, due_on=walk.at.date()))
    entries = Entry.objects.values_list("stream", flat=True)
    codes = {stream.partition("/")[2] for stream in entries if not stream.startswith("site/")}
    assert set(KINDS) - {"H", "C", *"JKMVN"} == {code[0] for code in codes}
    for code in codes:
        response = scan(client, f"]C0{show_code(code).lower()}", follow=True)
        assert 200 == response.status_code
        assert code in response.redirect_chain[-1][0]
    assert reverse("donation", args=[donation]) == scan(client, donation).url


@pytest.mark.parametrize("kind", "GJKM")
def test_a_bag_in_work_leads_to_its_next_step_by_any_of_its_stickers(client, walk, kind):
    donation = walk.spun("dog")
    assert "How much plasma came off?" == asked(scan(client, sticker(donation, kind), follow=True))


@pytest.mark.parametrize("kind", "VN")
def test_a_tube_and_a_paper_lead_to_the_story_of_their_donation(client, walk, kind):
    donation = walk.spun("dog")
    assert reverse("donation", args=[donation]) == scan(client, sticker(donation, kind)).url


@pytest.mark.parametrize("kind", "JV")
def test_a_sticker_of_no_donation_leads_nowhere(client, kind):
    assert "nothing by that number is in the book" in text(scan(client, unknown(kind)))


def test_a_next_step_says_nothing_of_its_own_when_nothing_was_done(client, walk):
    page = client.get(reverse("next-step", args=[walk.spun("dog")]), follow=True)
    assert "Next:" not in text(page)


@pytest.mark.parametrize("name", ["donation", "next-step"])
def test_an_unknown_donation_is_not_found(client, name):
    assert 404 == client.get(reverse(name, args=[unknown("G")])).status_code


def test_the_story_of_a_donation_has_family_units_timeline_and_book(client, walk):
    donation = walk.on_the_shelf("dog")
    page = client.get(reverse("donation", args=[donation]))
    for told in (
        "Family",
        "Units",
        "Timeline",
        "In the book",
        "Bramble",
        "Fresh frozen plasma",
        "Plasma expressed",
    ):
        assert told in text(page)
    assert reverse("today") in page.content.decode()


def test_the_story_of_a_unit_is_its_donations(client, walk):
    units = walk.units(walk.on_the_shelf("dog"))
    page = text(client.get(reverse("unit", args=[units["red-cells"]])))
    assert "haematocrit computed" in page
    assert "Plasma expressed" in page
    assert 404 == client.get(reverse("unit", args=[unknown("U")])).status_code


def test_a_struck_and_a_relabelled_entry_stay_readable_in_the_story(client, walk):
    donation = walk.expressed("dog")
    number = Entry.objects.get(kind="plasma-expressed").number
    strike(number, reason="read off the wrong scale", by="kim")
    walk.do(ExpressPlasma(donation=donation, plasma_g=200))
    walk.finish_cells(donation)
    walk.weigh(donation)
    walk.do(PrintLabel(donation=donation, part="plasma"))
    walk.do(PrintLabel(donation=donation, part="plasma", reason="smeared"))
    page = client.get(reverse("donation", args=[donation]))
    assert "read off the wrong scale" in text(page)
    assert "Struck by kim" in text(page)
    assert "copy 2, smeared" in text(page)
    assert f'<th scope="row" class="number struck">{number}</th>' in page.content.decode()


def test_the_journal_tells_each_entry_the_newest_first(client, walk):
    walk.on_the_shelf("dog")
    page = text(client.get(reverse("journal")))
    assert page.index("Unit put away") < page.index("Donor registered")
    assert "{" not in page.split("Correct", 1)[1]  # no fact is told as raw data
    assert "Time zone: " in page
    assert f"{Head.objects.get().number} entries." in page


@pytest.mark.parametrize("number", ["", "2", "999", "-1", "x"])
def test_the_journal_is_read_by_the_hundred(client, walk, number):
    for _ in range(35):
        walk.a_donor("dog", name="Bramble")
    page = client.get(reverse("journal"), {"page": number})
    assert 200 == page.status_code
    assert "of 2" in text(page)


def test_the_journal_is_checked_by_a_button(client, walk):
    walk.a_donor("dog")
    said = text(client.post(reverse("journal-check"), follow=True))
    assert f"The journal is whole: {Head.objects.get().number} entries, each seal fits." in said
    assert 405 == client.get(reverse("journal-check")).status_code


def test_a_struck_entry_leads_to_where_the_right_one_is_written(client, walk):
    donation = walk.expressed("dog")
    number = Entry.objects.get(kind="plasma-expressed").number
    address, count = reverse("journal-strike", args=[number]), Entry.objects.count()
    sent = {**fields(client.get(address)), "reason": "wrong scale"}
    first, second = (client.post(address, sent) for _ in range(2))
    assert ["entry-struck"] == kinds_since(count)
    assert reverse("next-step", args=[donation]) == first.url == second.url
    page = client.get(first.url, follow=True)
    assert f"Entry {number} is struck and no longer counts." in text(page)
    assert "How much plasma came off?" == asked(page)
    assert "Struck by robin: wrong scale" in text(client.get(reverse("journal")))
    assert "This entry is struck already" in text(client.get(address))


def test_what_was_written_in_one_step_is_shown_and_struck_together(client, walk):
    walk.in_spin(walk.drawn("dog"), walk.drawn("dog"))
    entry = Entry.objects.get(kind="spin-started")
    address = reverse("journal-strike", args=[entry.number])
    assert "These 3 entries were written in one step and are struck together." in text(client.get(address))
    response = answer(client, address, reason="wrong rotor")
    assert reverse("story", args=[entry.stream.partition("/")[2]]) == response.url
    assert not SpinRow.objects.exists()


@pytest.mark.parametrize(
    ("kind", "typed", "sentence"),
    [
        ("plasma-expressed", "", "Why it is struck is missing."),
    ],
)
def test_a_strike_without_a_reason_or_under_other_entries_is_refused(client, walk, kind, typed, sentence):
    walk.expressed("dog")
    address = reverse("journal-strike", args=[Entry.objects.filter(kind=kind).first().number])
    with nothing_recorded():
        response = answer(client, address, reason=typed)
    assert sentence in text(response)
    assert typed in response.content.decode()


def test_an_unknown_entry_is_not_found(client):
    assert 404 == client.get(reverse("journal-strike", args=[999_999])).status_code


def test_help_tells_the_way_of_a_unit(client):
    assert "The way of a unit" in text(client.get(reverse("help")))


@pytest.mark.parametrize("address", ["/nothing/", "/donations/zzz/", "/units/%3Cb%3E/", "/journal/x/strike/"])
def test_an_unknown_address_gets_one_sentence_in_the_frame_of_every_page(client, address):
    response = client.get(address)
    assert 404 == response.status_code
    assert "There is no such page Nothing in this book has the address or number" in text(response)
    assert "scan the code again" in text(response)
    assert "<b>" not in response.content.decode().split("<main")[1]


def test_a_form_of_a_page_that_is_too_old_says_to_open_it_afresh(client, walk):
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = client.cookies
    with nothing_recorded():
        response = strict.post(reverse("place-new"), {"name": "Fridge 1", "appliance": "fridge"})
    assert 403 == response.status_code
    assert "This page is too old: open it afresh Nothing of it was recorded." in text(response)
    assert f'href="{reverse("place-new")}"' in response.content.decode()


def test_whoever_is_not_signed_in_sees_no_page(db):
    assert reverse("sign-in") in Client().get(reverse("journal")).url


def test_a_discarded_donation_has_nothing_left_to_do(client, walk):
    donation = walk.drawn("dog")
    walk.do(DiscardDonation(donation=donation, reason="It fell."))
    page = client.get(reverse("next-step", args=[donation]), follow=True)
    assert "This donation was discarded: nothing is left to do with it." in text(page)
    assert "It fell." in text(page)


def test_an_expired_unit_is_marked_on_today_and_its_page_offers_only_the_discard(client, walk):
    walk.at -= timedelta(days=60)
    unit = walk.units(walk.on_the_shelf("cat"))["red-cells"]
    today = text(client.get("/"))
    assert "Take off the shelf" in today
    assert "expired" in today
    page = client.get(reverse("unit", args=[unit]))
    assert reverse("unit-discard", args=[unit]) in page.content.decode()
    assert f"{reverse('put-away')}?unit={unit}" not in page.content.decode()
    assert "Stop" in text(page)


def test_a_unit_whose_donor_was_typed_anew_is_stopped_and_its_page_says_why(client, walk):
    donor = walk.a_donor("cat")
    unit = walk.units(walk.on_the_shelf("cat", donor=donor))["red-cells"]
    number = Entry.objects.get(kind="blood-typed").number
    strike(
        number, reason="another cat", by="kim", again=TypeBlood(donor=donor, blood_type="B", method="card")
    )
    assert "its donor is now B: print its label again" in text(client.get("/"))
    page = text(client.get(reverse("unit", args=[unit])))
    assert "Do not give it. Its donor is now B: print its label again, or discard it." in page
    assert "Print its label again" in page
