"""Every test on a real SQLite file, and those that touch the database at the same time on a real PostgreSQL.

python -m tests.harness.run [what follows is handed to pytest]
"""

import os
import signal
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from pathlib import Path
from typing import TextIO

import psycopg

from tests.harness.browser import NoBrowser, find_browser
from tests.harness.postgres import postgres

Running = subprocess.Popen[bytes]
PARTS = ("1/2", "2/2")
ROOT = Path(__file__).resolve().parents[2]
PASSED, NOTHING_FOUND = 0, 5


def main(arguments: list[str]) -> int:
    try:
        print(f"browser: {find_browser()}", flush=True)
    except NoBrowser as no:
        print(no, file=sys.stderr)
        if not arguments:
            return 1
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # so that PostgreSQL is stopped too
    with ExitStack() as stack:
        address = stack.enter_context(postgres())
        running: dict[str, tuple[Running, TextIO]] = {}
        for part in PARTS if not arguments else ("",):
            said = stack.enter_context(tempfile.TemporaryFile("w+")) if running else sys.stdout
            name = f"SQLite {sqlite3.sqlite_version}" + (f", part {part}" if part else "")
            running[name] = stack.enter_context(on_sqlite(arguments, part, said)), said
        said = stack.enter_context(tempfile.TemporaryFile("w+"))
        running[version(address)] = stack.enter_context(on_postgresql(address, arguments, said)), said
        return verdict({name: told(*each) for name, each in running.items()})


def told(running: Running, said: TextIO) -> int:
    """How it ended, when it has; and what it said, if that was not seen yet."""
    code = running.wait()
    if said is not sys.stdout:
        said.seek(0)
        print(said.read(), flush=True)
    return code


def verdict(outcomes: dict[str, int]) -> int:
    """Both must pass; with some tests picked out by hand, those may be of a kind that only one of the two runs has."""
    for name, code in outcomes.items():
        said = {PASSED: "passed", NOTHING_FOUND: "no test picked"}.get(code, f"FAILED (pytest's code {code})")
        print(f"{name}: {said}")
    ran = [code for code in outcomes.values() if code != NOTHING_FOUND]
    return next((code for code in ran if code != PASSED), PASSED if ran else NOTHING_FOUND)


def on_sqlite(arguments: list[str], part: str, said: TextIO) -> AbstractContextManager[Running]:
    """`part`, such as 1/2: every second file of tests, so that two processors share the work; empty: all."""
    settings = {"BUFFYCOAT_DATABASE": "", "BUFFYCOAT_TEST_PART": part}
    quiet = ["-p", "no:cacheprovider"] if part else []
    return pytest("sqlite", settings, [*quiet, *arguments], said)


def on_postgresql(address: str, arguments: list[str], said: TextIO) -> AbstractContextManager[Running]:
    """What it says goes to `said`, to be read when the other is done."""
    settings = {"BUFFYCOAT_DATABASE": address, "BUFFYCOAT_TEST_ONLY_DATABASE": "1"}
    return pytest("postgresql", settings, ["-p", "no:cacheprovider", *arguments], said)


@contextmanager
def pytest(vendor: str, settings: dict[str, str], arguments: list[str], said: TextIO) -> Iterator[Running]:
    """Stopped too when the run ends before it."""
    print(f"\n==== on {vendor} ====", file=said, flush=True)
    with tempfile.TemporaryDirectory(prefix="buffycoat-") as data:
        environment = {**os.environ, "BUFFYCOAT_DATA": data, "BUFFYCOAT_TEST_VENDOR": vendor, **settings}
        command = [sys.executable, "-m", "pytest", *arguments]
        with subprocess.Popen(command, cwd=ROOT, env=environment, stdout=said, stderr=said) as running:
            try:
                yield running
            finally:
                running.terminate()


def version(address: str) -> str:
    with psycopg.connect(address) as connection:
        row = connection.execute("SHOW server_version").fetchone()
    return f"PostgreSQL {row[0]}" if row else "PostgreSQL"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
