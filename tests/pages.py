"""Pages in tests: a signed-in person at a bench, forms sent as a browser sends them, and text as a person reads it."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth import get_user_model
from django.test import Client

from buffycoat.journal.models import Entry
from buffycoat.site.rules import SetLimit
from tests.draws.reading import asked, text
from tests.walk import Walk

__all__ = [
    "answer",
    "asked",
    "client",
    "fields",
    "kinds_since",
    "near_noon",
    "nothing_recorded",
    "pdf",
    "text",
    "walk",
]


def near_noon(ago: timedelta) -> Walk:
    """A bench of some time ago, at a place where it is about noon now, so that no test runs across midnight."""
    now = datetime.now(UTC)
    made = Walk(at=now - ago)
    east = 12 - now.hour
    zone = f"Etc/GMT{-east:+d}" if east else "Etc/GMT"
    made.do(SetLimit(key="time_zone", value=zone, reason="invented"))
    return made


@pytest.fixture
def walk(db):
    return near_noon(timedelta(hours=5))


@pytest.fixture
def client(client, walk):
    client.force_login(get_user_model().objects.create_user("robin"))
    return client


def fields(response, form="answer"):
    """The hidden values of one form of a page."""
    found = re.search(rf'<form[^>]*\bid="{form}".*?</form>', response.content.decode(), re.S)
    assert found, text(response)
    inputs = re.findall(r'<input type="hidden" name="([\w-]+)" value="([^"]*)"', found[0])
    return {name: value.replace("&quot;", '"') for name, value in inputs if name != "csrfmiddlewaretoken"}


def answer(client: Client, address: str, *, form: str = "answer", **typed: object):
    """Opens a page, answers its form and sends it."""
    page = client.get(address)
    assert 200 == page.status_code, (address, page.status_code)
    return client.post(address, {**fields(page, form), **typed})


@contextmanager
def nothing_recorded() -> Iterator[None]:
    before = Entry.objects.count()
    yield
    assert before == Entry.objects.count()


def kinds_since(number: int) -> list[str]:
    return list(Entry.objects.filter(number__gt=number).order_by("number").values_list("kind", flat=True))


def pdf(response) -> bool:
    """It is a PDF, shown in the browser under a name of its own."""
    named = response["Content-Disposition"].startswith("inline; filename=")
    return named and "application/pdf" == response["Content-Type"] and response.content.startswith(b"%PDF")
