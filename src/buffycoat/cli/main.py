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

from buffycoat.people.may import ROLES

# Only the module of the asked sub-command is loaded: a terminal waits for every import.
RUNS = {
    "start": ("bank", "start"),
    "serve": ("bank", "serve"),
    "practice": ("practice", "practice"),
    "migrate": ("bank", "migrate"),
    "demo": ("bank", "demo"),
    "add-person": ("bank", "add_person"),
    "verify": ("keeping", "verify"),
    "rebuild": ("book", "rebuild_registers"),
    "strike": ("book", "strike_entry"),
    "undo": ("book", "undo_last"),
    "void": ("book", "void_job"),
    "journal": ("book", "show_journal"),
    "stock": ("book", "show_stock"),
    "may-give": ("donors", "may_give_today"),
    "story": ("book", "show_story"),
    "do": ("doing", "do"),
    "backup": ("keeping", "backup"),
    "restore": ("keeping", "restore_copy"),
    "drill": ("keeping", "drill_copy"),
    "move": ("keeping", "move_bank"),
    "export": ("keeping", "export"),
    "head": ("keeping", "head"),
    "bench": ("bench", "bench"),
    "scale-demo": ("bench", "scale_demo"),
    "morning-pack": ("outage", "morning_pack_to"),
    "temperatures": ("temperatures", "show_temperatures"),
    "import-readings": ("temperatures", "import_readings"),
    "watch": ("temperatures", "watch"),
    "bring-in": ("lists", "bring_in_list"),
    "list": ("lists", "write_list"),
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
    if wanted.run == "practice":
        from buffycoat.cli.practice import turn_to_practice

        turn_to_practice(afresh=wanted.afresh)

    if getattr(wanted, "certificate", None):
        os.environ["BUFFYCOAT_HTTPS"] = "1"  # the settings read it once

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
    practice = to.add_parser("practice", help="serve the practice book: the demo, never the real bank")
    practice.add_argument("--data", help="the folder that holds the real bank; practice is beside it")
    practice.add_argument(
        "--afresh", action="store_true", help="throw the practice book away and make it new"
    )
    for each, port in ((start, 8000), (serve, 8000), (practice, 8100)):
        each.add_argument("--port", type=int, default=port)
        each.add_argument("--host", default="127.0.0.1")
    serve.add_argument("--certificate", metavar="FILE", help="serve HTTPS with this certificate (PEM)")
    serve.add_argument("--key", metavar="FILE", help="and its private key")
    to.add_parser("migrate", help="bring the database to this release")
    to.add_parser("demo", help="fill an empty bank with invented donors and three months of work")
    person = to.add_parser("add-person", help="add someone who may sign in; asks for the password")
    person.add_argument("name")
    person.add_argument(
        "--role",
        action="append",
        choices=ROLES.values(),
        help="what they are here; may be given again (bench)",
    )
    person.add_argument(
        "--own", action="store_true", help="they type it themselves, and so need not change it at first"
    )

    verify = to.add_parser("verify", help="is the journal whole?")
    verify.add_argument(
        "--against", metavar="FILE", help="and is it the book whose heads were kept in this file?"
    )
    rebuild = to.add_parser("rebuild", help="make all registers again from the journal")
    rebuild.add_argument("--check", action="store_true", help="only compare: change nothing if they differ")
    strike = to.add_parser("strike", help="strike an entry, with all that was written with it")
    strike.add_argument("number", type=int)
    undo = to.add_parser(
        "undo", help="take back the last step of a donation, donor, spin, lot, rotor or place"
    )
    void = to.add_parser("void", help="strike a whole job that should never have been")
    for each in (undo, void):
        each.add_argument("code")
    for each in (strike, undo, void):
        each.add_argument("--reason", required=True, help="stays in the book")
        each.add_argument("--by", required=True, help="who does it")
    journal = to.add_parser("journal", help="the lines of the journal, as sealed")
    journal.add_argument("--stream", help="only this stream, for example donation/G…")
    to.add_parser("stock", help="what is on the shelves now, oldest first")
    may = to.add_parser("may-give", help="may this donor give today, and how much? Every check, and why")
    may.add_argument("code")
    story = to.add_parser("story", help="what happened to a donation or a unit")
    story.add_argument("code")
    to.add_parser("do", add_help=False, help="record a step: buffycoat do --help lists them")
    to.add_parser("calc", add_help=False, help="compute: buffycoat calc --help lists all calculators")
    _keeping(to)
    _bench(to)
    _temperatures(to)
    _lists(to)
    return parser


def _lists(to: Any) -> None:
    kinds = ("donors", "donations", "stock")
    bring = to.add_parser("bring-in", help="bring in a list that was kept before: CSV or .xlsx")
    bring.add_argument("file")
    bring.add_argument("--as", dest="kind", required=True, choices=kinds, help="what is in it")
    bring.add_argument(
        "--map", nargs="+", metavar="COLUMN=HEADING", help="where the heading is not recognised by itself"
    )
    bring.add_argument("--date-order", choices=("day", "month"), help="which comes first in 03/04/2026")
    bring.add_argument("--weights", choices=("kg", "lb", "g"), help="the unit where none is written")
    bring.add_argument("--species", choices=("dog", "cat"), help="where none is written")
    bring.add_argument("--preview", action="store_true", help="only say what would come in")
    bring.add_argument("--refused", metavar="FILE", help="write the refused rows there, with the reasons")
    bring.add_argument("--by", required=True, help="who does it")
    away = to.add_parser("list", help="write a list of the bank as it stands now")
    away.add_argument("kind", choices=kinds)
    away.add_argument("--to", required=True, metavar="FILE", help="a file that ends in .csv or .xlsx")
    away.add_argument("--owners", action="store_true", help="with the contacts of the donors' owners")


def _bench(to: Any) -> None:
    bench = to.add_parser("bench", help="read the scale of a bench and show it on the bench's pages")
    bench.add_argument("--server", default="http://127.0.0.1:8000", help="where the pages are")
    bench.add_argument(
        "--key-file", required=True, metavar="FILE", help="holds the key that the bench's page made"
    )
    bench.add_argument(
        "--scale",
        required=True,
        metavar="PORT",
        help="/dev/ttyUSB0, COM3, socket://host:port or rfc2217://host:port",
    )
    bench.add_argument("--baud", type=int, default=9600, help="speed of a serial scale (9600)")
    bench.add_argument(
        "--ask", default="", help="what the scale wants to be sent for each reading; \\r and \\n count"
    )
    bench.add_argument(
        "--lines", metavar="PATTERN", help="a description of its lines, if it is none of the usual"
    )
    bench.add_argument("--unit", default="", help="the unit, if its lines carry none: g, kg or mg")
    demo = to.add_parser(
        "scale-demo", help="an invented scale on this computer, to try `buffycoat bench` with"
    )
    demo.add_argument("--port", type=int, default=8500)
    demo.add_argument("--grams", type=float, default=0.0, help="what lies on it")
    demo.add_argument("--pour", action="store_true", help="plasma flows onto it, 4 g each second")


def _temperatures(to: Any) -> None:
    now = to.add_parser("temperatures", help="the last reading of each thermometer, and open alarms")
    now.add_argument("--check", action="store_true", help="are the readings those that were sealed?")
    file = to.add_parser("import-readings", help="read a logger's file in")
    file.add_argument("file")
    file.add_argument("--thermometer", required=True, help="its name")
    file.add_argument("--dates", choices=["dmy", "mdy", "ymd"], help="how it writes dates")
    file.add_argument("--unit", choices=["C", "F"])
    file.add_argument("--column", help="name or number of the column of the temperature")
    file.add_argument("--clock", help="site, or how far its clock is from UTC: +01:00")
    file.add_argument("--year", type=int, help="where the file counts days without a year")
    watch = to.add_parser("watch", help="look for silent thermometers, send alarms, seal the days")
    watch.add_argument("--every-s", type=int, default=60, help="pause between two looks (60)")
    watch.add_argument("--once", action="store_true", help="look once and stop")


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
    pack = to.add_parser(
        "morning-pack", help="stock, open jobs and blank sheets on paper, for when no page opens"
    )
    pack.add_argument("--to", metavar="DIR", help="the folder (this one)")
    pack.add_argument("--sheets", type=int, default=4, help="blank sheets in it (4)")
    pack.add_argument("--by", required=True, help="who does it")
    head = to.add_parser("head", help="the head of the journal, to be kept at a second place")
    head.add_argument("--to", metavar="FILE", help="add it to this file")
    head.add_argument(
        "--entry", type=int, help="print the seal of this entry instead, to compare with a printed sheet"
    )


if __name__ == "__main__":
    sys.exit(main())
