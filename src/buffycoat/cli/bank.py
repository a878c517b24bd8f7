"""Setting a bank up and serving it."""

import argparse
import gc
import getpass
import secrets
import sys
from pathlib import Path

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.urls import resolve

from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.people.models import password_is_to_change
from buffycoat.people.roles import COORDINATOR, add

DEMO_PASSWORD = "invented-demo"


def migrate(asked: argparse.Namespace | None = None) -> int:
    """A release that gives the registers new columns fills them from the journal."""
    executor = MigrationExecutor(connection)
    behind = executor.migration_plan(executor.loader.graph.leaf_nodes())
    call_command("migrate", verbosity=0)
    if behind and Entry.objects.exists():
        rebuild()
    return 0


def demo(asked: argparse.Namespace | None = None) -> int:
    from buffycoat.demo.story import PEOPLE, tell_story

    if Entry.objects.exists():
        print("This bank has a journal already: the demo goes into an empty bank only.", file=sys.stderr)
        return 1
    tell_story()
    for name in PEOPLE:
        if not get_user_model().objects.filter(username=name).exists():
            add(name, DEMO_PASSWORD, [COORDINATOR])
    return 0


def add_person(asked: argparse.Namespace) -> int:
    password = getpass.getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
    if len(password) < 8:
        print("The password needs at least 8 characters. Nobody was added.", file=sys.stderr)
        return 1
    if get_user_model().objects.filter(username__iexact=asked.name).exists():
        print(f"{asked.name} may sign in already.", file=sys.stderr)
        return 1
    person = add(asked.name, password, asked.role or ["bench"])
    if not asked.own:
        password_is_to_change(person)
    return 0


def serve(asked: argparse.Namespace) -> int:
    if getattr(asked, "certificate", None):
        return _serve_https(asked)
    import waitress

    from buffycoat.wsgi import application

    resolve("/")  # reads every page, before the first is asked for
    gc.collect()
    gc.freeze()  # what was loaded stays: else now and then a page waits while all of it is gone through
    waitress.serve(
        application,
        host=asked.host,
        port=asked.port,
        threads=8,
        ident=None,
        max_request_body_size=settings.MOST_BYTES_OF_A_REQUEST,
    )
    return 0


def _serve_https(asked: argparse.Namespace) -> int:
    try:
        from granian import Granian
        from granian.constants import Interfaces
    except ImportError:
        print("HTTPS needs one more package: install buffycoat[tls].", file=sys.stderr)
        return 1
    missing = [str(path) for path in (asked.certificate, asked.key) if not (path and Path(path).is_file())]
    if missing:
        print(f"HTTPS needs a certificate and its key; not found: {', '.join(missing)}.", file=sys.stderr)
        return 1
    Granian(
        "buffycoat.wsgi:application",
        address=asked.host,
        port=asked.port,
        interface=Interfaces.WSGI,
        workers=1,  # the bench's live weights and the counted tries are in the memory of one process
        blocking_threads=8,
        ssl_cert=Path(asked.certificate),
        ssl_key=Path(asked.key),
        log_access=False,
    ).serve()
    return 0


def start(asked: argparse.Namespace) -> int:
    migrate()
    sign_in = _first_person() if asked.empty else _demo_person()
    if not asked.empty:
        from buffycoat.cli.bench import demo_bench

        host = "127.0.0.1" if asked.host in ("0.0.0.0", "::") else asked.host
        demo_bench(f"http://{host}:{asked.port}")
    print(f"Buffycoat is at http://{asked.host}:{asked.port}/ . {sign_in}", flush=True)
    return serve(asked)


def _demo_person() -> str:
    from buffycoat.demo.story import PEOPLE

    if not Entry.objects.exists():
        print("Making the demo bank: invented donors and three months of work. Once only …", flush=True)
        demo()
    return f"Sign in to the demo as {PEOPLE[0]} with the password {DEMO_PASSWORD}. Stop with Ctrl+C."


def _first_person() -> str:
    if get_user_model().objects.exists():
        return "Sign in with your own name. Stop with Ctrl+C."
    password = secrets.token_urlsafe(9)
    password_is_to_change(add("coordinator", password, [COORDINATOR]))
    return f"First sign-in: coordinator with the password {password} (shown this once). Stop with Ctrl+C."
