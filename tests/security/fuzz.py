"""Requests by chance against a bank with work in it: never an error, never a trace, never an unasked change.

    python -m tests.security.fuzz --forms 10000 --requests 100000 --seed 1

makes a demo bank in a temporary folder, signs in as each role in turn, and sends: the real forms of the real pages
with hostile values; and addresses, methods, headers and bodies that no page of ours sends. Exit code 1 and each
finding with its seed when something is found. Nothing leaves the process: it is Django's own test client.
"""

import argparse
import logging
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from html import unescape
from random import Random
from typing import Any

from tests.security.hostile import METHODS, TYPES, body, filled, mutated

TRACE = re.compile(rb"Traceback \(most recent call last\)|django\.db\.utils|\bFile &quot;/|\bFile \"/")
CODE = re.compile(r"/[a-z/-]*[A-Z]{5}\d{9}/[\w/-]*")
READS = {"GET", "HEAD", "OPTIONS", "TRACE"}
LEAVE_ALONE = (
    "/sign-out/",
    "/me/",
    "/people/",
)  # they change who is asking; their own tests are in tests/people


@dataclass(kw_only=True)
class Form:
    address: str
    fields: dict[str, str]


@dataclass(kw_only=True)
class Fuzz:
    """`head` tells number and seal of the last entry: a request that is refused or only reads must not move it."""

    client: Any
    head: Callable[[], object]
    chance: Random
    answers: Counter[str] = field(default_factory=Counter)
    found: list[str] = field(default_factory=list)

    def send(self, method: str, address: str, **rest: Any) -> Any:
        before = self.head()
        try:
            answer = (
                self.client.generic(method, address, **rest)
                if "data" in rest and isinstance(rest["data"], bytes)
                else getattr(self.client, method.lower())(address, **rest)
            )
        except Exception as error:  # a client that raises what the server raised
            self._find(f"{method} {address!r:.200}: {type(error).__name__}: {error}"[:400])
            return None
        status = answer.status_code
        self.answers[f"{method} {status}"] += 1
        if status >= 500:
            self._find(f"{method} {address!r:.200}: {status}")
        if not answer.streaming and TRACE.search(answer.content):
            self._find(f"{method} {address!r:.200}: a trace in the answer")
        if self.head() != before and (method in READS or status >= 400 or status == 200):
            self._find(f"{method} {address!r:.200}: answered {status} and changed the book")
        return answer

    def _find(self, what: str) -> None:
        if what not in self.found:
            self.found.append(what)

    def forms_of(self, address: str) -> Iterator[Form]:
        answer = self.send("GET", address)
        if answer is None or answer.streaming or "html" not in answer.headers.get("Content-Type", ""):
            return
        for made in re.findall(r"<form\b.*?</form>", answer.content.decode(), re.S):
            if 'method="post"' not in made:
                continue
            action = re.search(r'action="([^"]*)"', made)
            fields = dict.fromkeys(
                re.findall(r'<(?:input|select|textarea|button)[^>]*\bname="([^"]+)"', made), ""
            )
            for tag in re.findall(r"<(?:input|option|button)[^>]*>", made):
                name, value = re.search(r'name="([^"]+)"', tag), re.search(r'value="([^"]*)"', tag)
                if name and value and not fields.get(name[1]):
                    fields[name[1]] = unescape(value[1])
            fields.pop("csrfmiddlewaretoken", None)
            yield Form(address=unescape(action[1]) if action else address, fields=fields)

    def links_from(self, starts: list[str], most: int) -> list[str]:
        """Addresses of the real pages, one of each kind first."""
        waiting, seen, kinds = list(starts), set(starts), Counter()
        while waiting and len(seen) < most:
            answer = self.send("GET", waiting.pop(0))
            if answer is None or answer.streaming or "html" not in answer.headers.get("Content-Type", ""):
                continue
            for link in re.findall(r'href="(/[^"#]*)"', answer.content.decode()):
                link = unescape(link)
                kind = re.sub(r"[A-Z]{5}\d{9}|\d+", "*", link)
                if link not in seen and kinds[kind] < 3 and not link.startswith(("/static/", *LEAVE_ALONE)):
                    kinds[kind] += 1
                    seen.add(link)
                    waiting.append(link)
        return sorted(seen)

    def fuzz_forms(self, pages: list[str], count: int) -> None:
        """Real forms with hostile values, each read from its page when its turn comes."""
        sent = 0
        while sent < count:
            forms = [
                each for each in self.forms_of(self.chance.choice(pages)) if not self._left(each.address)
            ]
            for form in forms:
                for _ in range(4):
                    if sent < count:
                        self.send("POST", form.address, data=filled(self.chance, form.fields))
                        sent += 1
            sent += not forms  # a page without a form counts, so that this ends

    def fuzz_requests(self, pages: list[str], count: int) -> None:
        for _ in range(count):
            method, address = self.chance.choice(METHODS), mutated(self.chance, self.chance.choice(pages))
            if self._left(address):
                continue
            self.send(
                method,
                address,
                data=body(self.chance),
                content_type=self.chance.choice(TYPES),
                headers={"accept": "*/*" * self.chance.randrange(3), "x-forwarded-for": "10.0.0.1"},
            )

    @staticmethod
    def _left(address: str) -> bool:
        return address.startswith(LEAVE_ALONE)


def run(*, forms: int, requests: int, seed: int, client: Any, say: Callable[[str], None]) -> list[str]:
    """Against the bank that Django is set up with, as each role in turn."""

    from buffycoat.journal.models import Head
    from buffycoat.people.may import ROLES
    from buffycoat.people.roles import add

    chance = Random(seed)
    client.raise_request_exception = False
    logging.disable(logging.CRITICAL)
    fuzz = Fuzz(client=client, head=lambda: Head.objects.values_list().get(id=1), chance=chance)
    try:
        for role in ["coordinator", *sorted(set(ROLES.values()) - {"coordinator"})]:
            client.force_login(add(f"fuzz-{role}", None, [role]))
            share = 2 if role == "coordinator" else 10
            pages = fuzz.links_from(["/"], 25 if forms < 1_000 else 300)
            fuzz.fuzz_forms(pages, forms // share)
            fuzz.fuzz_requests(pages, requests // share)
            say(f"{role}: {sum(fuzz.answers.values())} requests so far, {len(fuzz.found)} findings")
    finally:
        logging.disable(logging.NOTSET)
    say(", ".join(f"{what}: {count}" for what, count in sorted(fuzz.answers.items())))
    return fuzz.found


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.security.fuzz", description=__doc__)
    asked.add_argument("--forms", type=int, default=10_000)
    asked.add_argument("--requests", type=int, default=100_000)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()

    import tests.settings  # noqa: F401 - a data folder that goes away
    from tests.security.bank import demo

    client = demo()
    found = run(forms=given.forms, requests=given.requests, seed=given.seed, client=client, say=print)
    print(*found or ["Nothing was found."], sep="\n")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
