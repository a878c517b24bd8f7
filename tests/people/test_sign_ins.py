"""Where a person is signed in: seen, and ended from elsewhere. A first password opens nothing but its own change."""

import io
import re
import sys

import pytest
from django.test import Client

from buffycoat.cli.bank import _first_person
from buffycoat.cli.main import main
from buffycoat.people.models import SignIn
from buffycoat.people.roles import add
from tests.harness.people import PASSWORD
from tests.people.conftest import scan, signed_in, type_password

pytestmark = pytest.mark.one_database
TABLET = "Mozilla/5.0 (Linux; Android 16) AppleWebKit/537.36 Chrome/142.0 Safari/537.36"


def elsewhere() -> Client:
    return Client(REMOTE_ADDR="10.1.1.1", HTTP_USER_AGENT=TABLET)


def test_a_person_sees_each_sign_in_with_device_and_time_and_ends_it(client, robin):
    tablet = elsewhere()
    for each in (client, tablet):
        type_password(each)
    page = client.get("/me/sign-ins/").content.decode()
    assert "(this one)" in page
    assert "Chrome, Android" in page
    assert "10.1.1.1" in page
    other = SignIn.objects.get(place="10.1.1.1")
    client.post("/me/sign-ins/", {"sign_in": other.pk})
    assert 200 == client.get("/stock/").status_code
    assert 302 == tablet.get("/stock/").status_code
    assert "" == signed_in(tablet)


def test_nobody_ends_another_persons_sign_in_but_the_coordinator(client, robin):
    kim = add("kim", PASSWORD, ["bench"])
    kim.groups.set([group for group in kim.groups.all() if group.name == "bench"])
    type_password(client)
    other = elsewhere()
    type_password(other, "kim")
    for sign_in in (SignIn.objects.get(user=robin).pk, "nonsense", 10**6):
        other.post("/me/sign-ins/", {"sign_in": sign_in})
        other.post(f"/people/{robin.pk}/", {"act": "end", "sign_in": sign_in})
    assert 200 == client.get("/stock/").status_code
    assert "Chrome, Android" in client.get(f"/people/{kim.pk}/").content.decode()
    client.post(f"/people/{kim.pk}/", {"act": "end", "sign_in": SignIn.objects.get(user=kim).pk})
    assert 302 == other.get("/stock/").status_code


def test_the_list_holds_what_holds_and_nothing_else(client, robin, bench):
    scan(client, robin)
    assert ["Bench by the window"] == [each.device for each in SignIn.objects.filter(with_pin=True)]
    scan(client, add("kim", None, ["bench"]), pin="")
    scan(client, robin)  # again, on the same bench
    other = elsewhere()
    type_password(other)
    assert 2 == SignIn.objects.filter(user=robin).count()
    client.post("/sign-out/")
    assert 1 == SignIn.objects.filter(user=robin).count()
    other.post("/me/pin/", {"password": PASSWORD, "pin": "8025"})
    other.post("/me/password/", {"password": PASSWORD, "new": "quite-another-secret"})
    assert 1 == SignIn.objects.count()


@pytest.mark.parametrize("way", ["password", "pin"])
def test_disabling_a_person_ends_every_sign_in_at_once(client, robin, bench, way):
    chief = Client()
    chief.force_login(add("chief", None, ["coordinator"]))
    if way == "pin":
        scan(client, robin)
    else:
        type_password(client)
    assert 200 == client.get("/stock/").status_code
    chief.post(f"/people/{robin.pk}/", {"act": "disable"})
    assert 302 == client.get("/stock/").status_code
    assert 0 == SignIn.objects.filter(user=robin).count()


def test_a_session_from_before_sign_ins_were_listed_ends(client, robin):
    type_password(client)
    session = client.session
    del session["sign_in"]
    session.save()
    assert 302 == client.get("/stock/").status_code


def first_password(client, way) -> tuple[str, str]:
    """Made by the coordinator: for a new person, or again for one who is here."""
    if way == "added":
        page = client.post("/people/", {"name": "sam", "roles": ["bench"]}).content.decode()
        return "sam", re.search(r"the password <code>([^<]+)</code>", page)[1]
    kim = add("kim", PASSWORD, ["bench"])
    page = client.post(f"/people/{kim.pk}/", {"act": "password"}).content.decode()
    return "kim", re.search(r"password is <code>([^<]+)</code>", page)[1]


@pytest.mark.parametrize("way", ["added", "made anew"])
def test_a_password_that_somebody_else_made_opens_only_its_own_change(client, robin, way):
    type_password(client)
    name, password = first_password(client, way)
    other = Client()
    type_password(other, name, password)
    for address in ("/stock/", "/me/", "/me/pin/", "/donors/"):
        assert "/me/password/" == other.get(address)["Location"]
    assert "/me/password/" == other.post("/problem/", {})["Location"]
    assert "Somebody else made this password" in other.get("/me/password/").content.decode()
    same = other.post("/me/password/", {"password": password, "new": password})
    assert "This is the password you have: choose another." in same.content.decode()
    assert 302 == other.get("/stock/").status_code
    other.post("/me/password/", {"password": password, "new": "quite-another-secret"})
    assert 200 == other.get("/stock/").status_code
    again = Client()
    type_password(again, name, "quite-another-secret")
    assert 200 == again.get("/stock/").status_code


@pytest.mark.parametrize(("own", "leads_to"), [((), "/me/password/"), (("--own",), "/")])
def test_at_the_terminal_a_person_may_type_their_own_from_the_beginning(db, monkeypatch, own, leads_to):
    monkeypatch.setattr(sys, "stdin", io.StringIO("an-invented-password\n"))
    assert 0 == main(["add-person", "sam", *own])
    client = Client()
    type_password(client, "sam", "an-invented-password")
    page = client.get("/")
    assert leads_to == (page["Location"] if 302 == page.status_code else "/")


def test_the_first_coordinator_of_an_empty_bank_is_asked_for_an_own_password_too(db):
    password = re.search(r"coordinator with the password (\S+) ", _first_person())[1]
    client = Client()
    type_password(client, "coordinator", password)
    assert "/me/password/" == client.get("/")["Location"]
