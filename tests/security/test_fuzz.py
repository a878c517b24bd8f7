"""Hostile requests, a few in each run; the long run is `python -m tests.security.fuzz`."""

from random import Random

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import path

from buffycoat import urls
from buffycoat.journal.models import Entry, Head
from buffycoat.people.may import MAY, Line
from buffycoat.people.roles import add
from buffycoat.site.rules import SetLimit
from tests.security.fuzz import Fuzz, run
from tests.walk import Walk

pytestmark = pytest.mark.one_database


@pytest.fixture
def worked(db):
    walk = Walk()
    walk.on_the_shelf("dog")
    walk.expressed("cat")
    walk.draw_started("dog")
    return walk


def test_hostile_requests_find_no_error_no_trace_and_no_unasked_change(worked):
    said = []
    assert [] == run(forms=60, requests=200, seed=20261125, client=Client(), say=said.append)
    assert 200 < int(said[-2].split()[1]), "it asked too little to mean anything"


def planted(monkeypatch, settings, view):
    """The program with one more page, which is wrong."""
    monkeypatch.setitem(MAY, "planted", Line(opened_by="c", sent_by="c", password=False))
    routes = type("Routes", (), {"urlpatterns": [*urls.urlpatterns, path("planted/", view, name="planted")]})
    routes.handler500 = urls.handler500
    settings.ROOT_URLCONF = routes
    client = Client(raise_request_exception=False)
    client.force_login(add("robin", None, ["coordinator"]))
    return Fuzz(client=client, head=lambda: Head.objects.values_list().get(id=1), chance=Random(1))


def raises(request):
    raise RuntimeError("planted")


def tells_its_trace(request):
    return HttpResponse("Traceback (most recent call last): planted")


def writes_on_reading(request):
    Walk().do(SetLimit(key="site_name", value="Planted", reason="planted"))
    return HttpResponse("read")


def writes_and_refuses(request):
    Walk().do(SetLimit(key="site_name", value="Planted", reason="planted"))
    return HttpResponse("refused", status=400)


@pytest.mark.parametrize(
    ("view", "method", "told"),
    [
        (raises, "GET", "/planted/': 503"),
        (tells_its_trace, "GET", "a trace in the answer"),
        (writes_on_reading, "GET", "changed the book"),
        (writes_and_refuses, "POST", "changed the book"),
    ],
)
def test_a_page_that_does_what_it_must_not_is_found(db, monkeypatch, settings, caplog, view, method, told):
    fuzz = planted(monkeypatch, settings, view)
    fuzz.send(method, "/planted/")
    assert 1 == len(fuzz.found)
    assert told in fuzz.found[0]
    assert ("changed" in told) is Entry.objects.exists()
