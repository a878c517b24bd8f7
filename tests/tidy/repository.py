"""The files that belong to the repository, and what of ours each module imports."""

import ast
import re
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "buffycoat"
MADE = re.compile(r"\.(?!ci$|gitignore$).+|__pycache__|dist")


@cache
def files() -> tuple[Path, ...]:
    """Everything that is, or is about to be, in the repository; without git, everything that is not made."""
    listed = ["git", "ls-files", "--cached", "--others", "--exclude-standard"]
    try:
        names = subprocess.run(
            listed, cwd=ROOT, check=True, capture_output=True, text=True
        ).stdout.splitlines()
        found = [ROOT / name for name in names]
    except (OSError, subprocess.CalledProcessError):
        found = [
            path for path in ROOT.rglob("*") if not any(map(MADE.fullmatch, path.relative_to(ROOT).parts))
        ]
    return tuple(sorted(path for path in found if path.is_file()))


def texts() -> Iterator[tuple[str, str]]:
    """Name and content of every file of text."""
    for path in files():
        try:
            yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imports(path: Path) -> Iterator[str]:
    """Dotted names: `from buffycoat.site import limits` gives both buffycoat.site and buffycoat.site.limits."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def module(name: str) -> Path | None:
    """The file of one of our modules."""
    stem = ROOT / "src" / Path(*name.split("."))
    return next((path for path in (stem.with_suffix(".py"), stem / "__init__.py") if path.is_file()), None)
