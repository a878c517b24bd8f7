"""Where the site asks for it, two people type a changed rule or recipe, and the second sees nothing of the first."""

import re

import pytest

from buffycoat.journal.models import Entry
from buffycoat.people.roles import add
from buffycoat.people.second_person import DIFFER, NOW
from buffycoat.site.people_limits import ASKED
from buffycoat.site.rules import SetLimit
from tests.pages import answer, nothing_recorded, text, walk
from tests.people.conftest import type_password
from tests.walk import pure_walk

__all__ = ["walk"]
pytestmark = pytest.mark.one_database
KIM = "another-invented-one"
PROGRAMME = {
    "name": "Soft",
    "species": "dog",
    "rpm": "4200",
    "minutes": "10",
    "temperature_c": "4",
    "brake": "3",
    "validated": "Invented, 2025",
}


@pytest.fixture
def two(client, robin, walk):
    """The site asks for two; robin sits there, and kim is near."""
    walk.a_rotor()
    walk.do(SetLimit(key="second_person_for_rules", value=ASKED, reason="invented"))
    add("kim", KIM, ["coordinator"])
    type_password(client)
    return client


def limit(walk):
    return "/limits/use_first_days/", {"value": "5"}, {"reason": "Dr Invented"}, "limit-set"


def programme(walk):
    return f"/rotors/{walk.a_rotor()}/", PROGRAMME, {}, "programme-written"


def panel(walk):
    typed = {"species": "dog", "agent": "Babesia gibsoni", "method": "PCR", "interval_days": "180"}
    return "/donors/panel/", typed, {"reason": "Endemic here"}, "panel-test-set"


RULES = (limit, programme, panel)


def first_of(page):
    found = re.search(r'name="first" value="([^"]+)"', page.content.decode())
    assert found
    return found[1]


def written(kind):
    return Entry.objects.filter(kind=kind, line__contains='"checked_by":"kim"').count()


@pytest.mark.parametrize("rule", RULES)
def test_the_same_typed_by_two_is_recorded_with_both_names(two, walk, rule):
    address, typed, kept, kind = rule(walk)
    with nothing_recorded():
        asked = answer(two, address, **typed, **kept)
    assert NOW in text(asked)
    for name in typed:
        assert not asked.context["form"][name].value(), name
    second = {"first": first_of(asked), "checked_by": "kim", "second_password": KIM}
    assert 302 == answer(two, address, **typed, **kept, **second).status_code
    assert 1 == written(kind)


@pytest.mark.parametrize("rule", RULES)
def test_what_differs_is_not_recorded_and_neither_is_shown(two, walk, rule):
    address, typed, kept, _ = rule(walk)
    first = first_of(answer(two, address, **typed, **kept))
    other = {name: {"5": "6", "10": "11", "180": "181"}.get(value, value) for name, value in typed.items()}
    assert other != typed
    with nothing_recorded():
        page = answer(two, address, **other, **kept, first=first, checked_by="kim", second_password=KIM)
    assert DIFFER in text(page)
    for name in typed:
        assert not page.context["form"][name].value(), name


@pytest.mark.parametrize(
    ("name", "password", "words"),
    [
        ("robin", "a-password-only-for-tests", "Choose who types it a second time."),
        ("", KIM, "Choose who types it a second time."),
        ("nobody", KIM, "Choose who types it a second time."),
        ("kim", "a-guess", "This is not the password of kim: nothing was signed."),
        ("kim", "", "This is not the password of kim: nothing was signed."),
    ],
)
def test_only_somebody_else_with_their_own_password_is_the_second(two, walk, name, password, words):
    address, typed, kept, _ = limit(walk)
    first = first_of(answer(two, address, **typed, **kept))
    with nothing_recorded():
        page = answer(two, address, **typed, **kept, first=first, checked_by=name, second_password=password)
    assert words in text(page)


def test_a_first_reading_that_was_made_up_counts_for_nothing(two, walk):
    address, typed, kept, _ = limit(walk)
    with nothing_recorded():
        page = answer(two, address, **typed, **kept, first="made-up", checked_by="kim", second_password=KIM)
    assert DIFFER in text(page)


def test_a_site_that_does_not_ask_changes_a_rule_by_one(client, robin, walk):
    type_password(client)
    address, typed, kept, kind = limit(walk)
    assert 302 == answer(client, address, **typed, **kept).status_code
    assert Entry.objects.filter(kind=kind).exists()


def test_the_book_itself_refuses_a_rule_without_a_second_person():
    walk = pure_walk()
    change = {"key": "use_first_days", "value": 5, "reason": "invented", "set_by": "robin"}
    assert [] == walk.why_not(SetLimit(**change))
    walk.do(SetLimit(key="second_person_for_rules", value=ASKED, reason="invented"))
    alone = "A rule is changed by two here: a second person types it too, and signs for it."
    own = "Whoever changes a rule does not check it too: a second person types it and signs."
    assert [alone] == walk.why_not(SetLimit(**change))
    assert [own] == walk.why_not(SetLimit(**change, checked_by="Robin "))
    assert [] == walk.why_not(SetLimit(**change, checked_by="kim"))
