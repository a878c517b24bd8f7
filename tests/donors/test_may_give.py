"""May this animal give today, and how much: each check against its published limit, the source beside it."""

from datetime import date, timedelta

import pytest

from buffycoat.donors.may_give import MAY, MAY_NOT, MIND
from buffycoat.donors.panel import AGENTS, MINIMAL, OPTIMAL, Panel
from buffycoat.donors.questions import QUESTIONS, asked_of
from buffycoat.donors.rules import (
    Answer,
    AnswerQuestions,
    ClearPositive,
    DeferDonor,
    Donor,
    ExamineDonor,
    GiveConsent,
    GiveMedicine,
    LiftDeferral,
    RecordJourney,
    RecordTest,
    RetireDonor,
    SetPanelTest,
    TypeBlood,
    Vaccinate,
    WaiveChecks,
    Waived,
    WithdrawConsent,
    may_give,
    why_held,
)
from buffycoat.draws.rules import Draw
from buffycoat.site.rules import SetLimit
from tests.walk import START, pure_walk, unknown

TODAY = START.date()
OF_TODAY = {"weight_g": 32_000, "pcv_permille": 450}


@pytest.fixture
def walk():
    return pure_walk()


def days_ago(days):
    return TODAY - timedelta(days=days)


def checks(walk, donor, key):
    return [each for each in may_give(walk.look, donor, walk.at).checks if each.key == key]


def verdict(walk, donor, key):
    [check] = checks(walk, donor, key)
    return check.verdict


def demand(walk, *keys):
    for key in keys:
        walk.do(SetLimit(key=key, value="must", reason="Ours"))


def ready(walk, species="dog", **but):
    """A donor against which nothing speaks, however much the site demands."""
    demand(walk, "consent", "questionnaire", "vaccination_current", "panel_in_date", "type_confirmed")
    donor = walk.a_donor(species, **but)
    walk.by = "kim"
    walk.do(TypeBlood(donor=donor, blood_type=walk.look(Donor, donor).blood_type, reader="kim"))
    walk.by = "robin"
    walk.do(GiveConsent(donor=donor))
    walk.do(Vaccinate(donor=donor, vaccine="Core", given_on=days_ago(100), valid_until=days_ago(-265)))
    for wanted in Panel(number="panel").wanted(species, MINIMAL, 365):
        given = {"agent": wanted.agent, "method": wanted.method, "result": "negative"}
        walk.do(RecordTest(donor=donor, taken_on=days_ago(90), **given))
    answer(walk, donor)
    return donor


def answer(walk, donor, **yes):
    registered = walk.look(Donor, donor).registered
    keys = [question.key for question in asked_of(registered.species, registered.sex)]
    answers = tuple(
        Answer(key=key, answer="yes" if key in yes else "no", words=yes.get(key, "")) for key in keys
    )
    walk.do(AnswerQuestions(donor=donor, answers=answers))


@pytest.mark.parametrize("species", ["dog", "cat"])
def test_a_donor_that_lacks_nothing_may_give_even_where_everything_is_demanded(walk, species):
    found = may_give(walk.look, ready(walk, species), walk.at)
    assert ((), ()) == (found.why_not, found.to_mind)
    assert {MAY} == {each.verdict for each in found.checks}


def test_how_much_is_the_smaller_of_both_limits(walk):
    """Dog of 32 kg: 20 % of 90 mL/kg is 576 mL, 20 mL/kg (Giger, WSAVA 2017) is 640 mL."""
    found = may_give(walk.look, walk.a_donor(), walk.at)
    assert (576, 2_880) == (found.most.volume_ml, found.most.blood_volume_ml)


def test_a_cat_of_4_kg_gives_48_ml_at_most(walk):
    """20 % of 60 mL/kg and 12 mL/kg are the same 48 mL (UK animal blood bank; ISFM 2021, from memory)."""
    donor = walk.a_donor("cat")
    walk.do(ExamineDonor(donor=donor, weight_g=4_000, pcv_permille=380))
    assert 48 == may_give(walk.look, donor, walk.at).most.volume_ml


def test_before_it_is_weighed_nobody_can_say_how_much(walk):
    found = may_give(walk.look, walk.a_donor(examined=False), walk.at)
    assert found.most is None
    assert found.only_measuring_misses


def test_nobody_has_an_answer_about_an_animal_that_is_not_registered(walk):
    [reason] = may_give(walk.look, unknown("D"), walk.at).why_not
    assert reason.startswith("No donor has this number")


def test_every_check_names_its_limit_or_its_source(walk):
    donor = ready(walk)
    answer(walk, donor, raw="", unwell="")
    walk.do(
        ExamineDonor(donor=donor, **OF_TODAY, total_protein_g_per_l=60, murmur=False, temperature_deci_c=395)
    )
    bare = [
        each.key for each in may_give(walk.look, donor, walk.at).checks if not (each.limit or each.source)
    ]
    assert [] == bare


@pytest.mark.parametrize(("protein", "wanted"), [(54, MAY_NOT), (55, MAY)])
def test_total_protein_has_a_floor_where_it_is_read(walk, protein, wanted):
    """5.5 to 6.0 g/dL: from memory, low certainty."""
    donor = walk.a_donor()
    assert [] == checks(walk, donor, "protein")
    walk.do(ExamineDonor(donor=donor, **OF_TODAY, total_protein_g_per_l=protein))
    assert wanted == verdict(walk, donor, "protein")


def test_a_murmur_ends_it(walk):
    """A permanent exclusion: UK practice page for an animal blood bank; US military working dog guideline."""
    donor = walk.a_donor()
    walk.do(ExamineDonor(donor=donor, **OF_TODAY, murmur=True))
    assert ("A murmur was heard: Bramble is no donor.",) == may_give(walk.look, donor, walk.at).why_not


@pytest.mark.parametrize(("warm", "found"), [(392, []), (393, [MIND])])
def test_a_warm_animal_is_told_of(walk, warm, found):
    donor = walk.a_donor()
    walk.do(ExamineDonor(donor=donor, **OF_TODAY, temperature_deci_c=warm))
    assert found == [each.verdict for each in checks(walk, donor, "temperature")]


def test_the_number_of_draws_in_365_days_is_limited(walk):
    """An Italian clinic draws 2 to 3 times a year; here 2."""
    walk.do(SetLimit(key="dog_most_draws_a_year", value=2, reason="As an Italian clinic does"))
    donor = walk.a_donor()
    first = walk.at
    for _ in range(2):
        walk.do(ExamineDonor(donor=donor, **OF_TODAY))
        walk.drawn(donor=donor)
        walk.wait(days=60)
    assert MAY_NOT == verdict(walk, donor, "yearly")
    walk.at = first + timedelta(days=364)
    assert MAY_NOT == verdict(walk, donor, "yearly")
    walk.at = first + timedelta(days=365)
    assert MAY == verdict(walk, donor, "yearly")


@pytest.mark.parametrize(("days", "wanted"), [(0, [MAY_NOT]), (13, [MAY_NOT]), (14, []), (100, [])])
def test_nothing_is_drawn_for_14_days_after_a_vaccine(walk, days, wanted):
    """UK practice page for an animal blood bank: 14 days. A US hospital: 4 weeks."""
    donor = walk.a_donor()
    walk.do(Vaccinate(donor=donor, vaccine="Core", given_on=days_ago(days), valid_until=days_ago(-300)))
    assert wanted == [each.verdict for each in checks(walk, donor, "vaccine-lately")]


def test_a_vaccination_is_current_until_its_last_day(walk):
    donor = walk.a_donor()
    assert MIND == verdict(walk, donor, "vaccination")
    walk.do(Vaccinate(donor=donor, vaccine="Core", given_on=days_ago(365), valid_until=TODAY))
    assert MAY == verdict(walk, donor, "vaccination")
    walk.wait(days=1)
    assert ["Vaccination over: Core."] == [each.words for each in checks(walk, donor, "vaccination")]
    walk.do(Vaccinate(donor=donor, vaccine="core", given_on=walk.at.date(), valid_until=days_ago(-400)))
    assert MAY == verdict(walk, donor, "vaccination")


def test_a_medicine_stands_against_a_draw_until_the_day_that_was_given(walk):
    donor = walk.a_donor()
    walk.do(GiveMedicine(donor=donor, medicine="Routine drops", given_on=TODAY))
    assert [] == checks(walk, donor, "medicine")
    until = TODAY + timedelta(days=1)
    walk.do(GiveMedicine(donor=donor, medicine="Pills", given_on=TODAY, no_draw_before=until))
    assert MAY_NOT == verdict(walk, donor, "medicine")
    walk.wait(days=1)
    assert [] == checks(walk, donor, "medicine")


def test_a_deferral_ends_on_its_day_or_when_it_is_lifted(walk):
    donor = walk.a_donor()
    walk.do(DeferDonor(donor=donor, reason="Cough", no_draw_before=TODAY + timedelta(days=1)))
    walk.do(DeferDonor(donor=donor, reason="Bites"))
    told = [
        f"Deferred, no draw before {TODAY + timedelta(days=1):%d %b %Y}: Cough",
        "Deferred until it is lifted: Bites",
    ]
    assert told == [each.words for each in checks(walk, donor, "deferral")]
    walk.wait(days=1)
    [open_one] = checks(walk, donor, "deferral")
    assert "Deferred until it is lifted: Bites" == open_one.words
    number = list(walk.look(Donor, donor).deferrals)[-1]
    walk.do(LiftDeferral(donor=donor, deferral=number, decided_by="Dr Invented", reason="Calm now"))
    assert [] == checks(walk, donor, "deferral")


def test_a_retired_donor_gives_no_more_and_is_never_waived(walk):
    donor = walk.a_donor()
    walk.do(RetireDonor(donor=donor, reason="Too stiff."))
    assert ("Bramble is retired: Too stiff.",) == may_give(walk.look, donor, walk.at).why_not
    waive = WaiveChecks(
        donor=donor, checks=(Waived(check="retired"),), decided_by="Dr Invented", reason="Bleeding"
    )
    assert ["The check “retired” is never waived."] == walk.why_not(waive)


@pytest.mark.parametrize(("how", "wanted"), [("not asked", []), ("told", [MIND]), ("must", [MAY_NOT])])
@pytest.mark.parametrize(
    ("limit", "key"),
    [
        ("consent", "consent"),
        ("questionnaire", "questionnaire"),
        ("vaccination_current", "vaccination"),
        ("panel_in_date", "panel"),
        ("type_confirmed", "blood-type"),
    ],
)
def test_the_site_says_what_is_demanded_told_or_not_asked(walk, limit, key, how, wanted):
    donor = walk.a_donor()
    walk.do(SetLimit(key=limit, value=how, reason="Ours"))
    assert wanted == [each.verdict for each in checks(walk, donor, key)]


def test_a_setting_of_few_words_takes_no_other(walk):
    wrong = SetLimit(key="consent", value="perhaps", reason="Ours")
    assert ["The owner's consent: choose not asked, told, must."] == walk.why_not(wrong)


def test_consent_is_to_the_version_that_holds_and_can_be_withdrawn(walk):
    donor = walk.a_donor()
    walk.do(GiveConsent(donor=donor))
    assert MAY == verdict(walk, donor, "consent")
    walk.do(SetLimit(key="consent_version", value="2", reason="New form"))
    assert MIND == verdict(walk, donor, "consent")
    walk.do(GiveConsent(donor=donor, version="2"))
    assert MAY == verdict(walk, donor, "consent")
    walk.do(SetLimit(key="consent", value="not asked", reason="Ours"))
    walk.do(WithdrawConsent(donor=donor, reason="By letter."))
    assert ["The owner withdrew consent: By letter."] == list(may_give(walk.look, donor, walk.at).why_not)
    assert ["No consent stands that could be withdrawn."] == walk.why_not(
        WithdrawConsent(donor=donor, reason="x")
    )


def test_questions_are_of_the_day_and_a_yes_has_its_consequence(walk):
    donor = walk.a_donor()
    assert MIND == verdict(walk, donor, "questionnaire")
    answer(walk, donor, unwell="coughs", raw="")
    assert MAY == verdict(walk, donor, "questionnaire")
    assert ["Told today: unwell lately: coughs."] == [each.words for each in checks(walk, donor, "unwell")]
    assert (MAY_NOT, MIND) == (verdict(walk, donor, "unwell"), verdict(walk, donor, "raw"))
    walk.wait(days=1)
    assert MIND == verdict(walk, donor, "questionnaire")
    assert [] == checks(walk, donor, "unwell")


def test_each_question_is_answered_once_and_only_what_is_asked(walk):
    donor = walk.a_donor("cat")
    refusals = walk.why_not(AnswerQuestions(donor=donor, answers=(Answer(key="season", answer="no"),)))
    assert "“season” is not asked about a male cat." == refusals[-1]
    assert len(asked_of("cat", "male")) + 1 == len(refusals)
    assert len(QUESTIONS) == len({each.key for each in QUESTIONS})


def test_the_minimal_panel_of_a_cat_is_what_the_consensus_prints():
    """ACVIM 2016 (Wardrop and others), Tables 1 and 2."""
    wanted = {(each.agent, each.method) for each in Panel(number="panel").wanted("cat", MINIMAL, 365)}
    assert {
        ("Feline leukaemia virus", "antigen"),
        ("Feline immunodeficiency virus", "serology"),
        ("Mycoplasma haemofelis", "PCR"),
        ("Bartonella henselae", "PCR"),
        ("Anaplasma phagocytophilum", "PCR"),
    } == wanted


@pytest.mark.parametrize("species", ["dog", "cat"])
def test_the_optimal_panel_holds_all_of_the_minimal_one(species):
    small, large = (
        {(each.agent, each.method) for each in Panel(number="panel").wanted(species, level, 365)}
        for level in (MINIMAL, OPTIMAL)
    )
    assert small < large
    assert {each.name for each in AGENTS if each.species == species} == {agent for agent, _ in large}


def own_panel(walk, species="dog", agent="Babesia gibsoni", interval_days=100):
    walk.do(SetLimit(key=f"{species}_panel", value="own only", reason="Ours"))
    given = {"species": species, "agent": agent, "method": "PCR", "interval_days": interval_days}
    walk.do(SetPanelTest(**given, reason="Endemic"))


def test_a_sites_own_panel_is_asked_and_its_sample_grows_old(walk):
    own_panel(walk)
    donor = walk.a_donor()
    [before] = checks(walk, donor, "panel")
    assert "Infectious panel not in date: Babesia gibsoni by PCR never tested." == before.words
    test = {"donor": donor, "agent": "Babesia gibsoni", "method": "PCR", "result": "negative"}
    walk.do(RecordTest(**test, taken_on=days_ago(101)))
    assert MIND == verdict(walk, donor, "panel")
    walk.do(RecordTest(**test, taken_on=days_ago(100)))
    assert MAY == verdict(walk, donor, "panel")
    walk.do(RecordJourney(donor=donor, region="Invented coast", returned_on=days_ago(99)))
    [travelled] = checks(walk, donor, "panel")
    assert "tested before a journey" in travelled.words
    walk.do(RecordTest(**{**test, "result": "unclear"}, taken_on=TODAY))
    assert "Babesia gibsoni by PCR unclear" in checks(walk, donor, "panel")[0].words


def test_agents_of_which_the_same_is_to_be_said_are_told_in_one_breath(walk):
    for agent in ("Babesia gibsoni", "Babesia vogeli", "Brucella canis"):
        own_panel(walk, agent=agent)
    donor = walk.a_donor()
    test = {"donor": donor, "agent": "Brucella canis", "method": "PCR", "result": "unclear"}
    walk.do(RecordTest(**test, taken_on=TODAY))
    told = "Babesia gibsoni, Babesia vogeli by PCR never tested; Brucella canis by PCR unclear."
    assert [f"Infectious panel not in date: {told}"] == [each.words for each in checks(walk, donor, "panel")]


def test_a_test_of_the_level_can_be_left_out(walk):
    walk.do(
        SetPanelTest(
            species="cat", agent="Bartonella henselae", method="PCR", interval_days=0, reason="Italy 2016"
        )
    )
    wanted = walk.look(Panel, "panel").wanted("cat", MINIMAL, 365)
    assert "Bartonella henselae" not in {each.agent for each in wanted}


def test_a_positive_donor_stops_and_holds_what_it_gave_until_it_is_cleared(walk):
    donor = walk.a_donor()
    assert "" == why_held(walk.look, donor)
    test = {"donor": donor, "agent": "Babesia gibsoni", "method": "PCR"}
    walk.do(RecordTest(**test, result="positive", taken_on=TODAY))
    assert "its donor was positive for Babesia gibsoni by PCR, sample of 10 Mar 2025" == why_held(
        walk.look, donor
    )
    assert MAY_NOT == verdict(walk, donor, "positive")
    waive = WaiveChecks(
        donor=donor, checks=(Waived(check="positive"),), decided_by="Dr Invented", reason="Bleeding"
    )
    assert ["The check “positive” is never waived."] == walk.why_not(waive)
    walk.do(RecordTest(**test, result="negative", taken_on=TODAY))
    assert why_held(walk.look, donor)
    clear = ClearPositive(
        donor=donor, test="Babesia gibsoni by PCR", decided_by="Dr Invented", reason="Twice negative"
    )
    walk.do(clear)
    assert "" == why_held(walk.look, donor)
    assert ["No positive result stands for “Babesia gibsoni by PCR”. Standing: none."] == walk.why_not(clear)


def test_an_emergency_donor_gives_with_its_waived_checks_on_the_draw_and_for_that_day_only(walk):
    walk.do(SetLimit(key="consent", value="must", reason="Ours"))
    donor = walk.a_donor(born_on=date(2016, 1, 1))
    assert 2 == len(may_give(walk.look, donor, walk.at).why_not)
    both = (Waived(check="age"), Waived(check="consent"))
    walk.do(WaiveChecks(donor=donor, checks=both, decided_by="Dr Invented", reason="A patient bleeds"))
    found = may_give(walk.look, donor, walk.at)
    assert ((), ("age", "consent")) == (found.why_not, found.waived)
    assert "Waived today by Dr Invented: A patient bleeds" in checks(walk, donor, "consent")[0].words
    donation = walk.draw_started(donor=donor)
    assert ("age", "consent") == walk.look(Draw, donation).started.waived
    walk.wait(days=1)
    assert {"age", "consent"} <= {
        e.key for e in may_give(walk.look, donor, walk.at).checks if e.verdict == MAY_NOT
    }


def test_only_what_stands_against_a_draw_is_waived_and_by_name(walk):
    donor = walk.a_donor()
    assert [
        "The check “consent” does not stand against a draw today: leave it out of the list.",
        "Name the veterinarian who decided it.",
        "Say why it cannot wait.",
    ] == walk.why_not(WaiveChecks(donor=donor, checks=(Waived(check="consent"),), decided_by=" ", reason=""))
