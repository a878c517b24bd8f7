"""One request after another, and after each: no error, no trace, and no change that nobody asked for."""

import re
import sys
import traceback
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.core.signals import got_request_exception
from django.db import connection

from buffycoat.people.may import may
from tests.security.page_forms import Met

TRACE = re.compile(rb"Traceback \(most recent call last\)|django\.db\.utils|\bFile &quot;/|\bFile \"/")
OURS = "buffycoat/"
READS = {"GET", "HEAD", "OPTIONS", "TRACE"}
WRITES = re.compile(r"\s*(?:INSERT (?:OR \w+ )?INTO|REPLACE INTO|UPDATE|DELETE FROM)\s+\"?(\w+)", re.I)
# Written by reading: who is signed in, and the empty row for what a person signs in with.
BESIDE = {"django_session", "people_access"}

# Where the book itself keeps what was refused, and as which kind of fact.
REFUSALS_NOTED = {"request-issue": "issue-refused"}


@contextmanager
def told_of_writing() -> Iterator[set[str]]:
    """The tables that were written to, for whoever looks."""
    tables: set[str] = set()

    def tell(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        done = execute(sql, params, many, context)
        if (written := WRITES.match(sql)) and context["cursor"].rowcount:
            tables.add(written[1])
        return done

    with connection.execute_wrapper(tell):
        yield tables


@contextmanager
def told_of_raising() -> Iterator[list[str]]:
    """What the program raised and answered with its page for errors, with the last place of ours."""
    raised: list[str] = []

    def tell(**rest: Any) -> None:
        error = sys.exc_info()[1]
        assert error
        frames = traceback.extract_tb(error.__traceback__)
        ours = [
            f"{each.filename.rpartition(OURS)[2]}:{each.lineno}" for each in frames if OURS in each.filename
        ]
        raised.append(f"{type(error).__name__}: {error}"[:200] + f" at {(ours or ['a library'])[-1]}")

    got_request_exception.connect(tell)
    try:
        yield raised
    finally:
        got_request_exception.disconnect(tell)


@dataclass(kw_only=True)
class Sender:
    """`head` tells number and seal of the last entry. `role` is the only one of whoever is signed in."""

    client: Any
    head: Callable[[], object]
    met: Met = field(default_factory=Met)
    written: set[str] = field(default_factory=set)
    raised: list[str] = field(default_factory=list)
    role: str = ""
    answers: Counter[str] = field(default_factory=Counter)
    views: defaultdict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    found: list[str] = field(default_factory=list)
    say: Callable[[str], None] = print
    kind: Callable[[], str] = lambda: ""  # of the last entry
    _last: object = None

    def send(self, method: str, address: str, **rest: Any) -> Any:
        before = self._last or self.head()
        self.met.clear()
        self.written.clear()
        self.raised.clear()
        try:
            if isinstance(rest.get("data"), bytes):
                answer = self.client.generic(method, address, **rest)
            else:
                answer = getattr(self.client, method.lower())(address, **rest)
        except Exception as error:  # what the server raised past its own page for errors
            self._find(method, address, f"{type(error).__name__}: {error}"[:300])
            return None
        self._last = self.head()
        written, moved = self.written - BESIDE, self._last != before
        self.answers[f"{method} {answer.status_code}"] += 1
        self._look(method, address, answer, written, moved)
        if method == "POST":
            self._count(answer, written, moved)
        return answer

    def _look(self, method: str, address: str, answer: Any, written: set[str], moved: bool) -> None:
        status, view = answer.status_code, view_of(answer)
        noted = moved and method == "POST" and self.kind() == REFUSALS_NOTED.get(view)
        if status >= 500:
            self._find(method, address, f"{status} {' '.join(self.raised)}")
        if not answer.streaming and TRACE.search(answer.content):
            self._find(method, address, "a trace in the answer")
        if written and method in READS:
            self._find(method, address, f"a reading request wrote to {', '.join(sorted(written))}")
        elif written and (status >= 400 or self.met.refused) and not noted:
            self._find(method, address, f"refused with {status} and wrote to {', '.join(sorted(written))}")
        if moved and (method != "POST" or status != 302) and not noted:
            self._find(method, address, f"answered {status} and changed the book")
        if moved and not may({self.role}, view, "POST"):
            self._find(method, address, f"{self.role or 'nobody'} changed the book at {view}")

    def _count(self, answer: Any, written: set[str], moved: bool) -> None:
        """Per view: how many were sent, came to its form or code, were refused in words, were recorded."""
        counted, status = self.views[view_of(answer)], answer.status_code
        counted["sent"] += 1
        led_away = status == 302 and "/sign-in/?next=" in answer["Location"]
        if self.met.asked or (status not in (403, 404, 405) and not led_away):
            counted["reached"] += 1
        if self.met.asked:
            counted["asked"] += 1
        if self.met.refused:
            counted["refused"] += 1
        if moved:
            counted["recorded"] += 1
        elif written:
            counted["kept"] += 1

    def _find(self, method: str, address: str, what: str) -> None:
        told = f"{method} {address!r:.200} as {self.role or 'nobody'}: {what}"
        if told not in self.found:
            self.found.append(told)
            self.say(told)


def view_of(answer: Any) -> str:
    try:
        return str(answer.resolver_match.view_name)
    except Exception:  # an address that leads to no view
        return ""
