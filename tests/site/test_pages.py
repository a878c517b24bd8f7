"""The pages of the limits: every limit with its source, and changing one."""

import uuid

import pytest
from django.contrib.auth import get_user_model
from django.utils.html import escape

from buffycoat.journal.book import Book, version_of
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.site.forms import shown
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import SetLimit, limits
from tests.walk import Walk

pytestmark = pytest.mark.one_database

PCV = "dog_least_pcv_permille"


@pytest.fixture
def client(client, db):
    client.force_login(get_user_model().objects.create_user("robin"))
    return client


def change(client, key=PCV, **typed):
    return client.post(
        f"/limits/{key}/",
        {"command_id": uuid.uuid4(), "value": "42", "reason": "Decided by the veterinarian", **typed},
    )


def test_every_limit_is_listed_with_its_value_and_its_source(client):
    page = client.get("/limits/").content.decode()
    missing = [
        key
        for key, limit in LIMITS.items()
        if not all(escape(each) in page for each in (limit.title, limit.source, shown(limit, limit.default)))
    ]
    assert [] == missing


def test_every_limit_has_a_form_that_shows_what_holds(client):
    wrong = [key for key in LIMITS if client.get(f"/limits/{key}/").status_code != 200]
    assert [] == wrong
    assert 'value="40"' in client.get(f"/limits/{PCV}/").content.decode()


def test_an_unknown_limit_is_not_found(client):
    assert 404 == client.get("/limits/no-such-thing/").status_code


@pytest.mark.parametrize(
    ("key", "typed", "kept", "words"),
    [
        (PCV, "42.5 %", 425, "42.5\xa0%"),
        ("dog_least_weight_g", "20.5", 20_500, "20.5\xa0kg"),
        ("freezer_most_c", "-25", -25, "−25\xa0°C"),
        ("dog_blood_density_mg_per_ml", "1.05", 1050, "1.05\xa0g/mL"),
        ("least_segments", "4", 4, "4\xa0segments"),
        ("site_code", "ukta", "UKTA", "UKTA"),
        ("time_zone", "Europe/Lisbon", "Europe/Lisbon", "Europe/Lisbon"),
    ],
)
def test_a_limit_is_typed_as_people_say_it_and_then_holds(client, key, typed, kept, words):
    response = change(client, key, value=typed)
    assert f"/limits/#{key}" == response["Location"]
    assert kept == limits(Book()).set_here[key]
    page = client.get("/limits/").content.decode()
    assert f"{words} from now on" in page
    assert "Decided by the veterinarian" in page
    assert "By robin" in page


@pytest.mark.parametrize(
    ("key", "typed", "sentence"),
    [
        (PCV, {"value": "60"}, "60\xa0% is outside what this limit may be, 25 to 55\xa0%."),
        (PCV, {"value": "4o"}, "“4o” has the letter o in it."),
        (PCV, {"value": ""}, "Least PCV of the day, dog is missing."),
        (PCV, {"reason": ""}, "Why, and on whose word is missing."),
        (
            "freezer_most_c",
            {"value": "-10"},
            "−10\xa0°C is outside what this limit may be, −80 to −15\xa0°C.",
        ),
        ("site_code", {"value": "BANK"}, "The site's code is four letters from"),
        ("time_zone", {"value": "Atlantis"}, "Time zone: choose one of those shown."),
    ],
)
def test_a_bad_limit_gets_its_sentence_keeps_what_was_typed_and_changes_nothing(client, key, typed, sentence):
    page = change(client, key, **typed).content.decode()
    assert escape(sentence) in page
    assert "<title>Error:" in page
    assert escape(typed.get("reason", "Decided by the veterinarian")) in page
    assert 0 == Entry.objects.count()


def test_the_same_form_twice_is_recorded_once(client):
    once = uuid.uuid4()
    change(client, command_id=once)
    assert 302 == change(client, command_id=once).status_code
    assert 1 == Entry.objects.count()


def test_who_was_slower_is_told_who_was_faster(client):
    Walk(by="kim").do(SetLimit(key=PCV, value=410, reason="More reserve"))
    page = change(client, seen='{"site/limits": 0}').content.decode()
    assert "kim was faster" in page
    assert 1 == version_of("site/limits")


def test_a_struck_setting_stays_readable_and_the_default_holds_again(client):
    change(client)
    strike(1, reason="Typed into the wrong limit", by="robin")
    page = client.get(f"/limits/{PCV}/").content.decode()
    assert "Struck by robin: Typed into the wrong limit" in page
    assert 'value="40"' in page
