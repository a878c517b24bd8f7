"""Setting a bank up and serving it."""

import argparse
import getpass
import secrets
import sys

from django.contrib.auth import get_user_model
from django.core.management import call_command

from buffycoat.journal.models import Entry

DEMO_PASSWORD = "invented-demo"


def migrate(asked: argparse.Namespace | None = None) -> int:
    call_command("migrate", verbosity=0)
    return 0


def demo(asked: argparse.Namespace | None = None) -> int:
    from buffycoat.demo.story import PEOPLE, tell_story

    if Entry.objects.exists():
        print("This bank has a journal already: the demo goes into an empty bank only.", file=sys.stderr)
        return 1
    tell_story()
    for name in PEOPLE:
        if not get_user_model().objects.filter(username=name).exists():
            get_user_model().objects.create_user(name, password=DEMO_PASSWORD)
    return 0


def add_person(asked: argparse.Namespace) -> int:
    password = getpass.getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
    if len(password) < 8:
        print("The password needs at least 8 characters. Nobody was added.", file=sys.stderr)
        return 1
    if get_user_model().objects.filter(username=asked.name).exists():
        print(f"{asked.name} may sign in already.", file=sys.stderr)
        return 1
    get_user_model().objects.create_user(asked.name, password=password)
    return 0


def serve(asked: argparse.Namespace) -> int:
    import waitress

    from buffycoat.wsgi import application

    waitress.serve(application, host=asked.host, port=asked.port, threads=8, ident=None)
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
    get_user_model().objects.create_user("coordinator", password=password)
    return f"First sign-in: coordinator with the password {password} (shown this once). Stop with Ctrl+C."
