"""Every test on a real SQLite file, then those that touch the database again on a real PostgreSQL.

python -m tests.harness.run [what follows is handed to pytest]
"""

import os
import signal
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import psycopg

from tests.harness.browser import NoBrowser, find_browser
from tests.harness.postgres import postgres

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
    outcomes = {f"SQLite {sqlite3.sqlite_version}": on_sqlite(arguments)}
    with postgres() as address:
        outcomes[version(address)] = on_postgresql(address, arguments)
    return verdict(outcomes)


def verdict(outcomes: dict[str, int]) -> int:
    """Both must pass; with some tests picked out by hand, those may be of a kind that only one of the two runs has."""
    for name, code in outcomes.items():
        said = {PASSED: "passed", NOTHING_FOUND: "no test picked"}.get(code, f"FAILED (pytest's code {code})")
        print(f"{name}: {said}")
    ran = [code for code in outcomes.values() if code != NOTHING_FOUND]
    return next((code for code in ran if code != PASSED), PASSED if ran else NOTHING_FOUND)


def on_sqlite(arguments: list[str]) -> int:
    return pytest("sqlite", {"BUFFYCOAT_DATABASE": ""}, arguments)


def on_postgresql(address: str, arguments: list[str]) -> int:
    return pytest(
        "postgresql", {"BUFFYCOAT_DATABASE": address, "BUFFYCOAT_TEST_ONLY_DATABASE": "1"}, arguments
    )


def pytest(vendor: str, settings: dict[str, str], arguments: list[str]) -> int:
    print(f"\n==== on {vendor} ====", flush=True)
    with tempfile.TemporaryDirectory(prefix="buffycoat-") as data:
        environment = {**os.environ, "BUFFYCOAT_DATA": data, "BUFFYCOAT_TEST_VENDOR": vendor, **settings}
        return subprocess.call([sys.executable, "-m", "pytest", *arguments], cwd=ROOT, env=environment)


def version(address: str) -> str:
    with psycopg.connect(address) as connection:
        row = connection.execute("SHOW server_version").fetchone()
    return f"PostgreSQL {row[0]}" if row else "PostgreSQL"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
