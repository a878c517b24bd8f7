"""`buffycoat serve` without waiting for it: a process that has loaded the program, and opened no database, forks one
server for each port that it is told. With `--fault`, the program has a planted fault, which the checks must find.
"""

import argparse
import os
import signal
import sys
import threading
import time
from contextlib import nullcontext
from typing import Any

FAULTS = ("half-done", "not-synced")
APART_S = 0.02


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.simulation.warm_server")
    parser.add_argument("--fault", choices=FAULTS)
    asked = parser.parse_args(arguments)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # a killed server leaves nothing behind
    _load()
    if asked.fault:
        {"half-done": _half_done, "not-synced": _not_synced}[asked.fault]()
    print("ready", flush=True)
    for line in sys.stdin:
        server = os.fork()
        if server == 0:
            _serve(int(line))
        print(server, flush=True)
    return 0


def _load() -> None:
    import django

    django.setup()
    from django.urls import get_resolver

    import buffycoat.wsgi  # noqa: F401

    assert get_resolver().url_patterns


def _serve(port: int) -> None:
    from buffycoat.cli.main import main as buffycoat

    os.setsid()
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    os.dup2(2, 1)
    os._exit(buffycoat(["serve", "--port", str(port)]))


def _half_done() -> None:
    """Each entry is committed by itself, and what follows from it only afterwards."""
    from buffycoat.journal import record as recording
    from buffycoat.shell import recording as pages

    append, record, one_at_a_time = recording.append, recording.record, threading.Lock()

    def appended(facts: Any, **given: Any) -> Any:
        lines = []
        for fact in facts:
            lines += append([fact], **given)
            _commit_and_go_on()
        return lines

    def recorded(*command: Any, **given: Any) -> Any:
        with one_at_a_time:
            return record(*command, **given)

    recording.append, recording.at_once, pages.record = appended, nullcontext, recorded


def _commit_and_go_on() -> None:
    from django.db import connection

    connection.connection.commit()
    time.sleep(APART_S)
    if connection.vendor == "sqlite":
        connection.cursor().execute("BEGIN IMMEDIATE")


def _not_synced() -> None:
    """PostgreSQL says that it has committed before it has."""
    from django.db import connection

    connection.settings_dict["OPTIONS"]["options"] = "-c synchronous_commit=off"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
