"""A whole bank for one test: its own data, its own database, the real server as a real process."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
from playwright.sync_api import Page

from tests.harness.people import PASSWORD, PEOPLE
from tests.harness.postgres import named

ROOT = Path(__file__).resolve().parents[2]
BUFFYCOAT = Path(sys.executable).with_name("buffycoat.exe" if os.name == "nt" else "buffycoat")
SECONDS_TO_START = 60


@dataclass(kw_only=True)
class Bank:
    """A data folder and a database that holds its own book."""

    data: Path
    database: str  # "" for SQLite in the data folder
    base_url: str = ""
    name: str = PEOPLE[0]
    colleague: str = PEOPLE[1]
    password: str = PASSWORD
    log: Path = field(init=False)

    def __post_init__(self) -> None:
        self.log = self.data / "server.log"

    @property
    def environment(self) -> dict[str, str]:
        ours = {"BUFFYCOAT_DATA": str(self.data), "BUFFYCOAT_DATABASE": self.database}
        ours["DJANGO_SETTINGS_MODULE"] = "buffycoat.settings"  # the tests' own stay with the tests
        ours["BUFFYCOAT_REQUESTS_A_MINUTE"] = str(10**6)  # a driven browser asks faster than hands
        return {**os.environ, **ours}

    def cli(self, *arguments: object, expect: int = 0, typed: str | None = None) -> str:
        """Runs `buffycoat ...` on this bank and gives what it said; another exit code than expected is a failure."""
        command = [str(BUFFYCOAT), *map(str, arguments)]
        done = subprocess.run(
            command,
            env=self.environment,
            input=typed,
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        assert expect == done.returncode, f"{' '.join(command)}\n{done.stdout}"
        return done.stdout

    def sign_in(self, page: Page, name: str = "") -> None:
        page.goto(f"{self.base_url}/sign-in/")
        page.locator("input[name=username]").fill(name or self.name)
        page.locator("input[name=password]").fill(self.password)
        page.locator("input[name=password]").press("Enter")
        page.wait_for_url(lambda url: "sign-in" not in url)

    @contextmanager
    def serving(self) -> Iterator["Bank"]:
        port = _free_port()
        with self.log.open("a") as log:
            command = [str(BUFFYCOAT), "serve", "--port", str(port)]
            server = subprocess.Popen(command, env=self.environment, stdout=log, stderr=log, cwd=self.data)
        try:
            self.base_url = f"http://127.0.0.1:{port}"
            self._wait_for(server)
            yield self
        finally:
            server.terminate()
            server.wait(timeout=SECONDS_TO_START)

    def _wait_for(self, server: subprocess.Popen[bytes]) -> None:
        end = time.monotonic() + SECONDS_TO_START
        while time.monotonic() < end and server.poll() is None:
            try:
                urllib.request.urlopen(f"{self.base_url}/sign-in/", timeout=SECONDS_TO_START).close()
                return
            except urllib.error.HTTPError as error:
                raise AssertionError(
                    f"the sign-in page answers {error.code}\n{self.log.read_text()}"
                ) from error
            except OSError:
                time.sleep(0.05)
        raise AssertionError(f"the server did not start\n{self.log.read_text()}")


@dataclass(frozen=True)
class Stable:
    """Where banks are made: each template once, then a copy of it per test."""

    folder: Path
    database: str

    def empty(self) -> Bank:
        made = self._new("empty")
        made.cli("migrate")
        for name in PEOPLE:
            made.cli("add-person", name, "--role", "coordinator", "--own", typed=f"{PASSWORD}\n")
        return made

    def copy(self, template: Bank, name: str = "") -> Bank:
        made = self._new(name or uuid.uuid4().hex[:12], template)
        shutil.copytree(template.data, made.data, dirs_exist_ok=True)
        return made

    def _new(self, name: str, template: Bank | None = None) -> Bank:
        bank = Bank(data=self.folder / name, database=self.database and named(self.database, f"bank_{name}"))
        bank.data.mkdir()
        if self.database:
            copied = f' TEMPLATE "{_database_of(template)}"' if template else ""
            self._tell(f'CREATE DATABASE "{_database_of(bank)}"{copied}')
        return bank

    def clear(self, bank: Bank) -> None:
        shutil.rmtree(bank.data)
        if self.database:
            self._tell(f'DROP DATABASE "{_database_of(bank)}" WITH (FORCE)')

    def _tell(self, statement: str) -> None:
        with psycopg.connect(self.database, autocommit=True) as connection:
            connection.execute(statement.encode())


def _database_of(bank: Bank) -> str:
    return urlsplit(bank.database).path.lstrip("/")


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
