"""The pages on which a visit and a donor's health are written down, and what the coordinator sees over all donors."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.contrib.auth import get_user_model
from icalendar import Calendar

from buffycoat.donors.models import CallRow, DonorRow
from buffycoat.donors.questions import asked_of
from buffycoat.donors.rules import (
    CallOwner,
    ClearPositive,
    DeferDonor,
    Donor,
    ExamineDonor,
    RecordTest,
    RetireDonor,
    SetPanelTest,
    WaiveChecks,
    Waived,
)
from buffycoat.donors.steps import STEPS
from buffycoat.journal.book import Book
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.journal.strike import strike
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import limits
from buffycoat.storage.stock import stock
from buffycoat.trace.effects import units
from tests.pages import near_noon, pdf, text
from tests.walk import unknown

pytestmark = pytest.mark.one_database

DOG_QUESTIONS = [question.key for question in asked_of("dog", "female")]


@pytest.fixture
def walk(db):
    return near_noon(timedelta(days=10))


@pytest.fixture
def donor(client, walk):
    return walk.a_donor()


def send(client, donor, step, **typed):
    return client.post(f"/donors/{donor}/{step}/", {"command_id": uuid4(), **typed})


def sheet(client, donor):
    return text(client.get(f"/donors/{donor}/"))


@pytest.mark.parametrize("step", [each.key for each in STEPS])
def test_every_step_has_a_page_and_says_what_is_missing(client, donor, step):
    page = client.get(f"/donors/{donor}/{step}/")
    assert 200 == page.status_code
    before = Entry.objects.count()
    refused = send(client, donor, step)
    assert 200 == refused.status_code
    assert "<title>Error:" in refused.content.decode()
    assert before == Entry.objects.count()


@pytest.mark.parametrize("step", [each.key for each in STEPS])
def test_a_step_of_a_donor_that_nobody_knows_is_not_there(client, walk, step):
    assert 404 == client.get(f"/donors/{unknown('D')}/{step}/").status_code


DAY = "1 Mar 2025"


@pytest.mark.parametrize(
    ("step", "typed", "told"),
    [
        ("consent", {"version": "1"}, "Consent: Version 1, signed by the owner."),
        ("chip", {"chip": "900 000 000 000 001"}, "Chip: 900000000000001, ISO 11784."),
        ("chip", {"chip": "12-34567a9"}, "Chip: 1234567A9, older, 9 characters."),
        ("medicine", {"medicine": "Drops", "given_on": DAY}, "Medicine: Drops, given 1 Mar 2025."),
        (
            "vaccine",
            {"vaccine": "Core", "given_on": DAY, "valid_until": "1 Mar 2026"},
            "Vaccination: Core, given 1 Mar 2025, valid until 1 Mar 2026.",
        ),
        ("journey", {"region": "Coast", "returned_on": DAY}, "Journey: Coast, back on 1 Mar 2025."),
        ("defer", {"reason": "Bites"}, "Deferral: Bites, until it is lifted."),
        ("sedation", {"protocol": "Invented 1 mg"}, "Sedation: Invented 1 mg."),
        ("retire", {"reason": "Stiff", "died": "on"}, "Retirement: Died. Stiff."),
    ],
)
def test_what_is_written_down_is_read_back_and_stands_in_the_journal(client, donor, step, typed, told):
    answered = send(client, donor, step, **typed)
    assert f"/donors/{donor}/" == answered["Location"]
    page = sheet(client, donor)
    assert told in page
    assert told.split(": ", 1)[1].rstrip(".") in page.split("In the journal")[-1]


@pytest.mark.parametrize(
    ("step", "typed", "sentence"),
    [
        ("chip", {"chip": "12345"}, "“12345” is no chip number: 15 figures, or 9 or 10 characters"),
        ("chip", {"chip": "90000000000000A"}, "has letters in it; a chip of 15 has figures only."),
        (
            "vaccine",
            {"vaccine": "C", "given_on": DAY, "valid_until": DAY},
            "valid for longer than its own day",
        ),
        ("medicine", {"medicine": "C", "given_on": "1 Mar 2099"}, "01 Mar 2099 is still to come"),
        ("defer", {"reason": "C", "no_draw_before": DAY}, "01 Mar 2025 is not to come"),
        (
            "sedation",
            {"protocol": "C", "lowest_systolic_mmhg": "5"},
            "5 mmHg is no pressure of a living animal",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_words(client, donor, step, typed, sentence):
    before = Entry.objects.count()
    assert sentence in text(send(client, donor, step, **typed))
    assert before == Entry.objects.count()


def test_a_yes_that_defers_leads_to_the_deferral_as_the_question_proposes_it(client, donor):
    answers = dict.fromkeys(DOG_QUESTIONS, "no") | {"unwell": "yes", "unwell_words": "coughs"}
    proposed = send(client, donor, "questions", **answers)["Location"]
    assert f"/donors/{donor}/defer/?reason=unwell+lately&no_draw_before=" in proposed
    page = client.get(proposed).content.decode()
    assert "unwell lately" in page
    assert "unwell lately (coughs)" in sheet(client, donor)


def test_a_yes_that_excludes_for_good_proposes_no_day(client, donor):
    answers = dict.fromkeys(DOG_QUESTIONS, "no") | {"transfused": "yes", "unwell": "yes"}
    proposed = send(client, donor, "questions", **answers)["Location"]
    assert "no_draw_before" not in proposed


def test_questions_without_a_yes_lead_back_to_the_donor(client, donor):
    assert (
        f"/donors/{donor}/"
        == send(client, donor, "questions", **dict.fromkeys(DOG_QUESTIONS, "no"))["Location"]
    )


def test_the_rest_of_the_examination_is_recorded_and_read_back(client, donor):
    rest = {"temperature_deci_c": "38.6", "pulse_per_min": "90", "breaths_per_min": "24", "murmur": "no"}
    rest |= {"pcv_method": "spun tube", "total_protein_g_per_l": "62", "mucous_membranes": "pink"}
    send(client, donor, "examine", weight_g="32.4", pcv_permille="45", **rest)
    assert (386, False) == (
        Book()(Donor, donor).examined.temperature_deci_c,
        Book()(Donor, donor).examined.murmur,
    )
    told = (
        "32.4 kg, PCV 45 % (spun tube), total protein 62 g/L, 38.6 °C, pulse 90, breaths 24, "
        "membranes pink, no murmur"
    )
    assert told in sheet(client, donor)


def test_two_readings_that_differ_are_not_shown_on_the_donors_page(client, donor, walk):
    first = client.get(f"/donors/{donor}/type/").content.decode()
    assert "DEA 1 negative</span>" in first
    assert "checked" not in first
    client.force_login(get_user_model().objects.create_user("kim"))
    answered = send(client, donor, "type", blood_type="DEA 1 positive")
    page = text(client.get(answered["Location"]))
    assert "The readings of Bramble do not agree, and neither is shown" in page
    assert "DEA 1 positive" not in page.split("In the journal")[-1]
    assert "DEA 1 negative" not in page.split("In the journal")[-1]


def test_a_positive_test_says_on_the_page_that_what_it_gave_waits(client, donor):
    send(client, donor, "test", agent="Babesia gibsoni", method="PCR", result="positive", taken_on=DAY)
    assert "What it gave and is in date waits: its donor was positive" in sheet(client, donor)
    assert DonorRow.objects.get(donor=donor).held
    cleared = {"test": "Babesia gibsoni by PCR", "decided_by": "Dr Invented", "reason": "Twice negative"}
    send(client, donor, "clear", **cleared)
    assert "" == DonorRow.objects.get(donor=donor).held


def test_what_a_positive_donor_gave_waits_on_the_shelf_until_it_is_cleared(client, donor, walk):
    donation = walk.on_the_shelf(donor=donor)
    other = walk.on_the_shelf("cat")

    def words():
        at, site = walk.at, limits(Book())
        found = {unit.row.donation_id: unit.status for unit in stock(at, site)}
        effect = {unit.status for unit in units(Book(), donation, at).values()}
        return found[donation], found[other], effect

    assert ("ready", "ready", {"ready"}) == words()
    test = {"agent": "Babesia gibsoni", "method": "PCR"}
    walk.do(RecordTest(donor=donor, taken_on=walk.at.date(), result="positive", **test))
    assert ("waiting", "ready", {"waiting"}) == words()
    named = "Babesia gibsoni by PCR"
    walk.do(ClearPositive(donor=donor, test=named, decided_by="Dr Invented", reason="Twice negative"))
    assert ("ready", "ready", {"ready"}) == words()


def test_an_emergency_leaves_out_what_is_ticked_and_nothing_else(client, walk):
    old = walk.a_donor(born_on=walk.at.date() - timedelta(days=3_650))
    page = client.get(f"/donors/{old}/waive/").content.decode()
    assert "check_age" in page
    send(client, old, "waive", check_age="on", decided_by="Dr Invented", reason="Bleeding")
    assert ("age",) == Book()(Donor, old).waived.checks


def test_a_draw_begins_with_what_is_to_be_minded_and_what_was_waived(client, walk):
    walk.at = datetime.now(UTC) - timedelta(minutes=20)
    old = walk.a_donor(born_on=walk.at.date() - timedelta(days=4_000))
    stopped = text(client.get(f"/draws/new/?donor={old}"))
    assert "cannot give today" in stopped
    waived = (Waived(check="age"),)
    walk.do(WaiveChecks(donor=old, checks=waived, decided_by="Dr Invented", reason="Bleeding"))
    page = text(client.get(f"/draws/new/?donor={old}"))
    assert "To mind: Nobody was asked about Bramble today: go through the questions." in page
    assert "Emergency donor, checks waived: age." in page


def test_the_call_is_due_after_some_days_and_gone_when_it_was_made(client, donor, walk):
    donation = walk.drawn(donor=donor)
    page = text(client.get("/donors/calls/"))
    assert "due since" in page
    assert show_code(donation) in page
    walk.do(CallOwner(donor=donor, donation=donation, well=True))
    assert "No call is due." in text(client.get("/donors/calls/"))


def test_a_call_that_found_it_unwell_says_what_is_wrong(client, donor, walk):
    donation = walk.drawn(donor=donor)
    refused = send(client, donor, "call", donation=donation, well="no")
    assert "Say what is wrong with it, and what was advised." in text(refused)


def test_the_calendar_shows_each_donor_with_its_first_day(client, walk):
    gave, deferred, gone, _ = (walk.a_donor(name=name) for name in ("Birch", "Cedar", "Dill", "Ash"))
    walk.drawn(donor=gave)
    walk.do(DeferDonor(donor=deferred, reason="Bites people"))
    walk.do(RetireDonor(donor=gone, reason="Old"))
    page = text(client.get("/donors/calendar/"))
    assert "1 of 3 donors may give now by the calendar; 1 deferred or too old." in page
    assert "gave lately" in page
    assert "not by any day Bites people" in page
    assert "Dill" not in page


@pytest.mark.parametrize(
    ("standing", "found"),
    [
        ("now", {"Ash"}),
        ("soon", set()),
        ("deferred", {"Cedar", "Elm"}),
        ("retired", {"Dill"}),
        ("giving", {"Ash", "Birch", "Cedar", "Elm"}),
    ],
)
def test_the_list_is_narrowed_by_how_donors_stand(client, walk, standing, found):
    made = {name: walk.a_donor(name=name) for name in ("Ash", "Birch", "Cedar", "Dill", "Elm")}
    walk.drawn(donor=made["Birch"])
    walk.do(DeferDonor(donor=made["Cedar"], reason="Bites"))
    walk.do(RetireDonor(donor=made["Dill"], reason="Old"))
    test = {"agent": "Babesia gibsoni", "method": "PCR", "result": "positive"}
    walk.do(RecordTest(donor=made["Elm"], taken_on=walk.at.date(), **test))
    page = text(client.get(f"/donors/?standing={standing}"))
    assert found == {name for name in made if f" {name} " in page}


def test_a_donor_that_grew_too_old_is_not_among_those_that_may_give(client, walk):
    today = walk.at.date()
    walk.a_donor(name="Ash", born_on=today - timedelta(days=3_650))
    walk.a_donor(name="Birch", born_on=today - timedelta(days=1_500))
    page = text(client.get("/donors/calendar/"))
    assert "1 of 2 donors may give now by the calendar; 1 deferred or too old." in page
    assert "not by any day too old" in page
    assert "never now" in text(client.get("/donors/?standing=now"))
    assert " Ash " not in text(client.get("/donors/?standing=now"))
    assert "never too old" in text(client.get("/donors/?find=Ash"))


def test_what_is_known_of_its_health_and_its_draws_stands_on_the_donors_page(client, donor, walk):
    donation = walk.drawn(donor=donor)
    send(client, donor, "medicine", medicine="Drops", given_on=DAY, no_draw_before="2 Mar 2025")
    send(client, donor, "journey", region="Coast", returned_on=DAY)
    send(client, donor, "sedation", protocol="Invented 1 mg", lowest_systolic_mmhg="95")
    send(client, donor, "reaction", donation=donation, reaction="vomited", severity="mild")
    send(client, donor, "call", donation=donation, well="no", remarks="Tired, to rest")
    page = sheet(client, donor).split("In the journal")[0]
    read = f"DEA 1 negative read once: {walk.look(Donor, donor).readings['DEA 1'][0].at.day} "
    for told in (
        read,
        "(card)",
        "Drops, 1 Mar 2025 no draw before 2 Mar 2025",
        "Last back from a journey on 1 Mar 2025",
        "Last sedation: Invented 1 mg lowest 95 mmHg",
        f"{show_code(donation)}: vomited mild",
        f"{show_code(donation)}: not well, its owner says: Tired, to rest",
    ):
        assert told in page, told


def test_weight_and_pcv_are_drawn_over_the_visits_and_told_as_a_table(client, donor, walk):
    assert "2 visits" not in sheet(client, donor)
    walk.wait(days=3)
    walk.do(ExamineDonor(donor=donor, weight_g=31_500, pcv_permille=440))
    assert "2 visits: weight from 32 kg to 31.5 kg, PCV from 45 % to 44 %." in sheet(client, donor)


def test_the_panel_page_shows_what_is_asked_and_takes_the_sites_own(client, walk):
    page = text(client.get("/donors/panel/"))
    assert "Babesia vogeli PCR 365 days ACVIM 2016, Tables 1 and 2." in page
    own = {"species": "dog", "agent": "Leishmania spp.", "method": "serology", "interval_days": "180"}
    client.post("/donors/panel/", {"command_id": uuid4(), **own, "reason": "Dogs from the south"})
    page = text(client.get("/donors/panel/"))
    assert "Dog: Leishmania spp. by serology, every 180 days. Dogs from the south" in page


def test_the_thank_you_sheet_is_a_pdf(client, donor, walk):
    walk.drawn(donor=donor)
    assert pdf(client.get(f"/donors/{donor}/thanks.pdf"))
    assert 404 == client.get(f"/donors/{unknown('D')}/thanks.pdf").status_code


def feed_of(client):
    page = client.get("/donors/calendar/").content.decode()
    return page.split('id="feed" size="60" readonly value="http://testserver')[1].split('"')[0]


def test_the_feed_names_numbers_and_days_and_no_person(client, donor, walk):
    walk.drawn(donor=donor)
    link = feed_of(client)
    client.logout()
    answered = client.get(link)
    assert "text/calendar; charset=utf-8" == answered["Content-Type"]
    [event] = Calendar.from_ical(answered.content).walk("VEVENT")
    due = (walk.look(Donor, donor).last_drawn_at + timedelta(days=56)).date()
    assert (due, f"{donor}-2@havn.invalid") == (event.decoded("dtstart"), str(event["uid"]))
    assert "Bramble" not in answered.content.decode()
    assert "robin" not in answered.content.decode()


def test_what_is_written_about_a_donor_raises_the_sequence_and_keeps_the_name_of_its_visit(
    client, donor, walk
):
    link = feed_of(client)
    [first] = Calendar.from_ical(client.get(link).content).walk("VEVENT")
    walk.do(ExamineDonor(donor=donor, weight_g=32_000, pcv_permille=450))
    [second] = Calendar.from_ical(client.get(link).content).walk("VEVENT")
    assert str(first["uid"]) == str(second["uid"])
    assert int(first["sequence"]) < int(second["sequence"])


def test_the_link_ends_with_the_password_and_with_the_right_to_sign_in(client, donor):
    link, user = feed_of(client), get_user_model().objects.get(username="robin")
    client.logout()
    assert 404 == client.get(link[:-6] + "x.ics").status_code
    user.is_active = False
    user.save()
    assert 404 == client.get(link).status_code
    user.is_active = True
    user.save()
    assert 200 == client.get(link).status_code
    user.set_password("another one, invented")
    user.save()
    assert 404 == client.get(link).status_code


def test_registers_rebuilt_are_equal_and_a_strike_takes_the_deferral_away(client, donor, walk):
    walk.drawn(donor=donor)
    walk.do(DeferDonor(donor=donor, reason="Bites"))
    walk.do(SetPanelTest(species="dog", agent="X", method="PCR", interval_days=9, reason="Ours"))
    test = {"agent": "Babesia gibsoni", "method": "PCR", "result": "positive"}
    walk.do(RecordTest(donor=donor, taken_on=walk.at.date(), **test))
    assert rebuild(check=True) > 0
    row = DonorRow.objects.get(donor=donor)
    assert (True, 1) == (row.deferred_until_lifted, CallRow.objects.count())
    strike(Entry.objects.get(kind="donor-deferred").number, reason="Another dog", by="kim")
    assert not DonorRow.objects.get(donor=donor).deferred_until_lifted
