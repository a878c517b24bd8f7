"""Rules and science know no framework, clock, disk or chance: the same question always has the same answer."""

import ast
from collections.abc import Iterator
from pathlib import Path

from tests.tidy.repository import PACKAGE, imports, module, tree

OUTSIDE = set(
    "django asyncio glob io locale logging multiprocessing os pathlib random requests secrets serial shutil signal "
    "socket sqlite3 subprocess sys tempfile threading time typst urllib uuid zxingcpp".split()
)
CLOCKS = {"now", "today", "utcnow", "localtime", "monotonic"}
CALLS = {"open", "input", "print", "exec", "eval", "__import__"}


def pure_modules() -> Iterator[Path]:
    """Science, every rules.py, and all of ours that these import."""
    waiting = [
        *PACKAGE.glob("science/**/*.py"),
        *PACKAGE.glob("*/rules.py"),
        PACKAGE / "journal" / "facts.py",
    ]
    seen: set[Path] = set()
    while waiting:
        path = waiting.pop()
        if path not in seen:
            seen.add(path)
            yield path
            ours = (module(name) for name in imports(path) if name.startswith("buffycoat."))
            waiting += [found for found in ours if found]


def reaches_outside(path: Path) -> Iterator[str]:
    for name in imports(path):
        if name.split(".")[0] in OUTSIDE:
            yield f"imports {name}"
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Attribute) and node.attr in CLOCKS:
            yield f"reads a clock: {node.attr} in line {node.lineno}"
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CALLS:
            yield f"calls {node.func.id} in line {node.lineno}"


def test_rules_and_science_reach_for_nothing_outside():
    found = [f"{path}: {fault}" for path in pure_modules() for fault in reaches_outside(path)]
    assert [] == found


def test_every_chapter_with_rules_and_all_of_science_are_looked_at():
    looked_at = set(pure_modules())
    assert {*PACKAGE.glob("*/rules.py"), *PACKAGE.glob("science/*.py")} <= looked_at
    assert len(looked_at) > 10


def test_a_clock_a_disk_and_chance_are_each_found(tmp_path):
    rules = tmp_path / "rules.py"
    rules.write_text("import random\nfrom datetime import datetime\nat = datetime.now()\nopen('x')\n")
    found = sorted(reaches_outside(rules))
    assert ["calls open in line 4", "imports random", "reads a clock: now in line 3"] == found
