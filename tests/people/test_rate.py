"""Nobody keeps the server busy for all, and nobody tries many names; hands at a bench never meet either limit."""

import pytest
from django.test import Client, override_settings

from buffycoat.people import delays
from buffycoat.people.roles import add
from tests.harness.people import PASSWORD
from tests.people.conftest import scan, signed_in, type_password

pytestmark = pytest.mark.one_database
FEW = override_settings(REQUESTS_A_MINUTE={"person": 5, "nobody": 3, "address": 40})


@FEW
def test_a_person_who_asks_too_much_waits_and_the_colleague_does_not(client, robin, clock):
    kim = Client()
    kim.force_login(add("kim", None, ["bench"]))
    client.force_login(robin)
    answers = [client.get("/me/") for _ in range(6)]
    assert [200] * 5 + [429] == [each.status_code for each in answers]
    wait = int(answers[-1]["Retry-After"])
    assert 1 <= wait <= 60
    assert f"Wait {wait} s" in answers[-1].content.decode()
    assert 200 == kim.get("/me/").status_code
    clock(seconds=wait)
    assert 200 == client.get("/me/").status_code


@FEW
def test_what_a_page_and_a_scale_ask_by_themselves_is_not_counted_for_the_person(client, robin, clock):
    client.force_login(robin)
    assert {200} == {client.get("/bench/scale/").status_code for _ in range(20)}
    assert 429 not in {client.post("/bench/reading/").status_code for _ in range(10)}
    assert 200 == client.get("/me/").status_code


@FEW
def test_whoever_is_not_signed_in_is_counted_by_address(db, clock):
    here, there = Client(REMOTE_ADDR="10.9.9.9"), Client(REMOTE_ADDR="10.1.1.1")
    assert [200, 200, 200, 429] == [here.get("/sign-in/").status_code for _ in range(4)]
    assert 200 == there.get("/sign-in/").status_code


@FEW
def test_an_address_is_counted_for_all_it_asks(client, robin, clock):
    client.force_login(robin)
    statuses = [client.get("/bench/scale/").status_code for _ in range(41)]
    assert [200] * 40 + [429] == statuses


def test_without_limits_nobody_waits(client, robin):
    """The control: it is the limit that refuses."""
    client.force_login(robin)
    assert {200} == {client.get("/me/").status_code for _ in range(6)}


def spray(address: str, names: int) -> tuple[int, str]:
    """One wrong try for each of many names: how many were looked at, and what was said last."""
    thief, looked_at, said = Client(REMOTE_ADDR=address), 0, ""
    for number in range(names):
        said = type_password(thief, f"name-{number}", "a-guess").content.decode()
        looked_at += "do not belong together" in said
    return looked_at, said


def test_many_names_from_one_place_are_counted_together(robin, clock):
    looked_at, said = spray("10.9.9.9", 30)
    assert delays.OF_A_PLACE.free_tries == looked_at
    assert "Too many wrong tries from here, with several names" in said


def test_without_that_count_every_name_would_be_tried(robin, clock, monkeypatch):
    """The control."""
    monkeypatch.setattr(delays, "seconds_for_any_name", lambda place: 0)
    assert 30 == spray("10.9.9.9", 30)[0]


def test_a_colleague_at_the_same_place_comes_in_all_the_same(client, robin, bench, clock):
    own = Client(REMOTE_ADDR="10.9.9.9")
    type_password(own)
    own.post("/sign-out/")
    spray("10.9.9.9", 30)
    type_password(own)  # with the browser they have come in with before
    assert str(robin.pk) == signed_in(own)
    scan(client, robin, REMOTE_ADDR="10.9.9.9")
    assert str(robin.pk) == signed_in(client)
    stranger = Client(REMOTE_ADDR="10.9.9.9")
    type_password(stranger)
    assert "" == signed_in(stranger)
    clock(seconds=delays.OF_A_PLACE.longest_s + 1)  # at the most
    type_password(stranger)
    assert str(robin.pk) == signed_in(stranger)


def test_a_thief_with_an_account_gains_no_tries_by_it(robin, clock):
    add("a-thief", PASSWORD, ["auditor"])
    looked_at = 0
    for number in range(30):
        thief = Client(REMOTE_ADDR="10.9.9.9")
        type_password(thief, "a-thief")
        said = type_password(Client(REMOTE_ADDR="10.9.9.9"), f"name-{number}", "a-guess").content.decode()
        looked_at += "do not belong together" in said
    assert delays.OF_A_PLACE.free_tries == looked_at


def test_who_came_in_with_a_browser_is_signed_and_cannot_be_made_up(robin, clock):
    spray("10.9.9.9", 30)
    liar = Client(REMOTE_ADDR="10.9.9.9")
    liar.cookies["known"] = f"{robin.pk}:1x:made-up"
    type_password(liar)
    assert "" == signed_in(liar)
