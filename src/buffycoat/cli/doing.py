"""`buffycoat do`: every command of every chapter, its fields as options. Made from the commands themselves."""

import argparse
import getpass
import re
import sys
from collections.abc import Sequence
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date, datetime
from typing import Any, get_args, get_type_hints

import msgspec
from django.contrib.auth import get_user_model

from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command, Line, Refused, fields_of
from buffycoat.journal.record import record
from buffycoat.journal.strike import Correction
from buffycoat.science.numbering import KINDS, BadCode, read_code
from buffycoat.science.shelf_life import local_to_utc
from buffycoat.site.rules import SetLimit, limits
from buffycoat.training.gate import not_signed, steps_of_command

# Fields that say in whose name a second look is taken or a signature given: that person's own password is asked.
SIGNERS = ("trainer", "settled_by", "reader", "released_by", "checked_by")
DOERS = (
    "reader",
    "issued_by",
    "judged_by",
    "set_by",
)  # who does it, where a rule compares people: nobody else than --by
CODES = {
    "donor": "D",
    "donation": "G",
    "unit": "U",
    "place": "P",
    "spin": "R",
    "lot": "L",
    "rotor": "T",
    "equipment": "E",
    "patient": "A",
    "request": "Q",
    "serves": "TP",
}


def commands() -> dict[str, type[Command]]:
    """Every command by its kebab-case name; corrections have command lines of their own."""
    known = (each for each in Command.__subclasses__() if each is not Correction)
    return {re.sub(r"(?<!^)(?=[A-Z])", "-", each.__name__).lower(): each for each in known}


def do(asked: argparse.Namespace, arguments: Sequence[str]) -> int:
    wanted = _parser().parse_args(arguments)
    kind = commands()[wanted.command]
    try:
        command = _command(kind, wanted)
        at = _moment(wanted.at) if wanted.at else None
        _signed(command, by=wanted.by)
        against, warnings = not_signed(wanted.by, steps_of_command(wanted.command))
        if against:
            raise Refused(*against)
        recorded = record(command, by=wanted.by, happened_at=at, command_id=wanted.command_id)
    except Refused as refused:
        return _refuse(*refused.reasons)
    except (BadCode, ValueError) as wrong:
        return _refuse(str(wrong))
    for line in recorded.lines:
        print(tell(line))
    print(*warnings, sep="\n", end="\n" if warnings else "", file=sys.stderr)
    return 0


def _signed(command: Command, by: str) -> None:
    """Whoever keeps the server may write down what others did, but not sign or look a second time for them."""
    for each in DOERS:
        if (doer := str(getattr(command, each, ""))) not in ("", by):
            named = each.replace("_", "-")
            raise Refused(
                f"--{named} is {doer} and --by is {by}: whoever does it stands in the book with it."
            )
    signer = next((name for each in SIGNERS if (name := str(getattr(command, each, "")).strip())), "")
    if not signer:
        return
    password = getpass.getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
    user = get_user_model().objects.filter(username=signer, is_active=True).first()
    if user is None or not user.check_password(password):
        raise Refused(f"This is not the password of {signer}: nothing was signed.")


def _command(kind: type[Command], wanted: argparse.Namespace) -> Command:
    values = {field.name: _value(field, kind, getattr(wanted, field.name)) for field in _fields(kind)}
    return msgspec.convert(
        {name: value for name, value in values.items() if value is not None}, kind, strict=False
    )


def _fields(kind: type[Any]) -> tuple["Field[Any]", ...]:
    return fields(kind)


def _refuse(*reasons: str) -> int:
    for reason in reasons:
        print(reason, file=sys.stderr)
    print("Nothing was recorded.", file=sys.stderr)
    return 1


def tell(line: Line) -> str:
    """One entry as a line of text."""
    values = ", ".join(
        f"{name} {value}" for name, value in fields_of(line.fact).items() if value not in ("", [])
    )
    return f"{line.number} {line.stream} {line.fact.kind}: {values or 'done'} (by {line.by})"


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="buffycoat do", description="Records one step in the journal.")
    to = parser.add_subparsers(dest="command", required=True, metavar="STEP")
    for name, kind in sorted(commands().items()):
        words = _words(kind)
        step = to.add_parser(name, help=words, description=words)
        step.add_argument("--by", required=True, help="who does it")
        step.add_argument("--at", help="when it was done, in the site's time: 2026-11-25 10:42 (now)")
        step.add_argument("--command-id", help="the same id again records nothing twice")
        for field in _fields(kind):
            many = {"nargs": "+"} if _items(kind, field) else {}
            step.add_argument(
                f"--{field.name.replace('_', '-')}",
                required=field.default is MISSING,
                help=_hint(kind, field),
                **many,
            )
    return parser


def _words(kind: type[Command]) -> str:
    """The first line of the command's own words; a command that needs none is told by its name."""
    words = (kind.__doc__ or "").partition("\n")[0]
    named = re.sub(r"(?<!^)(?=[A-Z])", " ", kind.__name__).capitalize()
    return f"{named}." if not words or words.startswith(kind.__name__) else words


def _items(kind: type[Command], field: "Field[Any]") -> type[Any] | None:
    """The dataclass of which this field holds a tuple, if it holds one."""
    inner = get_args(get_type_hints(kind)[field.name])
    return inner[0] if inner and is_dataclass(inner[0]) and isinstance(inner[0], type) else None


def _asked(item: type[Any]) -> list[str]:
    return [part.name for part in fields(item) if part.default is MISSING]


def _hint(kind: type[Command], field: "Field[Any]") -> str:
    if item := _items(kind, field):
        return "each as " + "=".join(_asked(item))
    if field.name not in CODES:
        return field.name.replace("_", " ")
    return f"code of a {' or '.join(KINDS[kind] for kind in CODES[field.name])}"


def _value(field: "Field[Any]", kind: type[Command], typed: Any) -> Any:
    if typed is None:
        return None
    if item := _items(kind, field):
        names = _asked(item)
        types = get_type_hints(item)
        return [
            {
                name: _plain(name, types[name], part)
                for name, part in zip(names, _parts(each, names), strict=True)
            }
            for each in typed
        ]
    if kind is SetLimit and field.name == "value" and re.fullmatch(r"-?[0-9]+", typed):
        return int(typed)  # a name that is a number alone is read back as text
    return _plain(field.name, get_type_hints(kind)[field.name], typed)


def _parts(typed: str, names: list[str]) -> list[str]:
    parts = typed.split("=", len(names) - 1)
    if len(parts) != len(names):
        raise ValueError(f"“{typed}” should be {'='.join(names)}.")
    return parts


def _plain(name: str, kind: Any, typed: str) -> str:
    """What was typed, tidied if it is a code, or one sentence about what it should be."""
    words = name.replace("_", "-")
    if name in CODES:
        return read_code(typed, CODES[name]).text
    if kind is int and not re.fullmatch(r"-?[0-9]+", typed):
        raise ValueError(f"--{words} is a whole number, and “{typed}” is not one.")
    if kind is bool and typed not in ("true", "false"):
        raise ValueError(f"--{words} is true or false, and “{typed}” is neither.")
    if kind is date and not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", typed):
        raise ValueError(f"--{words} is a day like 2026-11-25, and “{typed}” is not one.")
    return typed


def _moment(typed: str) -> datetime:
    moment = datetime.fromisoformat(typed)
    return moment if moment.tzinfo else local_to_utc(moment, limits(Book()).zone)
