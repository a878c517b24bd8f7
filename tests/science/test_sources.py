"""Every number has a source, and every source stands in docs/sources.md."""

import ast
import re
from pathlib import Path

from buffycoat.science import constants

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")
DEFAULTS = {name: each for name, each in vars(constants).items() if isinstance(each, constants.Constant)}


def docstrings() -> dict[str, str]:
    found = {}
    for path in sorted((ROOT / "src" / "buffycoat" / "science").glob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                found[f"{path.stem}.{node.name}"] = ast.get_docstring(node) or ""
    return found


def test_every_default_stands_in_the_table_with_value_unit_range_and_source() -> None:
    assert len(DEFAULTS) > 10
    for name, each in DEFAULTS.items():
        row = f"| `{name}` | {each.value:g} | {each.unit} | {each.low:g} to {each.high:g} | {each.source} |"
        assert row in PAGE


def test_every_source_named_in_a_docstring_stands_on_the_page() -> None:
    keys = [key.lower() for key in re.findall(r"\*\*(.+?)\*\*", PAGE)]
    unlisted = {}
    for name, text in docstrings().items():
        for source in re.findall(r"Source: (.*?)(?:\n\n|\Z)", text, re.DOTALL):
            said = " ".join(source.split()).lower()
            if not any(key in said for key in keys):
                unlisted[name] = said
    assert {} == unlisted


def test_every_key_on_the_page_is_used_by_a_docstring_or_a_default() -> None:
    used = " ".join(
        " ".join([*docstrings().values(), *(each.source for each in DEFAULTS.values())]).split()
    ).lower()
    assert [] == [key for key in re.findall(r"\*\*(.+?)\*\*", PAGE) if key.lower() not in used]


def test_every_function_with_a_formula_has_an_example_that_is_run() -> None:
    without = {name for name, text in docstrings().items() if "Source:" in text and ">>>" not in text}
    assert {} == dict.fromkeys(without)
