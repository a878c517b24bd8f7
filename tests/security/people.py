"""Who sends: one person of each role, and nobody. Whatever a request does to them is mended before the next."""

import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.core.cache import cache
from django.http import HttpResponse
from django.test import Client, override_settings

from buffycoat.benches import simulated
from buffycoat.benches.here import stay
from buffycoat.benches.models import PROCESS, Bench
from buffycoat.journal.book import Book
from buffycoat.people.may import MAY, ROLES, may
from buffycoat.people.models import Access, access_of
from buffycoat.people.roles import add, give_roles
from buffycoat.people.sessions import BENCH
from buffycoat.people.views import HALF
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import limits
from buffycoat.storage.models import PlaceRow
from buffycoat.temperatures.models import LOGGER, Thermometer
from tests.harness.people import PASSWORD

PIN = "2580"
NOBODY_LISTENS = "ipp://127.0.0.1:9/ipp/print"
SET_UP = {"scale": PROCESS, "printer_address": NOBODY_LISTENS, "paper_printer_address": NOBODY_LISTENS}
QUICK = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # what is tried here is not the hash


@dataclass(kw_only=True)
class People:
    of_role: dict[str, User]
    bench: Bench
    hashes: dict[int, str] = field(default_factory=dict)
    newest: int = 0
    keys: dict[str, str] = field(default_factory=dict)
    cookie: str = ""

    @classmethod
    @contextmanager
    def hired(cls, client: Client) -> Iterator["People"]:
        with override_settings(PASSWORD_HASHERS=QUICK):
            made = cls(
                of_role={role: add(f"fuzz-{role}", PASSWORD, [role]) for role in ROLES.values()},
                bench=Bench.objects.create(name="Bench of the fuzz", **SET_UP),
            )
            Bench.objects.create(name="Another bench of the fuzz")
            place = PlaceRow.objects.values_list("pk", flat=True).first() or "PHAVN000000138"
            thermometer = Thermometer.objects.create(name="Thermometer of the fuzz", place=place, kind=LOGGER)
            made.keys = {"bench-reading": made.bench.new_key(), "thermometer-readings": thermometer.new_key()}
            made.cookie = stay(HttpResponse(), made.bench).cookies["bench"].value
            simulated.run_at(made.bench.pk, simulated.InventedScale())
            for user in made.of_role.values():
                access_of(user).set_pin(PIN)
                made.hashes[user.pk] = user.password
            made.newest = max(made.hashes)
            yield made
            simulated.run_at(0, simulated.InventedScale())

    @staticmethod
    def shares(roles: Iterable[str]) -> dict[str, float]:
        """The coordinator sends most, for they may do most; the last share is nobody's."""
        given = list(roles) or ["coordinator", *sorted(set(ROLES.values()) - {"coordinator"})]
        weights = {role: 4.0 if role == "coordinator" else 1.0 for role in given} | {"": 0.5}
        return {role: weight / sum(weights.values()) for role, weight in weights.items()}

    @staticmethod
    def views_for(role: str) -> list[str]:
        """The views that this role may send to, and with no role those that are open to whoever comes."""
        return sorted(name for name in MAY if may({role}, name, "POST") and (not role or name != "sign-in"))

    def become(self, sender: Any, role: str) -> None:
        sender.role = role
        sender.client.logout()
        sender.client.cookies.clear()
        self.mend(sender, again=True)

    def mend(self, sender: Any, *, again: bool = False) -> None:
        """As they were: able to sign in, of their one role, signed in or not as they are to be."""
        if {"auth_user", "auth_user_groups", "people_access"} & sender.written:
            get_user_model().objects.filter(pk__gt=self.newest).delete()
            for role, user in self.of_role.items():
                User.objects.filter(pk=user.pk).update(is_active=True, password=self.hashes[user.pk])
                give_roles(user, [role])
                Access.objects.filter(user=user).update(factor_on=False)
        if "benches_bench" in sender.written:
            Bench.objects.exclude(name__endswith="of the fuzz").exclude(pk=self.bench.pk).delete()
            self.bench.save()
        if "temperatures_thermometer" in sender.written:
            Thermometer.objects.update(in_use=True)
        cache.clear()  # of wrong tries
        sender.met.clear()
        client = sender.client
        if again or "django_session" in sender.written:
            held = client.session if "sessionid" in client.cookies else {}
            wanted = str(self.of_role[sender.role].pk) if sender.role else None
            if held.get("_auth_user_id") != wanted or BENCH in held:
                client.logout()  # drops every cookie
                if sender.role:
                    client.force_login(self.of_role[sender.role])
        client.cookies["bench"] = self.cookie
        if "csrftoken" not in client.cookies:
            client.get("/me/password/" if sender.role else "/sign-in/")
        sender.written.clear()

    def before(self, sender: Any, view: str) -> None:
        """The way to two pages that open only in the middle of signing in."""
        if view == "sign-in-second" and not sender.role:
            session = sender.client.session
            session[HALF] = [self.of_role["bench"].pk, time.time(), "/"]
            session.save()
            sender.client.cookies["sessionid"] = session.session_key

    def badge(self) -> str:
        return make_code("H", limits(Book()).text("site_code"), self.of_role["bench"].pk)
