"""How long the server takes for each kind of page in an invented bank with ten years of history.

python -m benchmarks.pages                            on SQLite; about five minutes, most of it to make the bank
python -m benchmarks.pages --database postgresql      on a PostgreSQL of its own
python -m benchmarks.pages --data FOLDER              keeps the bank there, and takes it from there the next time

One browser's worth of questions, one after the other, compressed as browsers ask for it; each page beside the page
Help, which asks the database for nothing but the session, the person and the limits. Beside the clock's time stands the
server's own processor time (on Linux; PostgreSQL's comes on top): other work on the machine hardly changes it.
"""

import argparse
import os
import re
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import nullcontext
from html import unescape
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import django

from benchmarks.measuring import measured, share, tell
from tests.harness.people import PASSWORD, PEOPLE
from tests.harness.postgres import postgres
from tests.harness.server import Bank
from tests.test_every_page import kind_of

GOAL_MS = 60
PLAIN = "/help/"
LINKS = re.compile(r'<(?:a|form)\b[^>]*\b(?:href|action)="(/[^"#]*)"')
POSTS = re.compile(r'<form method="post"[^>]*action="(/[^"#]*)"')


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--donations", type=int, default=5_200)
    asked.add_argument("--years", type=int, default=10)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--rounds", type=int, default=40)
    asked.add_argument("--data", type=Path)
    asked.add_argument("--database", choices=["sqlite", "postgresql"], default="sqlite")
    asked.add_argument("--measure", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.measure:
        return made(given)
    served = postgres(options=[]) if given.database == "postgresql" else nullcontext("")
    with served as address, tempfile.TemporaryDirectory() as folder:
        data = given.data or Path(folder)
        if not (data / "secret_key").exists():
            data.mkdir(exist_ok=True)
            how = ("--donations", given.donations, "--years", given.years, "--seed", given.seed)
            tale = measured("benchmarks.pages", "--measure", "make", *how, data=data, database=address)
            print(
                f"made in {tale['took_s']:.0f} s: {tale['entries']:,.0f} entries, {tale['units']:,.0f} units"
            )
            Bank(data=data, database=address).cli(
                "add-person", PEOPLE[0], "--role", "coordinator", "--own", typed=f"{PASSWORD}\n"
            )
        with Bank(data=data, database=address).serving() as served_bank:
            tell_times(Visitor(served_bank.base_url), given.rounds)


def made(given: argparse.Namespace) -> None:
    """In a process of its own, on the bank that its environment names."""
    django.setup()
    from django.core.management import call_command

    from benchmarks.ten_years import make
    from buffycoat.journal.models import Entry
    from buffycoat.labels.models import UnitRow

    call_command("migrate", verbosity=0)
    began = time.perf_counter()
    make(given.donations, given.years, given.seed)
    tell(took_s=time.perf_counter() - began, entries=Entry.objects.count(), units=UnitRow.objects.count())


class Visitor:
    """Signed in, over one connection that stays open."""

    def __init__(self, address: str) -> None:
        self.wire, self.cookies = HTTPConnection(urlsplit(address).netloc), dict[str, str]()
        token = re.findall(r'name="csrfmiddlewaretoken" value="([^"]+)"', self.get("/sign-in/")[1])[0]
        self.ask(
            "POST", "/sign-in/", {"username": PEOPLE[0], "password": PASSWORD, "csrfmiddlewaretoken": token}
        )
        assert "sessionid" in self.cookies

    def get(self, path: str) -> tuple[str, str]:
        """The page and its address, behind every redirect."""
        status, where, page = self.ask("GET", path)
        return self.get(where) if status == 302 else (path, page if status == 200 else "")

    def ask(
        self, method: str, path: str, form: dict[str, str] | None = None, **more: str
    ) -> tuple[int, str, str]:
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        head = {"Cookie": cookies, "Content-Type": "application/x-www-form-urlencoded", **more}
        self.wire.request(method, path, urlencode(form) if form else None, head)
        answer = self.wire.getresponse()
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        return answer.status, answer.headers.get("Location") or "", answer.read().decode(errors="replace")

    def takes_ms(self, path: str, server: int) -> tuple[float, float]:
        """By the clock, and of the server's processor time."""
        began, began_work = time.perf_counter(), processor_s(server)
        status, _, _ = self.ask("GET", path, **{"Accept-Encoding": "gzip"})
        took, worked = time.perf_counter() - began, processor_s(server) - began_work
        assert 200 == status, (status, path)
        return 1000 * took, 1000 * worked


def processor_s(process: int) -> float:
    """Linux gives each process a clock of its own, numbered by the process."""
    return time.clock_gettime((~process << 3) | 2) if sys.platform == "linux" else 0.0


def only_child() -> int:
    children = Path(f"/proc/self/task/{os.getpid()}/children")
    return int(children.read_text().split()[-1]) if children.exists() else 0


def pages(visitor: Visitor) -> Iterator[str]:
    """One address of each kind, nearest to the first page first; pages that change something are not asked."""
    waiting, seen = ["/"], {"/", "/sign-out/", "/look/", "/journal/check/"}
    while waiting:
        path, page = visitor.get(waiting.pop(0))
        if not page:
            continue
        yield path
        posts = set(POSTS.findall(page))
        for target in map(unescape, LINKS.findall(page)):
            kind = kind_of(target) + ("?" if "?" in target else "")
            if target not in posts and kind not in seen and not re.search(r"\.(pdf|png|css)$", target):
                seen.add(kind)
                waiting.append(target)


def tell_times(visitor: Visitor, rounds: int) -> None:
    paths = sorted({kind_of(path) + ("?" if "?" in path else ""): path for path in pages(visitor)}.values())
    times: dict[str, list[tuple[float, float]]] = {path: [] for path in {*paths, PLAIN}}
    server = only_child()
    for _ in range(rounds):  # each page in turn, so that all meet the same machine
        for path, found in times.items():
            found.append(visitor.takes_ms(path, server))
    plain = share([took for took, _ in times[PLAIN]], 50)
    print(f"{'page':<46} {'p50 ms':>8} {'p95 ms':>8} {'times Help':>11} {'processor p50, p95':>19}")
    for path, found in sorted(times.items(), key=lambda each: -share([took for took, _ in each[1]], 95)):
        by_clock, worked = zip(*found, strict=True)
        p50, p95, work50, work95 = (share(each, part) for each in (by_clock, worked) for part in (50, 95))
        late = "  over the goal" if p95 > GOAL_MS else ""
        print(
            f"{path[:46]:<46} {p50:8.1f} {p95:8.1f} {p50 / plain:11.1f} {work50:9.1f} {work95:9.1f}{late}",
            flush=True,
        )


if __name__ == "__main__":
    main()
