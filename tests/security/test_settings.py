"""What the program says to browsers, and how it is set when it serves HTTPS."""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client

from buffycoat.people.roles import add
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


def test_the_secret_is_made_once_and_only_its_owner_reads_it(tmp_path):
    checked(tmp_path)
    made = tmp_path / "secret_key"
    first = made.read_text()
    assert 0o600 == stat.S_IMODE(made.stat().st_mode)
    checked(tmp_path)
    assert first == made.read_text()
    assert len(first) >= 50


def test_every_answer_carries_the_headers_that_bind_a_browser(client, db):
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


def test_cookies_are_out_of_reach_of_scripts_and_of_other_sites(client, db):
    add("robin", PASSWORD, ["bench"])
    client.post("/sign-in/", {"username": "robin", "password": PASSWORD})
    for name in ("sessionid", "csrftoken"):
        assert client.cookies[name]["httponly"]
        assert "Lax" == client.cookies[name]["samesite"]


def test_pages_about_people_stay_in_no_browsers_memory(client, db):
    client.force_login(add("robin", None, ["coordinator"]))
    assert "no-store" in client.get("/people/")["Cache-Control"]
    assert "no-store" in client.get("/me/")["Cache-Control"]
    assert "private" in client.get("/stock/")["Cache-Control"]


def test_a_request_that_is_too_large_is_refused(db):
    client = Client(raise_request_exception=False)
    client.force_login(add("robin", None, ["coordinator"]))
    large = {"name": "a" * (settings.DATA_UPLOAD_MAX_MEMORY_SIZE + 1)}
    many = dict.fromkeys(map(str, range(settings.DATA_UPLOAD_MAX_NUMBER_FIELDS + 1)), "x")
    assert [400, 400] == [client.post("/people/", each).status_code for each in (large, many)]


def test_another_hosts_name_is_refused(client, db):
    assert 400 == client.get("/sign-in/", headers={"host": "elsewhere.example"}).status_code
