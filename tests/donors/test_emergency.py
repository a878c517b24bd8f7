"""An emergency donor: what was left out is told in plain words wherever its blood is met."""

from datetime import timedelta

import pytest

from buffycoat.donors.may_give import MAY_NOT, NOT_WAIVED
from buffycoat.donors.questions import BY_KEY, MINDED, asked_of
from buffycoat.donors.rules import (
    Answer,
    AnswerQuestions,
    DeferDonor,
    Donor,
    ExamineDonor,
    GiveMedicine,
    RecordTest,
    Vaccinate,
    WaiveChecks,
    Waived,
    may_give,
)
from buffycoat.donors.waived import WORDS
from buffycoat.site.rules import SetLimit
from tests.pages import near_noon, text
from tests.walk import pure_walk

SAID = {"decided_by": "Dr Invented", "reason": "A patient bleeds"}
MARK = "Emergency donor left out before the draw: infectious panel, age"


@pytest.fixture
def walk(db):
    return near_noon(timedelta(hours=2))


@pytest.fixture
def donation(client, walk):
    """On the shelf, of a donor that was too old and of which nobody knew the panel."""
    walk.do(SetLimit(key="panel_in_date", value="must", reason="Ours"))
    donor = walk.a_donor(born_on=walk.at.date() - timedelta(days=4_000))
    walk.do(WaiveChecks(donor=donor, checks=(Waived(check="age"), Waived(check="panel")), **SAID))
    donation = walk.on_the_shelf(donor=donor)
    walk.do(SetLimit(key="panel_in_date", value="told", reason="Ours"))
    return donation


@pytest.fixture
def other(walk, donation):
    return walk.on_the_shelf("cat")


def test_each_of_its_units_says_so_on_its_page_and_in_the_stock(client, walk, donation, other):
    for unit in walk.units(donation).values():
        assert MARK in text(client.get(f"/units/{unit}/"))
    for unit in walk.units(other).values():
        assert "Emergency" not in text(client.get(f"/units/{unit}/")).split("In the journal")[0]
    assert 2 == text(client.get("/stock/")).count(MARK)


def test_its_story_says_so(client, walk, donation):
    assert "Emergency donor, checks waived: infectious panel, age" in text(
        client.get(f"/donations/{donation}/")
    )


def with_everything_against_it(walk, sex):
    """As many reasons at once as a donor can have."""
    for key in ("consent", "questionnaire", "vaccination_current", "panel_in_date", "type_confirmed"):
        walk.do(SetLimit(key=key, value="must", reason="Ours"))
    walk.do(SetLimit(key="dog_most_draws_a_year", value=1, reason="Ours"))
    donor = walk.a_donor(sex=sex)
    walk.do(WaiveChecks(donor=donor, checks=tuple(map(_waived, stops(walk, donor))), **SAID))
    walk.drawn(donor=donor)
    today = walk.at.date()
    poor = {"weight_g": 9_000, "pcv_permille": 300, "total_protein_g_per_l": 40, "murmur": True}
    walk.do(ExamineDonor(donor=donor, **poor))
    walk.do(DeferDonor(donor=donor, reason="Bites"))
    walk.do(GiveMedicine(donor=donor, medicine="X", given_on=today, no_draw_before=today + timedelta(days=9)))
    later = today + timedelta(days=300)
    walk.do(Vaccinate(donor=donor, vaccine="Core", given_on=today, valid_until=later))
    old = {
        "vaccine": "Old",
        "given_on": today - timedelta(days=500),
        "valid_until": today - timedelta(days=100),
    }
    walk.do(Vaccinate(donor=donor, **old))
    walk.do(RecordTest(donor=donor, agent="X", method="PCR", result="positive", taken_on=today))
    walk.wait(days=1)
    walk.do(ExamineDonor(donor=donor, **poor))
    unanswered = stops(walk, donor)
    answers = tuple(Answer(key=each.key, answer="yes") for each in asked_of("dog", sex))
    walk.do(AnswerQuestions(donor=donor, answers=answers))
    return unanswered | stops(walk, donor)


def _waived(key):
    return Waived(check=key)


def stops(walk, donor):
    return {each.key for each in may_give(walk.look, donor, walk.at).checks if each.verdict == MAY_NOT}


def test_every_check_that_can_be_left_out_has_words_for_the_label():
    found = with_everything_against_it(pure_walk(), "female") - set(NOT_WAIVED)
    assert set() == found - set(WORDS)
    questions = {key for key, question in BY_KEY.items() if question.then != MINDED}
    assert {"interval", "yearly", "weight", "pcv", "protein", "murmur", "deferral", "medicine"} <= found
    assert questions <= found
    assert {"age"} == set(WORDS) - found  # it was of an age to give


def test_what_was_waived_yesterday_is_not_on_todays_draw():
    walk = pure_walk()
    donor = walk.a_donor(born_on=walk.at.date() - timedelta(days=4_000))
    walk.do(WaiveChecks(donor=donor, checks=(Waived(check="age"),), **SAID))
    assert ("age",) == may_give(walk.look, donor, walk.at).waived
    walk.wait(days=1)
    assert () == may_give(walk.look, donor, walk.at).waived
    assert walk.look(Donor, donor).waived
