"""Hostile requests, a few in each run; the long run is `python -m tests.security.fuzz`."""

import json
from contextlib import ExitStack
from datetime import UTC, datetime
from random import Random

import pytest
from django.http import Http404, HttpResponse
from django.test import Client
from django.urls import path

from buffycoat import urls
from buffycoat.changes.rules import DivideUnit
from buffycoat.donors.rules import DeferDonor
from buffycoat.journal.models import Entry, Head
from buffycoat.lists.models import ListInHand, as_text
from buffycoat.lists.rows import Choices
from buffycoat.lists.sheet import Row, Sheet
from buffycoat.people.may import MAY
from buffycoat.people.models import OwnerContact
from buffycoat.people.roles import add
from buffycoat.printing.models import PrintJob
from buffycoat.problems.rules import ReportProblem
from buffycoat.site.rules import SetLimit
from tests.journal.test_rebuild import a_full_bank
from tests.security.fuzzing import never_reached, run
from tests.security.hostile import changed, mutated
from tests.security.people import People
from tests.security.sent import Sender, told_of_raising, told_of_writing
from tests.walk import Walk

pytestmark = pytest.mark.one_database
ONE = MAY["me"]  # opened and sent by every role


@pytest.fixture
def worked(db):
    """A bank with a bag at each step, and something open in each list."""
    walk = a_full_bank()
    divided = walk.units(walk.on_the_shelf("cat"))["red-cells"]
    walk.do(DivideUnit(unit=divided, parts=2, empty_g=12, closed=False))
    walk.in_spin(walk.drawn("dog"))
    walk.expressed("dog")
    walk.do(ReportProblem(about=walk.draw_started("dog"), what="other", words="invented"))
    walk.do(DeferDonor(donor=walk.a_donor("cat"), reason="invented"))
    for number in range(3):
        PrintJob.objects.create(command_id=str(number), document="places", title="Invented", at=walk.at)
    sheet = as_text(Sheet(headings=("Name",), rows=(Row(number=2, cells=("Invented",)),)))
    for choices in ("", "", *[json.dumps(Choices(columns={"name": "Name"}).as_text())] * 3):
        held = {"kind": "donors", "file_name": "invented.csv", "by": "robin", "came_at": datetime.now(UTC)}
        ListInHand.objects.create(table=sheet, choices=choices, **held)


def test_hostile_requests_find_no_error_no_trace_and_no_unasked_change(worked):
    client = Client(enforce_csrf_checks=True)
    sender = run(forms=120, requests=80, seed=20261125, client=client, say=str, roles=["coordinator"])
    assert [] == sender.found
    assert "" == ", ".join(never_reached(sender))
    for column, least in (("sent", 150), ("asked", 100), ("refused", 50), ("recorded", 5)):
        assert least < sum(counted[column] for counted in sender.views.values()), column


@pytest.fixture
def with_one_more_page(db, monkeypatch, settings):
    """The program with one more page, which is wrong."""

    def planted(view, address="planted/"):
        monkeypatch.setitem(MAY, "planted", ONE)
        routes = [*urls.urlpatterns, path(address, view, name="planted")]
        settings.ROOT_URLCONF = type("Routes", (), {"urlpatterns": routes, "handler500": urls.handler500})

    return planted


@pytest.fixture
def sender(db):
    client = Client(raise_request_exception=False)
    client.force_login(add("robin", None, ["coordinator"]))
    with ExitStack() as open_while:
        made = Sender(
            client=client, role="coordinator", say=str, head=lambda: Head.objects.values_list().get(id=1)
        )
        made.written = open_while.enter_context(told_of_writing())
        made.raised = open_while.enter_context(told_of_raising())
        yield made


def set_a_limit():
    Walk().do(SetLimit(key="site_name", value="Planted", reason="planted"))


def raises(request):
    raise RuntimeError("planted")


def tells_its_trace(request):
    return HttpResponse("Traceback (most recent call last): planted")


def records_on_reading(request):
    set_a_limit()
    return HttpResponse("read")


def records_and_refuses(request):
    set_a_limit()
    return HttpResponse("refused", status=400)


def records_and_shows_a_page(request):
    set_a_limit()
    return HttpResponse("done")


def keeps_on_reading(request):
    OwnerContact.objects.create(donor="DHAVN000000138", name="planted")
    return HttpResponse("read")


def keeps_and_refuses(request):
    OwnerContact.objects.create(donor="DHAVN000000138", name="planted")
    return HttpResponse("refused", status=400)


@pytest.mark.parametrize(
    ("view", "method", "told"),
    [
        (raises, "GET", "503 RuntimeError: planted at a library"),
        (tells_its_trace, "GET", "a trace in the answer"),
        (records_on_reading, "GET", "answered 200 and changed the book"),
        (records_and_refuses, "POST", "answered 400 and changed the book"),
        (records_and_shows_a_page, "POST", "answered 200 and changed the book"),
        (keeps_on_reading, "GET", "a reading request wrote to people_ownercontact"),
        (keeps_and_refuses, "POST", "refused with 400 and wrote to people_ownercontact"),
    ],
)
def test_a_page_that_does_what_it_must_not_is_found(with_one_more_page, sender, caplog, view, method, told):
    with_one_more_page(view)
    sender.send(method, "/planted/")
    assert told in " ".join(sender.found)
    assert ("the book" in told) is Entry.objects.exists()


def test_a_change_of_the_book_by_a_role_that_may_not_is_found(with_one_more_page, sender):
    def records(request):
        set_a_limit()
        return HttpResponse(status=302, headers={"Location": "/"})

    with_one_more_page(records)
    sender.send("POST", "/planted/")
    assert [] == sender.found
    sender.role = ""
    sender.send("POST", "/planted/")
    assert ["POST '/planted/' as nobody: nobody changed the book at planted"] == sender.found


def test_a_page_that_is_never_reached_is_named(with_one_more_page, monkeypatch):
    def nowhere(request):
        raise Http404

    with_one_more_page(nowhere)
    monkeypatch.setattr(People, "views_for", staticmethod(lambda role: ["look", "planted"]))
    client = Client(enforce_csrf_checks=True)
    sender = run(
        forms=6, requests=0, seed=1, client=client, say=str, roles=["coordinator"], each=0, crawled=0
    )
    named = never_reached(sender)
    assert (True, False) == ("planted" in named, "look" in named)


def test_what_is_drawn_is_the_same_for_the_same_seed():
    for draw in (
        lambda of: mutated(of, "/stock/at/?moment=1", ["code"]),
        lambda of: changed(of, {"g": "231"}),
    ):
        assert [draw(Random(seed)) for seed in range(9)] == [draw(Random(seed)) for seed in range(9)]
        assert 1 < len({draw(Random(seed)) for seed in range(9)})
