"""The bank over HTTPS: the real server, with a certificate made as docs/how-to/https.md says."""

import http.client
import re
import shlex
import socket
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.cookies import SimpleCookie
from pathlib import Path
from urllib.parse import urlencode

import pytest
from django.http import HttpResponse
from django.test import RequestFactory

from buffycoat.people.headers import cookies_of_this_host
from tests.harness.people import PASSWORD
from tests.harness.server import BUFFYCOAT, ROOT, SECONDS_TO_START, Bank

pytestmark = pytest.mark.one_database
A_YEAR = "max-age=31536000; includeSubDomains"


@pytest.fixture(scope="module")
def certificate(tmp_path_factory) -> tuple[Path, Path]:
    """By the command of the guide itself, for this machine instead of the one named there."""
    folder = tmp_path_factory.mktemp("certificate")
    guide = (ROOT / "docs/how-to/https.md").read_text().replace("192.0.2.10", "127.0.0.1")
    command = re.search(r"openssl req .*?(?=\n *```)", guide, re.S)[0].replace("\\\n", " ").splitlines()[0]
    subprocess.run(shlex.split(command), cwd=folder, check=True, capture_output=True)
    return folder / "certificate.pem", folder / "key.pem"


@contextmanager
def serving(bank: Bank, certificate: tuple[Path, Path]) -> Iterator[int]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    files = ["--certificate", str(certificate[0]), "--key", str(certificate[1])]
    with bank.log.open("a") as log:
        command = [str(BUFFYCOAT), "serve", "--port", str(port), *files]
        server = subprocess.Popen(command, env=bank.environment, stdout=log, stderr=log, cwd=bank.data)
    try:
        end = time.monotonic() + SECONDS_TO_START
        while not _listens(port):
            assert server.poll() is None and time.monotonic() < end, bank.log.read_text()
            time.sleep(0.05)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=SECONDS_TO_START)


def _listens(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def ask(port: int, trusted: ssl.SSLContext, method: str, path: str, cookies: SimpleCookie, body: str = ""):
    asked = http.client.HTTPSConnection("127.0.0.1", port, context=trusted, timeout=SECONDS_TO_START)
    asked.request(
        method,
        path,
        body,
        {
            "Cookie": "; ".join(f"{name}={cookie.value}" for name, cookie in cookies.items()),
            "Content-Type": "application/x-www-form-urlencoded",
            "Referer": f"https://127.0.0.1:{port}/",
        },
    )
    answer = asked.getresponse()
    for line in answer.headers.get_all("Set-Cookie") or []:
        cookies.load(line)
    text = answer.read().decode()
    asked.close()
    return answer, text


def test_a_bench_signs_in_over_https_and_every_cookie_is_for_this_host_alone(quiet_bank, certificate):
    trusted, cookies = ssl.create_default_context(cafile=certificate[0]), SimpleCookie()
    with serving(quiet_bank, certificate) as port:
        page, text = ask(port, trusted, "GET", "/sign-in/", cookies)
        token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', text)[1]
        form = {"csrfmiddlewaretoken": token, "username": quiet_bank.name, "password": PASSWORD}
        came_in, _ = ask(port, trusted, "POST", "/sign-in/", cookies, urlencode(form))
        today, _ = ask(port, trusted, "GET", "/stock/", cookies)
        old = ssl.create_default_context(cafile=certificate[0])
        old.maximum_version = ssl.TLSVersion.TLSv1_2
        with pytest.raises(ssl.SSLError):
            ask(port, old, "GET", "/sign-in/", SimpleCookie())
        with pytest.raises(ssl.SSLCertVerificationError):
            ask(port, ssl.create_default_context(), "GET", "/sign-in/", SimpleCookie())
    assert [200, 302, 200] == [answer.status for answer in (page, came_in, today)]
    assert A_YEAR == page.headers["Strict-Transport-Security"]
    assert {"__Host-csrftoken", "__Host-sessionid"} <= set(cookies)
    for name, cookie in cookies.items():
        assert name.startswith("__Host-"), name
        shown = (cookie["secure"], cookie["httponly"], cookie["samesite"], cookie["path"], cookie["domain"])
        assert (True, True, "Lax", "/", "") == shown, name


def answered(cookies: str, answer: HttpResponse) -> tuple[dict[str, str], HttpResponse]:
    seen: dict[str, str] = {}

    def view(request):
        seen.update(request.COOKIES)
        return answer

    asked = RequestFactory().get("/", headers={"cookie": cookies})
    return seen, cookies_of_this_host(view)(asked)


def test_a_cookie_that_another_host_or_http_may_have_set_is_not_read():
    seen, _ = answered("sessionid=planted; __Host-sessionid=ours; bench=planted", HttpResponse())
    assert {"sessionid": "ours"} == seen


def test_a_cookie_is_taken_away_under_the_name_that_the_browser_knows():
    answer = HttpResponse()
    answer.delete_cookie("bench")
    _, sent = answered("", answer)
    assert ["__Host-bench"] == list(sent.cookies)
    assert (0, True) == (sent.cookies["__Host-bench"]["max-age"], sent.cookies["__Host-bench"]["secure"])
