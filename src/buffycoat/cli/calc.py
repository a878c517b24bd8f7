"""`buffycoat calc`: every calculator as a command. It needs no bank and no database, and records nothing."""

import argparse
import json
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from buffycoat.calculator.calculator import Answer, Calculator
from buffycoat.calculator.catalogue import CALCULATORS, GROUPS, group_of
from buffycoat.calculator.kinds import Asked
from buffycoat.shell.words import THIN

LOOKS = ("tokens.css", "pictures.css")


def calc(arguments: Sequence[str]) -> int:
    if not arguments or arguments[0] in ("-h", "--help"):
        print(overview())
        return 0
    found = CALCULATORS.get(arguments[0])
    if found is None:
        print(
            f"There is no calculator called {arguments[0]}. `buffycoat calc --help` lists all.",
            file=sys.stderr,
        )
        return 2
    wanted = _parser(found).parse_args(arguments[1:])
    typed = {each.name: _text(getattr(wanted, each.name)) for each in found.inputs}
    asked = Asked(zone=ZoneInfo("UTC"), today=datetime.now(UTC).date())
    values, faults = found.read(typed, asked)
    if faults:
        return _refuse(*faults.values())
    if wanted.picture and not found.picture:
        return _refuse(f"There is no picture of {found.name}.")
    try:
        answer = found.compute(values, asked)
    except ValueError as refusal:
        return _refuse(str(refusal))
    if wanted.picture:
        if answer.picture is None:
            return _refuse("There is no picture of these values.")
        wanted.picture.write_text(standing_alone(answer.picture.svg), encoding="utf-8")
    print(
        json.dumps(as_json(found, answer), ensure_ascii=False, indent=2)
        if wanted.json
        else as_text(found, answer)
    )
    return 0


def overview() -> str:
    """All calculators, in groups."""
    room = max(len(name) for name in CALCULATORS)
    lines = [
        "usage: buffycoat calc NAME [--help] [--json] [--picture FILE.svg] …",
        "",
        "Nothing is recorded.",
    ]
    for group in GROUPS:
        lines += ["", group.title]
        lines += [f"  {each.name:<{room}}  {each.title}" for each in group.calculators]
    return "\n".join(lines)


def as_text(found: Calculator, answer: Answer) -> str:
    lines = [f"{line.label}: {line.text} {line.said_unit}".replace(THIN, "").strip() for line in answer.lines]
    told = {
        "Range": found.explained.range,
        "Source": found.explained.source,
        "Caution": group_of(found).caution,
    }
    return "\n".join(
        [
            *(lines or ["None found."]),
            *(f"{name}: {text}".replace("`", "") for name, text in told.items() if text),
        ]
    )


def as_json(found: Calculator, answer: Answer) -> dict[str, Any]:
    """The shape for programs: fields may be added, none is renamed or taken away."""
    return {
        "calculator": found.name,
        "given": {each.name: _plain(each.kind.write, answer.given[each.name]) for each in found.inputs},
        "results": [
            {"label": line.label, "value": line.machine, "unit": line.said_unit, "text": line.text}
            for line in answer.lines
        ],
        "formula": found.explained.formula,
        "range": found.explained.range,
        "source": found.explained.source,
        "caution": group_of(found).caution,
    }


def standing_alone(svg: str) -> str:
    """A picture with its colours inside, for a file that no page stands around."""
    folder = Path(__file__).parents[1] / "shell" / "static" / "shell"
    looks = "\n".join((folder / name).read_text(encoding="utf-8") for name in LOOKS)
    return svg.replace(">", f"><style><![CDATA[{looks}]]></style>", 1)


def _parser(found: Calculator) -> argparse.ArgumentParser:
    explained = found.explained
    parser = argparse.ArgumentParser(
        prog=f"buffycoat calc {found.name}",
        description=explained.sentence,
        epilog="\n".join(
            f"{name}: {text}"
            for name, text in (
                ("Formula", explained.formula),
                ("Range", explained.range),
                ("Source", explained.source),
            )
            if text
        ),
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    for each in found.inputs:
        usual = f" Usual: {each.usual}." if each.usual else "" if each.required else " May be left out."
        words = f"{each.label}{f', in {each.unit}' if each.unit else ''}. {each.kind.hint}".strip() + usual
        parser.add_argument(
            f"--{each.name.replace('_', '-')}",
            required=each.required,
            nargs="+" if each.kind.many else None,
            metavar=each.unit or "…",
            help=words.replace("%", "%%"),
        )
    parser.add_argument("--json", action="store_true", help="for programs")
    parser.add_argument(
        "--picture", type=Path, metavar="FILE.svg", help="write the picture, where there is one"
    )
    return parser


def _text(given: str | list[str] | None) -> str:
    return "\n".join(given) if isinstance(given, list) else given or ""


def _plain(write: Any, value: Any) -> Any:
    return value if value is None or isinstance(value, int | float | str) else write(value)


def _refuse(*sentences: str) -> int:
    print(*sentences, sep="\n", file=sys.stderr)
    return 1
