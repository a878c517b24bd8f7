"""The practice book: a bank of its own in a folder of its own, filled by the demo, striped on each page and paper."""

import argparse
import os
import shutil
from pathlib import Path

from platformdirs import user_data_path

FOLDER = "practice"


def turn_to_practice(*, afresh: bool) -> None:
    """Before anything is set up: from here on this process knows no other bank than the practice book."""
    real = Path(os.environ.get("BUFFYCOAT_DATA") or user_data_path("buffycoat"))
    folder = real / FOLDER
    if afresh and folder.exists():
        shutil.rmtree(folder)
    for name in ("BUFFYCOAT_DATABASE", "BUFFYCOAT_SECRET_KEY", "BUFFYCOAT_COPIES"):
        os.environ.pop(name, None)
    os.environ.update(BUFFYCOAT_DATA=str(folder), BUFFYCOAT_PRACTICE="1")


def practice(asked: argparse.Namespace) -> int:
    from buffycoat.cli.bank import DEMO_PASSWORD, migrate, serve
    from buffycoat.cli.bench import demo_bench
    from buffycoat.demo.story import PEOPLE, tell_story
    from buffycoat.journal.models import Entry
    from buffycoat.people.roles import COORDINATOR, add
    from buffycoat.site.rules import PRACTICE_LETTERS

    migrate()
    if not Entry.objects.exists():
        print("Making the practice book: invented donors and three months of work …", flush=True)
        tell_story(letters=PRACTICE_LETTERS)
        for name in PEOPLE:
            add(name, DEMO_PASSWORD, [COORDINATOR])
    host = "127.0.0.1" if asked.host in ("0.0.0.0", "::") else asked.host
    demo_bench(f"http://{host}:{asked.port}")
    print(
        f"PRACTICE, nothing in it is real: http://{asked.host}:{asked.port}/ . "
        f"Sign in as {PEOPLE[0]} or {PEOPLE[1]} with the password {DEMO_PASSWORD}. Stop with Ctrl+C.",
        flush=True,
    )
    return serve(asked)
