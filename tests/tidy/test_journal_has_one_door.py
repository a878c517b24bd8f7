"""Only `record`, `strike` and, into an empty book, `receive` add to the book; nobody writes its tables past them."""

import ast
from collections.abc import Iterator

from tests.tidy.repository import PACKAGE, imports, tree

JOURNAL = PACKAGE / "journal"
MAY_APPEND = {JOURNAL / "record.py", JOURNAL / "strike.py"}
MAY_WRITE = {JOURNAL / "receive.py"}
WRITES = {"create", "bulk_create", "update", "delete", "save", "get_or_create", "update_or_create"}


def python_files():
    return [path for path in PACKAGE.rglob("*.py") if "migrations" not in path.parts]


def writes_to_the_book(source: ast.Module) -> Iterator[int]:
    """Lines like `Entry.objects.….create(…)`."""
    for node in ast.walk(source):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in WRITES:
            names = {part.id for part in ast.walk(node.func) if isinstance(part, ast.Name)}
            if names & {"Entry", "Head"}:
                yield node.lineno


def test_only_record_and_strike_append_to_the_book():
    found = [
        str(path)
        for path in python_files()
        if "buffycoat.journal.book.append" in imports(path) and path not in MAY_APPEND
    ]
    assert [] == found


def test_nobody_writes_entries_past_the_book():
    watched = [path for path in python_files() if path not in MAY_WRITE]
    assert [] == [f"{path}:{line}" for path in watched for line in writes_to_the_book(tree(path))]


def test_a_write_past_the_book_is_found():
    source = ast.parse("Entry.objects.filter(number=1).update(kind='x')\nentries = Entry.objects.all()\n")
    assert [1] == list(writes_to_the_book(source))
