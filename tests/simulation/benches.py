"""Simulated benches: people who work through the real pages over HTTP and remember what they were told was recorded.

When the server does not answer they rest, with the page still filled in, until the gate is opened again; then they
send that page again, as it was.
"""

import html
import http.client
import re
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from urllib.parse import urlencode, urlsplit

from tests.harness.people import PASSWORD

LONGEST_ANSWER_S = 60
CODE = re.compile(r"/([A-Z]{5}\d{9})/")
UNIT = re.compile(r"\bU[A-Z]{4}-?\d{7}-?\d{2}\b")
FIELD = re.compile(r'<input type="hidden" name="([\w-]+)" value="([^"]*)"')
EXPECTED_G = re.compile(r'key-number target.*?key-value">(.*?)<', re.S)


class NoAnswer(Exception):
    """Nobody knows whether it was recorded."""


class Closed(Exception):
    """The work is over."""


class Gate:
    """Where benches wait while nobody serves them, and where it is counted what they were told."""

    def __init__(self, benches: int) -> None:
        self.benches, self.resting, self.gone, self.acknowledged = benches, 0, 0, 0
        self.changed = threading.Condition()
        self.address, self.opened, self.over = "", 0, False
        self.said: set[str] = set()  # by pages of trouble
        self.calm = False  # nothing is killed now
        self.out_of_the_blue = 0  # pages without an answer all the same

    def open(self, address: str, *, over: bool = False) -> None:
        """`over`: what is under way is brought to its end, and nothing new is begun."""
        with self.changed:
            self.address, self.over, self.opened = address, over, self.opened + 1
            self.resting, self.calm = self.gone, True
            self.changed.notify_all()

    def wait_until_all_rest(self, limit_s: float) -> bool:
        with self.changed:
            return self.changed.wait_for(lambda: self.resting == self.benches, limit_s)

    def wait_until_told(self, more: int, limit_s: float) -> bool:
        with self.changed:
            goal = self.acknowledged + more
            return self.changed.wait_for(
                lambda: self.acknowledged >= goal or self.resting == self.benches, limit_s
            )

    def rest(self, since: int) -> None:
        with self.changed:
            self.resting += self.opened == since
            self.out_of_the_blue += self.calm and self.opened == since
            self.changed.notify_all()
            self.changed.wait_for(lambda: self.opened > since)

    def leave(self) -> None:
        with self.changed:
            self.gone, self.resting = self.gone + 1, self.resting + 1
            self.changed.notify_all()

    def told(self) -> None:
        with self.changed:
            self.acknowledged += 1
            self.changed.notify_all()


@dataclass
class Bench:
    """`told`: the commands that this bench was told are recorded, with the number of entries that each has.
    `believes_early`: a control; this bench takes for recorded what it has only sent.
    """

    name: str
    number: int
    gate: Gate
    lot: str
    fridge: str
    believes_early: bool = False
    told: dict[str, int] = field(default_factory=dict)
    under_way: dict[str, int] = field(default_factory=dict)
    refused: list[str] = field(default_factory=list)
    cookies: dict[str, str] = field(default_factory=dict)

    def work(self) -> None:
        """Until the gate says that it is over."""
        try:
            self._keep_trying(self._sign_in)
            for serial in range(1, 10**6):
                self._a_dog(f"Dog {serial} of bench {self.number}")
        except Closed:
            pass
        except Exception as error:
            self.refused.append(f"{type(error).__name__} {error}")
        finally:
            self.gate.leave()

    def _a_dog(self, name: str) -> None:
        """From the new donor to the unit of whole blood in the fridge."""
        from tests.walk import FULL_G, TARE_G, WANTED_ML

        born = (datetime.now(UTC) - timedelta(days=1500)).date()
        donor = self.page("/donors/new/", name=name, species="dog", sex="female", born_on=f"{born:%d %b %Y}")
        self.page(f"/donors/{donor}/type/", blood_type="DEA 1 negative")
        self.page(f"/donors/{donor}/examine/", weight_g="32", pcv_permille="43")
        answers = {"donor": donor, "lot": self.lot, "tare_g": TARE_G["dog"]}
        start = f"/draws/new/?{urlencode(answers)}"
        donation = self.page(start, entries=2, wanted_ml=WANTED_ML["dog"])
        self.page(f"/draws/{donation}/finish/", gross_g=FULL_G["dog"])
        self.page(f"/separation/{donation}/keep-whole/")
        self.page(f"/separation/{donation}/clots/", clots="none")
        self.page(f"/separation/{donation}/segments/", segments=4)
        self.page(f"/separation/{donation}/weigh/whole-blood/", gross_g=_expected_g)
        self.page(f"/labels/{donation}/whole-blood/", entries=2)
        unit = _unit(self._keep_trying(lambda: self._ask("GET", f"/labels/{donation}/scan-back/"))[1])
        self.page(f"/labels/{donation}/scan-back/", unit=unit)
        self.page(f"/put-away/?unit={unit}", place=self.fridge, looks_well="on")

    def page(self, path: str, *, entries: int = 1, **typed: object) -> str:
        """Opens a page, fills it in and sends it until it is recorded; gives the code in the address that follows."""
        if self.gate.over:
            raise Closed
        shown = self._keep_trying(lambda: self._ask("GET", path))[1]
        form = {name: html.unescape(value) for name, value in FIELD.findall(shown)}
        form |= {name: str(value(shown) if callable(value) else value) for name, value in typed.items()}
        command_id = form["command_id"].replace("-", "")
        self.under_way = {command_id: entries}
        if self.believes_early:
            self.told |= self.under_way
        status, answer, location = self._keep_trying(lambda: self._ask("POST", path, form))
        if status != 302:
            raise AssertionError(f"{path} was refused: {_problems(answer)}")
        self.told |= self.under_way
        self.under_way = {}
        self.gate.told()
        found = CODE.search(location)
        return found[1] if found else ""

    def _keep_trying(self, ask: Callable[[], tuple[int, str, str]]) -> tuple[int, str, str]:
        while True:
            since = self.gate.opened
            try:
                return ask()
            except (NoAnswer, OSError, http.client.HTTPException):
                self.gate.rest(since)

    def _sign_in(self) -> tuple[int, str, str]:
        self._ask("GET", "/sign-in/")
        signed_in = self._ask("POST", "/sign-in/", {"username": self.name, "password": PASSWORD})
        assert 302 == signed_in[0]
        return signed_in

    def _ask(self, method: str, path: str, form: dict[str, str] | None = None) -> tuple[int, str, str]:
        """Status, page and where it leads."""
        if not self.gate.address:
            raise NoAnswer
        server = http.client.HTTPConnection(urlsplit(self.gate.address).netloc, timeout=LONGEST_ANSWER_S)
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        body = None
        if form is not None:
            body = urlencode({"csrfmiddlewaretoken": self.cookies["csrftoken"], **form})
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            server.request(method, path, body, headers)
            answer = server.getresponse()
            page = answer.read().decode()
        finally:
            server.close()
        for cookie in answer.headers.get_all("Set-Cookie", []):
            name, _, value = cookie.split(";")[0].partition("=")
            self.cookies[name] = value
        if answer.status >= 500:
            self.gate.said.add(_problems(page))
            raise NoAnswer
        return answer.status, page, answer.headers.get("Location", "")


def _text(page: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", "", page))).strip()


def _problems(page: str) -> str:
    found = re.search(r'<[^>]*class="problems".*?</(?:ul|div|section)>', page, re.S)
    return _text(found[0] if found else page[-1500:])


def _expected_g(page: str) -> str:
    found = EXPECTED_G.search(page)
    assert found, "the page expects no weight"
    return re.sub(r"\D", "", html.unescape(found[1]))


def _unit(page: str) -> str:
    found = UNIT.search(_text(page))
    assert found, "the page names no unit"
    return found[0].replace("-", "")
