"""Badge and PIN at a bench, a second factor beside the password, and how long a sign-in holds."""

import re

import pyotp
import pytest
from django.test import Client

from buffycoat.people import delays
from buffycoat.people.models import Access, RecoveryCode, access_of
from buffycoat.people.second_factor import totp
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import SetLimit
from tests.harness.people import PASSWORD
from tests.people.conftest import PIN, scan, signed_in, type_password
from tests.walk import Walk

pytestmark = pytest.mark.one_database


def test_a_badge_and_its_pin_open_a_bench(client, robin, bench):
    assert (
        "robin, your PIN"
        in client.get(f"/sign-in/badge/?code={make_code('H', 'HAVN', robin.pk)}").content.decode()
    )
    assert "/draws/" == scan(client, robin, next="/draws/")["Location"]
    assert str(robin.pk) == signed_in(client)


def test_a_badge_scanned_on_any_page_asks_the_pin_and_goes_on_where_it_was(client, robin, bench):
    scan(client, robin)
    code = make_code("H", "HAVN", robin.pk)
    assert f"/sign-in/badge/?code={code}" == client.get(f"/scan/?code={code}")["Location"]


def test_a_badge_alone_or_with_a_wrong_pin_opens_nothing(client, robin, bench):
    for pin in ("", "2581", PASSWORD):
        assert 200 == scan(client, robin, pin).status_code
        assert "" == signed_in(client)


def test_a_pin_opens_no_device_that_is_not_a_bench(client, robin):
    answer = scan(client, robin)
    assert "Use name and password here" in answer.content.decode()
    assert "" == signed_in(client)


def test_a_sign_in_by_pin_does_not_hold_on_another_device(client, robin, bench):
    scan(client, robin)
    other = Client()
    other.cookies["sessionid"] = client.cookies["sessionid"].value
    assert "/sign-in/?next=/stock/" == other.get("/stock/")["Location"]


def test_with_a_pin_nothing_is_sent_that_the_table_keeps_for_a_password(client, robin, bench):
    scan(client, robin)
    refused = client.post("/people/", {"name": "sam", "roles": ["bench"]})
    assert 403 == refused.status_code
    assert "badge and PIN" in refused.content.decode()


def test_a_session_ends_when_the_pin_changes(client, robin, bench):
    scan(client, robin)
    assert 200 == client.get("/stock/").status_code
    access_of(robin).set_pin("8025")
    assert "/sign-in/?next=/stock/" == client.get("/stock/")["Location"]


@pytest.mark.parametrize("change", [{"is_active": False}, {"password": "another"}])
def test_a_session_ends_when_its_person_is_disabled_or_gets_another_password(client, robin, change):
    type_password(client)
    assert 200 == client.get("/stock/").status_code
    type(robin).objects.filter(pk=robin.pk).update(**change)
    assert "/sign-in/?next=/stock/" == client.get("/stock/")["Location"]


def test_changing_the_password_takes_the_old_one_and_ends_all_other_sessions(client, robin):
    other = Client()
    type_password(client)
    type_password(other)
    new = "quite-another-secret"
    assert 200 == client.post("/me/password/", {"password": "wrong", "new": new}).status_code
    assert "/me/" == client.post("/me/password/", {"password": PASSWORD, "new": new})["Location"]
    assert 200 == client.get("/stock/").status_code
    assert 302 == other.get("/stock/").status_code


@pytest.mark.parametrize("pin", ["123", "1234", "0000", "9876", "12a4", "１２９４"])
def test_a_pin_that_is_short_or_tried_first_is_not_taken(client, robin, pin):
    type_password(client)
    assert 200 == client.post("/me/pin/", {"password": PASSWORD, "pin": pin}).status_code
    assert access_of(robin).pin_is(PIN)


def test_each_further_wrong_try_waits_twice_as_long_up_to_a_quarter_of_an_hour(clock):
    waits = []
    for _ in range(15):
        assert 0 == delays.seconds_to_wait("robin", "here")
        waits.append(delays.seconds_to_wait("robin", "here") if len(waits) >= 2 else 0)
        clock(seconds=waits[-1])
    assert [0, 0, 2, 3, 5, 9, 17] == waits[:7]  # one second more, so that whoever waits it is never too early
    assert [901, 901] == waits[-2:]


def test_who_tries_many_passwords_is_held_up_and_the_colleague_at_the_bench_is_not(client, robin, bench):
    thief = Client(REMOTE_ADDR="10.9.9.9")
    for _ in range(delays.OF_A_NAME.free_tries + 2):
        said = type_password(thief, password="guess").content.decode()
    assert "Too many wrong tries" in said
    type_password(thief)  # the right one now, and still held up
    assert "" == signed_in(thief)
    scan(client, robin)
    assert str(robin.pk) == signed_in(client)
    elsewhere = Client(REMOTE_ADDR="10.1.1.1")
    type_password(elsewhere)
    assert str(robin.pk) == signed_in(elsewhere)


def test_wrong_pins_are_held_up_on_that_bench(client, robin, bench):
    for _ in range(delays.OF_A_NAME.free_tries):
        scan(client, robin, "1112")
    assert "Too many wrong tries" in scan(client, robin).content.decode()
    assert "" == signed_in(client)


def set_up_factor(client) -> list[str]:
    page = client.post("/me/second-factor/", {"password": PASSWORD}).content.decode()
    secret = re.search(r"<code>([A-Z2-7]{32})</code>", page)[1]
    codes = client.post("/me/second-factor/", {"code": pyotp.TOTP(secret).now()}).content.decode()
    return re.findall(r"<code>(\d{5}-\d{5})</code>", codes)


def test_a_second_factor_is_asked_after_the_password_and_each_code_opens_once(client, robin):
    type_password(client)
    set_up_factor(client)
    Access.objects.update(factor_last_step=0)
    device = totp(access_of(robin))
    for opens in (True, False):
        other = Client()
        assert "/sign-in/second/" == type_password(other)["Location"]
        assert "" == signed_in(other)
        other.post("/sign-in/second/", {"code": device.now()})
        assert opens is bool(signed_in(other))


def test_a_recovery_code_opens_once(client, robin):
    type_password(client)
    code = set_up_factor(client)[0]
    for opens in (True, False):
        other = Client()
        type_password(other)
        other.post("/sign-in/second/", {"code": code})
        assert opens is bool(signed_in(other))


def test_nothing_that_is_kept_gives_the_second_factor_or_a_pin_away(client, robin):
    type_password(client)
    codes = set_up_factor(client)
    access = access_of(robin)
    kept = str([*Access.objects.values_list(), *RecoveryCode.objects.values_list()])
    for secret in (totp(access).secret, PIN, *codes):
        assert secret not in kept
    assert access.pin_hash.startswith("argon2")


def test_who_never_typed_the_password_is_not_asked_for_a_code(client, robin):
    assert "/sign-in/" == client.post("/sign-in/second/", {"code": "123456"})["Location"]


def test_where_the_site_asks_it_of_everyone_nothing_else_opens_before_it_is_set_up(client, robin):
    Walk().do(SetLimit(key="second_factor", value="everyone", reason="invented"))
    type_password(client)
    assert "/me/second-factor/" == client.get("/stock/")["Location"]
    set_up_factor(client)
    assert 200 == client.get("/stock/").status_code


def test_the_coordinator_adds_a_person_whose_password_is_shown_once(client, robin):
    type_password(client)
    page = client.post("/people/", {"name": "sam", "roles": ["bench", "office"]}).content.decode()
    password = re.search(r"the password <code>([^<]+)</code>", page)[1]
    assert password not in client.get("/people/").content.decode()
    other = Client()
    type_password(other, "sam", password)
    assert 403 == other.get("/places/new/").status_code


def test_the_last_coordinator_stays_one(client, robin):
    type_password(client)
    for sent in ({"act": "roles", "roles": ["bench"]}, {"act": "disable"}):
        said = client.post(f"/people/{robin.pk}/", sent, follow=True).content.decode()
        assert "Nobody else is coordinator" in said


def test_a_form_from_before_the_sign_in_is_refused_in_words(robin):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(robin)
    refused = strict.post("/people/", {"name": "sam"})
    assert 403 == refused.status_code
    assert "what you typed is still there" in refused.content.decode()


def test_the_log_tells_who_came_in_and_who_did_not_and_no_secret(client, robin, bench, caplog):
    caplog.set_level("INFO", "buffycoat")
    type_password(client, password="a-guess")
    scan(client, robin, "8520")
    scan(client, robin)
    assert "'robin' was not let in at 127.0.0.1" in caplog.text
    assert "'robin' was not let in: wrong PIN at bench" in caplog.text
    assert "'robin' signed in" in caplog.text
    for secret in ("a-guess", "8520", PIN):
        assert secret not in caplog.text
