"""A sign-in ends when nothing is done, and what was typed by then goes on when its person is back."""

import re
from html import unescape

import pytest
from django.test import Client
from django.utils import timezone

from buffycoat.journal.models import Entry
from buffycoat.people.idle import FORGOTTEN_AFTER_S
from buffycoat.people.models import SignIn, access_of
from buffycoat.people.roles import add
from buffycoat.people.second_factor import begin, totp, turn_on
from buffycoat.people.sessions import LONGEST
from buffycoat.site.rules import SetLimit
from tests.harness.people import PASSWORD
from tests.pages import fields
from tests.people.conftest import PIN, scan, signed_in, type_password
from tests.walk import Walk

pytestmark = pytest.mark.one_database
NEW_PLACE = "/places/new/"


def typed(client) -> dict[str, str]:
    return {**fields(client.get(NEW_PLACE)), "name": "Typed before", "appliance": "fridge"}


def carried(page) -> dict[str, str]:
    """The hidden fields of the page that asks to sign in again."""
    found = re.findall(r'<input type="hidden" name="([\w-]+)" value="([^"]*)"', page.content.decode())
    return {name: unescape(value) for name, value in found if name not in ("csrfmiddlewaretoken", "back")}


def recorded() -> int:
    return Entry.objects.filter(line__contains="Typed before").count()


@pytest.mark.parametrize(("minutes", "holds"), [(29, True), (30, False)])
def test_a_sign_in_by_password_ends_after_half_an_hour_without_a_deed(client, robin, clock, minutes, holds):
    type_password(client)
    clock(minutes=minutes)
    answer = client.get("/stock/")
    assert (200 if holds else 302) == answer.status_code
    assert holds is bool(signed_in(client))
    if not holds:
        assert "/sign-in/?next=/stock/" == answer["Location"]
        assert "Nothing was done here for 30 min." in client.get(answer["Location"]).content.decode()


@pytest.mark.parametrize(("minutes", "holds"), [(14, True), (15, False)])
def test_a_bench_locks_after_a_quarter_of_an_hour(client, robin, bench, clock, minutes, holds):
    scan(client, robin)
    clock(minutes=minutes)
    assert (200 if holds else 302) == client.get("/stock/").status_code


def test_the_site_sets_its_own_times(client, robin, clock):
    Walk().do(SetLimit(key="idle_password_min", value=2, reason="invented"))
    type_password(client)
    clock(minutes=2)
    assert 302 == client.get("/stock/").status_code


def test_each_deed_begins_the_time_anew_and_what_a_page_asks_by_itself_does_not(client, robin, clock):
    type_password(client)
    for _ in range(3):
        clock(minutes=20)
        assert 200 == client.get("/stock/").status_code
    for address in ("/you-were-here/", "/bench/scale/", "/still-here/"):
        clock(minutes=9)
        client.get(address)
    assert {"left_s": 180} == client.get("/still-here/").json()
    assert {"left_s": 1800} == client.post("/still-here/").json()
    clock(minutes=30)
    assert {"left_s": 0} == client.get("/still-here/").json()
    assert "" == signed_in(client)


def test_whoever_is_at_work_all_day_signs_in_again_in_the_end(client, robin):
    type_password(client)
    SignIn.objects.update(began_at=timezone.now() - LONGEST)
    assert 302 == client.get("/stock/").status_code
    assert LONGEST.total_seconds() <= FORGOTTEN_AFTER_S


def test_a_form_sent_after_the_end_is_kept_and_recorded_once_its_person_is_back(client, robin, clock):
    type_password(client)
    form = typed(client)
    clock(minutes=31)
    page = client.post(NEW_PLACE, form)
    assert 403 == page.status_code
    assert 0 == recorded()
    assert "robin, sign in again" in page.content.decode()
    kept = carried(page)
    assert form == {name: value for name, value in kept.items() if name in form}
    wrong = client.post(NEW_PLACE, kept | {"again-password": "a-guess"})
    assert ("", 0) == (signed_in(client), recorded())
    assert "This was not right: try again." in wrong.content.decode()
    assert kept == carried(wrong)
    went_on = client.post(NEW_PLACE, kept | {"again-password": PASSWORD})
    assert went_on["Location"].startswith("/places/P")
    assert (str(robin.pk), 1) == (signed_in(client), recorded())


def test_at_a_bench_it_is_the_pin_that_goes_on(client, robin, bench, clock):
    scan(client, robin)
    form = {"about": "", "command_id": fields(client.get("/problem/"))["command_id"]}
    clock(minutes=15)
    page = client.post("/problem/", form)
    assert "Your PIN" in page.content.decode()
    went_on = client.post("/problem/", carried(page) | {"again-pin": PIN})
    assert 200 == went_on.status_code
    assert str(robin.pk) == signed_in(client)
    assert client.session["bench"] == bench.pk


def test_a_second_factor_is_asked_again_too(client, robin, clock):
    access = access_of(robin)
    begin(access)
    code = turn_on(access)[0]
    client.force_login(robin)
    clock(minutes=31)
    page = client.post(NEW_PLACE, {"name": "Typed before"})
    sent = carried(page) | {"again-password": PASSWORD}
    client.post(NEW_PLACE, sent)
    assert "" == signed_in(client)
    client.post(NEW_PLACE, sent | {"again-code": code})
    assert str(robin.pk) == signed_in(client)
    assert totp(access)


def test_secrets_that_were_typed_are_not_carried_through_the_page(client, robin, clock):
    type_password(client)
    clock(minutes=31)
    page = client.post("/me/password/", {"password": PASSWORD, "new": "quite-another-secret"})
    assert "sign in again" in page.content.decode()
    assert PASSWORD not in page.content.decode()
    assert "quite-another-secret" not in page.content.decode()


def test_nobody_goes_on_with_what_another_person_typed(client, robin, clock):
    add("kim", "another-invented-one", ["coordinator"])
    type_password(client)
    form = typed(client)
    clock(minutes=31)
    kept = carried(client.post(NEW_PLACE, form))
    client.post(NEW_PLACE, kept | {"again-password": "another-invented-one", "again-as": "kim"})
    assert ("", 0) == (signed_in(client), recorded())
    robin.is_active = False
    robin.save()
    assert 302 == client.post(NEW_PLACE, kept | {"again-password": PASSWORD}).status_code
    assert 0 == recorded()


def test_wrong_tries_at_the_lock_are_counted_like_any_other(client, robin, clock):
    type_password(client)
    clock(minutes=31)
    kept = carried(client.post(NEW_PLACE, {"name": "Typed before"}))
    for _ in range(3):
        client.post(NEW_PLACE, kept | {"again-password": "a-guess"})
    said = client.post(NEW_PLACE, kept | {"again-password": PASSWORD}).content.decode()
    assert "Too many wrong tries" in said
    assert "" == signed_in(client)


def test_the_page_that_stands_open_is_unlocked_in_place_with_a_new_token(client, robin, clock):
    type_password(client)
    clock(minutes=31)
    assert {"left_s": 0} == client.get("/still-here/").json()
    assert "robin, sign in again" in client.get("/sign-in/again/").content.decode()
    wrong = client.post("/sign-in/again/", {"again-as": "x", "again-password": "a-guess"})
    assert 422 == wrong.status_code
    right = client.post("/sign-in/again/", {"again-as": "x", "again-password": PASSWORD}).json()
    assert ("robin", 1800) == (right["person"], right["left_s"])
    assert right["token"]
    assert 200 == client.get("/stock/").status_code


def test_whoever_was_never_here_has_no_lock_to_open(db):
    assert 410 == Client().get("/sign-in/again/").status_code
