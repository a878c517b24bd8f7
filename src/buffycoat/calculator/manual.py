"""Writes docs/science from the docstrings: `python -m buffycoat.calculator.manual`."""

import inspect
import sys
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

from buffycoat.calculator.catalogue import GROUPS
from buffycoat.calculator.docstrings import explained
from buffycoat.science import balance_groups, balance_search, balance_tables, constants, errors
from buffycoat.science.constants import Constant

GROUND = (constants, errors, balance_groups, balance_search, balance_tables)
MADE = "Made from the docstrings by `python -m buffycoat.calculator.manual`; change those, not this."
PARTS = ("formula", "arguments", "raises", "range", "source")


def manual() -> dict[str, str]:
    """The text of each file, by its name."""
    pages = {f"{group.key}.md": _page(group.title, group.modules, group.caution) for group in GROUPS}
    pages["ground.md"] = _page("Constants and common ground", GROUND)
    titles = {f"{group.key}.md": group.title for group in GROUPS} | {
        "ground.md": "Constants and common ground"
    }
    contents = [f"- [{titles[name]}]({name}): {_names(text)}" for name, text in pages.items()]
    lead = (
        "Every formula with its units, the range in which it holds and its source. Each one is also a command of "
        "`buffycoat calc` and a page under Calculator, unless it is only a part of another."
    )
    pages["README.md"] = "\n".join(["# The science", "", lead, "", *contents, "", MADE, ""])
    return pages


def public(module: ModuleType, *, classes: bool) -> list[Any]:
    """What a module offers of its own, in its own order."""
    own = [
        each
        for name, each in vars(module).items()
        if not name.startswith("_") and callable(each) and getattr(each, "__module__", "") == module.__name__
    ]
    return sorted((each for each in own if isinstance(each, type) == classes), key=_line)


def _line(what: Any) -> int:
    return inspect.getsourcelines(what)[1]


def _names(page: str) -> str:
    return ", ".join(line[3:] for line in page.splitlines() if line.startswith("## `"))


def _page(title: str, modules: tuple[ModuleType, ...], caution: str = "") -> str:
    lines = [f"# {title}", ""]
    if caution:
        lines += [f"**Caution.** {caution}", ""]
    for module in modules:
        lines += [inspect.getdoc(module) or "", ""]
        if module is constants:
            lines += _constants()
        for function in public(module, classes=False):
            lines += _function(function)
        for class_ in public(module, classes=True):
            lines += _class(class_)
    return "\n".join([*lines, MADE, ""])


def _function(function: Callable[..., Any]) -> Iterator[str]:
    said = explained(function)
    yield from (f"## `{function.__name__}`", "")
    yield from (
        f"`{function.__module__.removeprefix('buffycoat.')}.{function.__name__}({_parameters(function)})`",
        "",
    )
    yield from (said.sentence, "")
    told = [f"- **{part.capitalize()}:** {getattr(said, part)}" for part in PARTS if getattr(said, part)]
    commands = [
        f"- **In a terminal:** `buffycoat calc {each.name}`"
        for group in GROUPS
        for each in group.calculators
        if each.function is function
    ]
    yield from (*told, *commands)
    if told or commands:
        yield ""
    if said.example:
        yield from ("```pycon", said.example, "```", "")


def _parameters(function: Callable[..., Any]) -> str:
    shown: list[str] = []
    for name, each in inspect.signature(function).parameters.items():
        if each.kind is each.KEYWORD_ONLY and not any(part.startswith("*") for part in shown):
            shown.append("*")
        star = "*" if each.kind is each.VAR_POSITIONAL else ""
        shown.append(f"{star}{name}{'' if each.default is each.empty else '=…'}")
    return ", ".join(shown)


def _class(class_: Any) -> Iterator[str]:
    yield from (f"### `{class_.__name__}`", "")
    if issubclass(class_, Exception) or is_dataclass(class_) or hasattr(class_, "_fields"):
        names = (
            [field.name for field in fields(class_)]
            if is_dataclass(class_)
            else getattr(class_, "_fields", ())
        )
        said = explained(class_)
        yield from (said.sentence + (f" {said.formula}" if said.formula else ""), "")
        if names:
            yield from ("Parts: " + ", ".join(f"`{name}`" for name in names) + ".", "")


def _constants() -> Iterator[str]:
    yield from ("| Constant | Value | Unit | Range | Source |", "|---|---|---|---|---|")
    for name, each in vars(constants).items():
        if isinstance(each, Constant):
            yield f"| `{name}` | {each.value} | {each.unit} | {each.low} to {each.high} | {each.source} |"
    yield ""


def main() -> None:
    folder = Path(sys.argv[1] if sys.argv[1:] else "docs/science")
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in manual().items():
        (folder / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
