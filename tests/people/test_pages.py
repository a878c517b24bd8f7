"""Signing in and out, and who may."""

import pytest
from django.contrib.auth import get_user_model
from django.utils.html import escape

from tests.harness.people import PASSWORD

TOGETHER = "This name and this password do not belong together: type the password again."


@pytest.fixture
def robin(db):
    return get_user_model().objects.create_user("robin", password=PASSWORD)


def sign_in(client, **typed):
    return client.post("/sign-in/", {"username": "robin", "password": PASSWORD, "next": "", **typed})


def test_who_is_not_signed_in_is_led_to_the_sign_in_page_and_then_where_they_wanted(client, robin):
    assert "/sign-in/?next=/people/" == client.get("/people/")["Location"]
    page = client.get("/sign-in/?next=/people/").content.decode()
    assert 'name="next" value="/people/"' in page
    assert "/people/" == sign_in(client, next="/people/")["Location"]


def test_the_sign_in_page_has_the_banks_name_and_the_caution_and_names_its_boxes_for_password_managers(
    client, db
):
    page = client.get("/sign-in/").content.decode()
    assert "Blood bank" in page
    assert "the licensed veterinarian decide" in page
    assert 'autocomplete="username"' in page
    assert 'autocomplete="current-password"' in page


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"password": "wrong"}, TOGETHER),
        ({"username": "nobody"}, TOGETHER),
        ({"password": ""}, "Type your password."),
    ],
)
def test_a_bad_sign_in_says_one_sentence_keeps_the_name_and_never_the_password(
    client, robin, typed, sentence
):
    page = sign_in(client, **typed).content.decode()
    assert 1 == page.count(escape(sentence))
    assert "<title>Error: Sign in" in page
    assert f'value="{typed.get("username", "robin")}"' in page
    assert PASSWORD not in page
    assert "_auth_user_id" not in client.session


def test_a_sign_in_without_a_name_asks_for_it(client, robin):
    assert "Type your name." in sign_in(client, username="").content.decode()


def test_who_may_no_longer_sign_in_does_not(client, robin):
    robin.is_active = False
    robin.save()
    assert TOGETHER in sign_in(client).content.decode()


def test_a_sign_in_leads_nowhere_outside(client, robin):
    assert "/" == sign_in(client, next="https://example.org/")["Location"]


def test_signing_out_takes_a_press_and_not_a_link(client, robin):
    client.force_login(robin)
    assert 405 == client.get("/sign-out/").status_code
    assert "_auth_user_id" in client.session
    assert "/sign-in/" == client.post("/sign-out/")["Location"]
    assert "_auth_user_id" not in client.session


def test_the_page_lists_who_may_sign_in(client, robin):
    get_user_model().objects.create_user("kim", is_active=False)
    client.force_login(robin)
    page = client.get("/people/").content.decode()
    assert page.index("robin") < page.index("kim")
    assert "no longer" in page
