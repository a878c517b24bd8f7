"""Every address by every method, also those that no browser sends: the table decides, and what it lacks is refused."""

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import path

from buffycoat import urls
from buffycoat.people.may import MAY, may
from buffycoat.people.roles import add
from tests.people.test_may import address, patterns, without_a_line

pytestmark = pytest.mark.one_database
UNKNOWN = ("CONNECT", "PROPFIND", "BREW")  # the known ones: tests/people/test_may.py


def signed_in(role: str) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(add(f"an-{role}", None, [role]))
    return client


def test_head_and_options_are_refused_wherever_opening_is(db):
    client, wrong = signed_in("auditor"), []
    for pattern in patterns():
        line = MAY[pattern.name]
        refused = 405 if line.opened_by == "-" else None if may({"auditor"}, pattern.name, "GET") else 403
        if refused is None:
            continue
        for method in ("HEAD", "OPTIONS"):
            status = client.generic(method, address(pattern)).status_code
            if status != refused:
                wrong.append((pattern.name, method, status))
    assert [] == wrong


def test_what_may_be_opened_is_not_refused_to_head(db):
    client = signed_in("coordinator")
    assert 200 == client.head("/stock/").status_code
    assert b"" == client.head("/stock/").content


def test_no_address_takes_a_method_that_nobody_sends(db):
    client = signed_in("coordinator")
    for method in UNKNOWN:
        taken = [each.name for each in patterns() if 405 != client.generic(method, address(each)).status_code]
        assert [] == taken, method


def test_an_address_that_nobody_decided_about_is_named_and_refused_by_every_method(db, settings):
    planted = path("planted/", lambda request: HttpResponse("open"), name="planted")
    routes = [*urls.urlpatterns, planted]
    assert {"planted"} == without_a_line([*patterns(), planted])
    settings.ROOT_URLCONF = type("Routes", (), {"urlpatterns": routes, "handler500": urls.handler500})
    client = signed_in("coordinator")
    for method in ("GET", "HEAD", "POST", "OPTIONS", "PUT", *UNKNOWN):
        assert 403 == client.generic(method, "/planted/").status_code, method
