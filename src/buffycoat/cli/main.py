"""The command `buffycoat`: the same commands and registers as the pages, for a terminal.

Each sub-command is one function here or in a neighbour; Django is set up once, before any of them runs.
"""

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module

# Only the module of the asked sub-command is loaded: a terminal waits for every import.
RUNS = {
    "start": ("bank", "start"),
    "serve": ("bank", "serve"),
    "migrate": ("bank", "migrate"),
    "demo": ("bank", "demo"),
    "add-person": ("bank", "add_person"),
    "verify": ("book", "verify_book"),
    "rebuild": ("book", "rebuild_registers"),
    "strike": ("book", "strike_entry"),
    "journal": ("book", "show_journal"),
    "stock": ("book", "show_stock"),
    "story": ("book", "show_story"),
    "do": ("doing", "do"),
}


def main(arguments: Sequence[str] | None = None) -> int:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "buffycoat.settings")
    wanted, extra = _parser().parse_known_args(arguments)
    if extra and wanted.run != "do":
        print(f"Unknown: {' '.join(extra)}. See `buffycoat {wanted.run} --help`.", file=sys.stderr)
        return 2
    if getattr(wanted, "data", None):
        os.environ["BUFFYCOAT_DATA"] = wanted.data

    import django

    django.setup()
    module, function = RUNS[wanted.run]
    run = getattr(import_module(f"buffycoat.cli.{module}"), function)
    return int(run(wanted, extra) if wanted.run == "do" else run(wanted))


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

    to.add_parser("verify", help="is the journal whole?")
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
    return parser


if __name__ == "__main__":
    sys.exit(main())
