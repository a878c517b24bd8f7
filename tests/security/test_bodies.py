"""What cannot be read, or is more than anything here takes, is refused in words at every address."""

import json

import pytest
from django.conf import settings
from django.test import Client

from buffycoat.benches.models import Bench
from buffycoat.people.roles import add
from buffycoat.shell.forms import DAMAGED, BenchForm

pytestmark = pytest.mark.one_database
FORM, FILES = "application/x-www-form-urlencoded", "multipart/form-data; boundary=b"
DEEP = "[" * 3_000
HELD = b'--b\r\nContent-Disposition: form-data; name="a"\r\n\r\n'
LARGE = b"x" * (settings.DATA_UPLOAD_MAX_MEMORY_SIZE + 1)
UNREADABLE = {
    "too large": (FORM, b"a=" + LARGE),
    "too many fields": (
        FORM,
        b"&".join(b"a%d=1" % n for n in range(settings.DATA_UPLOAD_MAX_NUMBER_FIELDS + 1)),
    ),
    "parts without a boundary": ("multipart/form-data", b"a=1"),
    "a part too large": (FILES, HELD + LARGE + b"\r\n--b--\r\n"),
    "too many files": (
        FILES,
        b"".join(
            b'--b\r\nContent-Disposition: form-data; name="f%d"; filename="f"\r\n\r\nx\r\n' % n
            for n in range(9)
        )
        + b"--b--\r\n",
    ),
    "letters of another alphabet": (f"{FORM}; charset=utf-16", b"a=1"),
}


@pytest.fixture
def client(db):
    made = Client(enforce_csrf_checks=True, raise_request_exception=False)
    made.force_login(add("robin", None, ["coordinator"]))
    return made


def sent(client: Client, address: str, kind: str, body: bytes):
    return client.generic("POST", address, body, content_type=kind)


@pytest.mark.parametrize("address", ["/people/", "/nowhere/"])
@pytest.mark.parametrize("what", UNREADABLE)
def test_what_cannot_be_read_is_refused_in_words_everywhere(client, address, what):
    answer = sent(client, address, *UNREADABLE[what])
    assert (400, b"cannot be read") == (answer.status_code, answer.content[13:27])


def test_a_form_that_can_be_read_is_not_refused_for_that(client):
    assert 403 == sent(client, "/people/", FORM, b"a=1").status_code  # it has no token
    assert 404 == sent(client, "/nowhere/", FORM, b"a=1").status_code


@pytest.mark.parametrize("length", [str(settings.MOST_BYTES_OF_A_REQUEST + 1), "-1", "many"])
def test_what_says_it_is_larger_than_anything_here_is_refused_unread(client, length):
    answer = client.generic("POST", "/people/", b"a=1", content_type=FORM, CONTENT_LENGTH=length)
    assert 413 == answer.status_code


def test_a_page_that_comes_back_with_its_versions_nested_too_deep_is_damaged():
    form = BenchForm({"seen": DEEP})
    assert [DAMAGED] == form.errors["seen"]


def test_a_reading_nested_too_deep_is_no_reading(client):
    key = Bench.objects.create(name="Window").new_key()
    told = {"authorization": f"Bearer {key}"}
    right = json.dumps({"state": "silent", "words": "invented"})
    for body, status in ((DEEP, 400), (right, 200)):
        answer = client.generic(
            "POST", "/bench/reading/", body, content_type="application/json", headers=told
        )
        assert status == answer.status_code


@pytest.mark.parametrize(
    "then", ["NaN", "//elsewhere.example/", "https://elsewhere.example/", "javascript:alert(1)"]
)
def test_after_printing_the_way_back_is_a_page_of_ours(client, then):
    client = Client()
    client.force_login(add("kim", None, ["coordinator"]))
    answer = client.post("/printing/send/", {"document": "places", "command_id": "1", "then": then})
    assert (302, "/printing/") == (answer.status_code, answer["Location"])
