"""What the fuzz does: opens pages of the router, sends their forms, and sends such requests changed."""

import json
import logging
import re
import time
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from random import Random
from typing import Any

from django.forms import Field
from django.urls import Resolver404, URLPattern, resolve

from buffycoat.journal.models import Entry, Head
from buffycoat.people.may import MAY
from tests.security.addresses import Known, patterns
from tests.security.drawn import TOKEN, Drawn
from tests.security.hostile import METHODS, TYPES, body, changed, mutated, reading
from tests.security.page_forms import PageForm, read, watched
from tests.security.people import People
from tests.security.sent import Sender, told_of_raising, told_of_writing

MOST_FORMS_OF_A_VIEW, TRIES = 12, 30


@dataclass(kw_only=True)
class Fuzz:
    """`forms` holds, for each view that takes what is sent, where such a form stands."""

    sender: Sender
    chance: Random
    people: People
    forms: dict[str, list[PageForm]] = field(default_factory=dict)
    fields: dict[str, dict[str, Field]] = field(default_factory=dict)
    pages: list[str] = field(default_factory=list)
    names: list[str] = field(default_factory=lambda: ["code"])

    def __post_init__(self) -> None:
        self.met_there: dict[str, Field] = {}
        self.drawn = Drawn(chance=self.chance, today=datetime.now(UTC).date())

    def open(self, address: str) -> tuple[list[PageForm], list[str]]:
        """The forms and links of a page; its numbers may then be sent."""
        answer = self.sender.send("GET", address)
        fields = self.sender.met.fields
        self.people.mend(self.sender)
        if answer is None or answer.streaming or "html" not in answer.headers.get("Content-Type", ""):
            return [], []
        self.met_there = fields
        html = answer.content.decode()
        self.drawn.numbers = re.findall(
            r"(?<![\w.])\d{1,4}(?:\.\d)?(?![\w.])", re.sub(r"<[^>]+>", " ", html)
        )[-80:]
        return read(address, html)

    def survey(self, lines: Iterable[URLPattern], each: int, crawled: int) -> None:
        """Opens every address of the router with codes of the book, and what these pages lead to."""
        self.known = known = Known(self.chance, self.people.badge())
        self.drawn.codes, self.forms, self.pages = known.all_codes, {}, []
        waiting = ["/", *(address for pattern in lines for address in known.addresses(pattern, each))]
        seen, kinds = set(waiting), Counter[str]()
        most = len(waiting) + crawled
        while waiting and len(self.pages) < most:
            address = waiting.pop(0)
            self.pages.append(address)
            forms, links = self.open(address)
            self._keep(forms)
            for link in links:
                kind = view_at(link)
                if kind and link not in seen and kinds[kind] < 5:
                    kinds[kind] += 1
                    seen.add(link)
                    waiting.append(link)

    def _keep(self, forms: list[PageForm]) -> None:
        for form in forms:
            self.names = list(dict.fromkeys([*self.names, *form.names]))[:200]
            if form.method == "post" and (view := view_at(form.action)):
                kept = self.forms.setdefault(view, [])
                if len(kept) < MOST_FORMS_OF_A_VIEW:
                    kept.append(form)
                elif self.chance.random() < 0.3:
                    kept[self.chance.randrange(len(kept))] = form
                self.fields.setdefault(view, {}).update(self.met_there)

    def fuzz_forms(self, count: int) -> None:
        """Each view in its turn: its page opened afresh, its form sent up to three times."""
        sent = 0
        while sent < count:
            views = self.people.views_for(self.sender.role)
            self.chance.shuffle(views)
            for view in views:
                if sent < count:
                    sent += self._one(view, min(3, count - sent))

    def reach(self, tries: int) -> None:
        """What no request has come to yet is tried again, with other codes."""
        for view in self.people.views_for(self.sender.role):
            for tried in range(tries):
                if not self.sender.views[view]["reached"]:
                    self._one(view, 1, raw=tried % 2 == 0)

    def _one(self, view: str, times: int, *, raw: bool = False) -> int:
        """Without a form of its own on any page, what such forms hold is sent to an address of the view."""
        self.people.before(self.sender, view)
        kept = self.forms.get(view)
        form = self.chance.choice(kept) if kept and not raw else self._raw(view)
        forms, _ = self.open(form.page)
        fields = {**self.fields.get(view, {}), **self.met_there}
        same = [each for each in forms if each.method == "post" and view_at(each.action) == view]
        form = self.chance.choice(same) if same else form
        for _ in range(times):
            if view in self.people.keys:
                self._tell_a_reading(view, form.action)
            else:
                _, values = self.drawn.filled(form, fields)
                self.sender.send("POST", _without_fragment(form.action), data=values)
            self.people.mend(self.sender)
        return times

    def _raw(self, view: str) -> PageForm:
        address, token = self.known.raw(view), self.sender.client.cookies["csrftoken"].value
        names = {name: [""] for name in self.fields.get(view, {})}
        return PageForm(page=address, action=address, method="post", held={**names, TOKEN: [token]})

    def _tell_a_reading(self, view: str, address: str) -> None:
        key = self.people.keys[view] if self.chance.random() < 0.9 else "another"
        self.sender.send(
            "POST",
            address,
            data=json.dumps(reading(self.chance)).encode(),
            content_type="application/json",
            headers={"authorization": f"Bearer {key}"},
        )

    def fuzz_requests(self, count: int) -> None:
        """Half of them as no page sends them; half a real form with bytes of it changed."""
        posts = [form for forms in self.forms.values() for form in forms]
        for _ in range(count):
            headers = {"accept": "*/*" * self.chance.randrange(3), "x-forwarded-for": "10.0.0.1"}
            if self.chance.random() < 0.9:
                headers["x-csrftoken"] = self.sender.client.cookies["csrftoken"].value
            if posts and self.chance.random() < 0.5:
                form = self.chance.choice(posts)
                _, values = self.drawn.filled(form, self.fields.get(view_at(form.action), {}))
                values.pop(
                    TOKEN, None
                )  # it stands in the header; that of an earlier sign-in is refused unread
                data, kind = changed(self.chance, values)
                method = "POST" if self.chance.random() < 0.9 else self.chance.choice(METHODS)
                address = form.action
                if self.chance.random() < 0.3:
                    address = mutated(self.chance, address, self.names)
            else:
                method, data, kind = self.chance.choice(METHODS), body(self.chance), self.chance.choice(TYPES)
                address = mutated(self.chance, self.chance.choice(self.pages), self.names)
            self.sender.send(
                method, _without_fragment(address), data=data, content_type=kind, headers=headers
            )
            self.people.mend(self.sender)


def _without_fragment(address: str) -> str:
    return address.partition("#")[0]


def view_at(address: str) -> str:
    try:
        return resolve(address.partition("?")[0].partition("#")[0]).view_name
    except Resolver404:
        return ""


def run(
    *,
    forms: int,
    requests: int,
    seed: int,
    client: Any,
    say: Callable[[str], None],
    roles: Iterable[str] = (),
    each: int = 2,
    crawled: int = 20,
) -> Sender:
    """Against the bank that Django is set up with, as each role in turn and as nobody. Gives the sender.

    `each` is the number of addresses that are opened of one line of the router; pages that take nothing are left to
    `crawled`, the number of those that links lead to.
    """
    client.raise_request_exception = False
    with ExitStack() as open_while:
        open_while.callback(logging.disable, logging.root.manager.disable)
        logging.disable(logging.CRITICAL)
        people = open_while.enter_context(People.hired(client))
        sender = Sender(client=client, head=lambda: Head.objects.values_list().get(id=1))
        sender.say, sender.kind = say, lambda: Entry.objects.latest("number").kind
        sender.met = open_while.enter_context(watched())
        sender.written = open_while.enter_context(told_of_writing())
        sender.raised = open_while.enter_context(told_of_raising())
        fuzz = Fuzz(sender=sender, chance=Random(seed), people=people)
        shares = people.shares(roles)
        with suppress(KeyboardInterrupt):  # whoever stops a long run is told what was done so far
            for role, share in shares.items():
                people.become(sender, role)
                started = time.monotonic()
                fuzz.survey((one for one in patterns() if MAY[one.name].sent_by != "-"), each, crawled)
                fuzz.fuzz_forms(round(forms * share))
                fuzz.reach(TRIES)
                fuzz.fuzz_requests(round(requests * share))
                told = f"{sum(sender.answers.values())} requests so far, {len(sender.found)} findings"
                say(f"{role or 'nobody'}: {told}, {time.monotonic() - started:.0f} s")
    return sender


def never_reached(sender: Sender) -> list[str]:
    """Views that take what is sent, and whose own code no request came to."""
    taking = sorted(name for name, line in MAY.items() if line.sent_by != "-")
    return [name for name in taking if not sender.views[name]["reached"]]
