"""What the program says to browsers, and how it is set when it serves HTTPS."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.test import Client

import buffycoat.settings as shipped
from buffycoat.people.own_words import NotOfThisPlace
from buffycoat.people.roles import add
from buffycoat.shell.answers import pdf_answer
from buffycoat.site.rules import SetLimit
from tests.harness.people import PASSWORD
from tests.harness.server import ROOT

pytestmark = pytest.mark.one_database
CHECK = [sys.executable, "-m", "django", "check", "--deploy", "--fail-level", "WARNING"]


def checked(folder: Path, **more: str) -> subprocess.CompletedProcess[str]:
    ours = {
        "BUFFYCOAT_DATA": str(folder),
        "DJANGO_SETTINGS_MODULE": "buffycoat.settings",
        "BUFFYCOAT_HTTPS": "1",
    }
    inherited = {name: value for name, value in os.environ.items() if name != "DJANGO_ALLOW_ASYNC_UNSAFE"}
    return subprocess.run(CHECK, env={**inherited, **ours, **more}, cwd=ROOT, text=True, capture_output=True)


def test_djangos_own_check_for_a_server_on_a_network_finds_nothing(tmp_path):
    done = checked(tmp_path)
    assert (0, "") == (done.returncode, done.stderr.partition("System check identified no issues")[0])


def test_that_check_finds_a_secret_that_is_too_short(tmp_path):
    done = checked(tmp_path, BUFFYCOAT_SECRET_KEY="short")
    assert 0 != done.returncode
    assert "security.W009" in done.stderr


def test_the_secret_is_made_once_and_only_its_owner_reads_it(tmp_path, monkeypatch):
    monkeypatch.setattr(shipped, "DATA", tmp_path)
    first = shipped.kept_secret("secret_key")
    assert 0o600 == stat.S_IMODE((tmp_path / "secret_key").stat().st_mode)
    assert first == shipped.kept_secret("secret_key")
    assert len(first) >= 50


def test_the_secret_of_the_environment_goes_before_the_file(tmp_path, monkeypatch):
    monkeypatch.setattr(shipped, "DATA", tmp_path)
    monkeypatch.setenv("BUFFYCOAT_SECRET_KEY", "given")
    assert "given" == shipped.kept_secret("secret_key")
    assert [] == list(tmp_path.iterdir())


def test_every_answer_carries_the_headers_that_bind_a_browser(client):
    said = client.get("/sign-in/").headers
    assert "nosniff" == said["X-Content-Type-Options"]
    assert "DENY" == said["X-Frame-Options"]
    assert "same-origin" == said["Referrer-Policy"]
    assert "same-origin" == said["Cross-Origin-Opener-Policy"]
    assert "same-origin" == said["Cross-Origin-Resource-Policy"]
    assert "camera=()" in said["Permissions-Policy"]
    policy = said["Content-Security-Policy"]
    for part in ("default-src 'self'", "object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'"):
        assert part in policy
    assert "unsafe" not in policy
    assert "text/html; charset=utf-8" == said["Content-Type"]
    assert [] == [name for name in said if name.lower().startswith("access-control-") or name == "Server"]


def test_cookies_are_out_of_reach_of_scripts_and_of_other_sites(db):
    add("kim", PASSWORD, ["bench"])
    client = Client()
    client.post("/sign-in/", {"username": "kim", "password": PASSWORD})
    for name in ("sessionid", "csrftoken"):
        assert client.cookies[name]["httponly"]
        assert "Lax" == client.cookies[name]["samesite"]


def test_pages_about_people_stay_in_no_browsers_memory(client, walk):
    donor = walk.a_donor()
    for page in ("/people/", "/me/", f"/donors/{donor}/", f"/donors/{donor}/owner/"):
        assert "no-store" in client.get(page)["Cache-Control"], page
    for page in ("/stock/", f"/donors/{donor}/consent/"):  # Back brings typed words again
        assert "private" == client.get(page)["Cache-Control"], page


def test_a_file_goes_out_under_a_name_that_breaks_no_header():
    shown = pdf_answer(b"%PDF", 'badge-ünï"\r\nX-Planted: 1')["Content-Disposition"]
    assert "inline; filename*=utf-8''badge-%C3%BCn%C3%AF%22%0D%0AX-Planted%3A%201.pdf" == shown


@pytest.mark.parametrize(
    "word", ["buffycoat2026", "BloodBank!!11", "plasma-donor-1", "coordinator99", "Orchard2026"]
)
def test_a_password_of_this_places_own_words_is_not_taken(walk, word):
    walk.do(SetLimit(key="site_name", value="Orchard Animal Hospital", reason="invented"))
    with pytest.raises(ValidationError, match="anyone here would try first"):
        NotOfThisPlace().validate(word)


@pytest.mark.parametrize("word", ["k9#mQ2x", "iloveyou1", "trustno1"])
def test_a_password_that_is_short_or_common_is_not_taken(db, word):
    with pytest.raises(ValidationError):
        validate_password(word)


@pytest.mark.parametrize(
    "word", ["k9#mQ2xv", "only small letters of one kind", "血の銀行ではない言葉", "x7" * 32]
)
def test_any_other_password_of_eight_to_two_hundred_characters_is_taken(db, word):
    assert None is validate_password(word)


def test_a_password_with_words_of_its_own_is_taken(walk):
    assert None is NotOfThisPlace().validate("blood-and-thunderstorm")
    told = [each["NAME"].rpartition(".")[2] for each in settings.AUTH_PASSWORD_VALIDATORS]
    assert "NotOfThisPlace" in told


@pytest.mark.parametrize(
    "address", ["/static/", settings.STATIC_URL, "/.git/config", "/settings.py", "/admin/"]
)
def test_no_folder_is_listed_and_no_file_of_the_program_is_served(db, address):
    assert 404 == Client().get(address).status_code


def test_another_hosts_name_is_refused(client, db):
    assert 400 == client.get("/sign-in/", headers={"host": "elsewhere.example"}).status_code
