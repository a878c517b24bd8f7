"""People with a password and a PIN, and a device that is a bench. All invented."""

import time

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher

from buffycoat.benches.models import Bench
from buffycoat.people.models import access_of
from buffycoat.people.roles import add
from buffycoat.science.numbering import make_code
from tests.harness.people import PASSWORD

PIN = "2580"


@pytest.fixture(autouse=True)
def hashes_cost_little(monkeypatch):
    """What they cost in earnest is Django's choice."""
    monkeypatch.setattr(Argon2PasswordHasher, "time_cost", 1)
    monkeypatch.setattr(Argon2PasswordHasher, "memory_cost", 64)


@pytest.fixture
def robin(db):
    made = add("robin", PASSWORD, ["bench", "coordinator"])
    access_of(made).set_pin(PIN)
    return made


@pytest.fixture
def bench(client, db):
    """This client is a set-up bench."""
    made = Bench.objects.create(name="Bench by the window")
    client.force_login(add("who-set-it-up", None, ["coordinator"]))
    client.post(f"/bench/{made.pk}/here/")
    client.post("/sign-out/")
    return made


@pytest.fixture
def clock(monkeypatch):
    """The server's clock as the counts of wrong tries, of requests and of idle time see it."""
    now = [time.time()]
    monkeypatch.setattr(time, "time", lambda: now[0])

    def passes(*, seconds=0.0, minutes=0.0):
        now[0] += seconds + 60 * minutes

    return passes


def signed_in(client) -> str:
    return client.session.get("_auth_user_id", "")


def scan(client, person, pin=PIN, **more):
    code = make_code("H", "HAVN", person.pk)
    return client.post("/sign-in/badge/", {"code": code, "pin": pin, **more})


def type_password(client, name="robin", password=PASSWORD, **more):
    return client.post("/sign-in/", {"username": name, "password": password}, **more)
