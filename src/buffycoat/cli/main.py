"""The command `buffycoat`: the same commands and registers as the pages, for a terminal.

Each sub-command is one function here or in a neighbour; Django is set up once, before any of them runs.
"""

import argparse
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from typing import Any

# Only the module of the asked sub-command is loaded: a terminal waits for every import.
RUNS = {
    "start": ("bank", "start"),
    "serve": ("bank", "serve"),
    "migrate": ("bank", "migrate"),
    "demo": ("bank", "demo"),
    "add-person": ("bank", "add_person"),
    "verify": ("keeping", "verify"),
    "rebuild": ("book", "rebuild_registers"),
    "strike": ("book", "strike_entry"),
    "journal": ("book", "show_journal"),
    "stock": ("book", "show_stock"),
    "story": ("book", "show_story"),
    "do": ("doing", "do"),
    "backup": ("keeping", "backup"),
    "restore": ("keeping", "restore_copy"),
    "drill": ("keeping", "drill_copy"),
    "move": ("keeping", "move_bank"),
    "export": ("keeping", "export"),
    "head": ("keeping", "head"),
}


def main(arguments: Sequence[str] | None = None) -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buffycoat.settings")
    given = list(sys.argv[1:] if arguments is None else arguments)
    if given[:1] == ["calc"]:
        # A calculator needs no bank: it answers before Django would have started.
        from buffycoat.cli.calc import calc

        return calc(given[1:])
    wanted, extra = _parser().parse_known_args(given)
    if extra and wanted.run != "do":
        print(f"Unknown: {' '.join(extra)}. See `buffycoat {wanted.run} --help`.", file=sys.stderr)
        return 2
    if getattr(wanted, "data", None):
        os.environ["BUFFYCOAT_DATA"] = wanted.data

    import django

    django.setup()
    module, function = RUNS[wanted.run]
    run = getattr(import_module(f"buffycoat.cli.{module}"), function)
    with in_plain_words():
        return int(run(wanted, extra) if wanted.run == "do" else run(wanted))


@contextmanager
def in_plain_words() -> Iterator[None]:
    """A full disk or a database that does not answer is said in one sentence; what we do not know stays as it is."""
    from django.db import DatabaseError

    from buffycoat.keeping.trouble import OTHER, trouble_of

    try:
        yield
    except DatabaseError as error:
        trouble = trouble_of(error)
        if trouble is OTHER:
            raise
        print(trouble, file=sys.stderr)
        sys.exit(1)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="buffycoat", description="The blood bank, from a terminal.")
    to = parser.add_subparsers(dest="run", required=True, metavar="WHAT")

    start = to.add_parser("start", help="migrate, load the demo if the bank is empty, and serve")
    start.add_argument("--data", help="the folder that holds the bank")
    start.add_argument("--empty", action="store_true", help="no demo: an empty bank")
    serve = to.add_parser("serve", help="serve the pages")
    for each in (start, serve):
        each.add_argument("--port", type=int, default=8000)
        each.add_argument("--host", default="127.0.0.1")
    to.add_parser("migrate", help="bring the database to this release")
    to.add_parser("demo", help="fill an empty bank with invented donors and three months of work")
    person = to.add_parser("add-person", help="add someone who may sign in; asks for the password")
    person.add_argument("name")

    verify = to.add_parser("verify", help="is the journal whole?")
    verify.add_argument(
        "--against", metavar="FILE", help="and is it the book whose heads were kept in this file?"
    )
    rebuild = to.add_parser("rebuild", help="make all registers again from the journal")
    rebuild.add_argument("--check", action="store_true", help="only compare: change nothing if they differ")
    strike = to.add_parser("strike", help="strike an entry, with all that was written with it")
    strike.add_argument("number", type=int)
    strike.add_argument("--reason", required=True)
    strike.add_argument("--by", required=True)
    journal = to.add_parser("journal", help="the lines of the journal, as sealed")
    journal.add_argument("--stream", help="only this stream, for example donation/G…")
    to.add_parser("stock", help="what is on the shelves now, oldest first")
    story = to.add_parser("story", help="what happened to a donation or a unit")
    story.add_argument("code")
    to.add_parser("do", add_help=False, help="record a step: buffycoat do --help lists them")
    to.add_parser("calc", add_help=False, help="compute: buffycoat calc --help lists all calculators")
    _keeping(to)
    return parser


def _keeping(to: Any) -> None:
    backup = to.add_parser("backup", help="copy the bank while it is at work")
    backup.add_argument("--to", metavar="DIR", help="the folder for copies, best on another disk")
    backup.add_argument("--keep", type=int, default=30, help="how many copies stay in that folder (30)")
    restore = to.add_parser("restore", help="make a bank from a copy, in an empty database")
    restore.add_argument("file")
    restore.add_argument("--strict", action="store_true", help="refuse a copy whose registers were wrong")
    to.add_parser("drill", help="try the newest copy: restore it into a temporary bank and compare")
    move = to.add_parser("move", help="move the bank to another database, equal entry by entry")
    move.add_argument("--to", required=True, help="postgresql://… or a data folder for SQLite")
    export = to.add_parser("export", help="a day of the journal as text for an auditor")
    export.add_argument("--day", required=True, help="2026-11-25, a day of the site")
    export.add_argument("--to", metavar="DIR", help="the folder (this one)")
    head = to.add_parser("head", help="the head of the journal, to be kept at a second place")
    head.add_argument("--to", metavar="FILE", help="add it to this file")
    head.add_argument(
        "--entry", type=int, help="print the seal of this entry instead, to compare with a printed sheet"
    )


if __name__ == "__main__":
    sys.exit(main())
