"""What no seal covers: the file that the book lies in, its tables, and the guards that refuse to change an entry."""

import re
from collections.abc import Iterator
from importlib import import_module

from django.apps import apps
from django.db import DatabaseError, connection

THE_BOOK = import_module("buffycoat.journal.migrations.0001_the_book")
REMEDY = (
    "it was changed, or is of another release. Run buffycoat migrate; "
    "if it is said again, restore the newest good copy."
)
DAMAGED = "The file of the database is damaged"


def troubles() -> Iterator[str]:
    """What is wrong beside the seals. In a damaged file nothing more is asked."""
    try:
        found = [file_trouble()]
        if found == [None]:
            found = [table_trouble(), guard_trouble()]
    except (DatabaseError, UnicodeDecodeError, TypeError) as trouble:  # a name may be no text any more
        if connection.vendor != "sqlite":
            raise  # its server went away, or knows more about its files than we do
        found = [f"{DAMAGED}: {trouble}."]
    yield from filter(None, found)


def file_trouble() -> str | None:
    """What SQLite finds wrong in its file: pages, indexes, references. PostgreSQL looks after its own files."""
    if connection.vendor != "sqlite":
        return None
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA integrity_check(1)")
        if (found := _words(cursor.fetchone()[0])) != "ok":
            return f"{DAMAGED}: {found}."
        cursor.execute("PRAGMA foreign_key_check")
        if row := cursor.fetchone():
            return f"{DAMAGED}: a row of {row[0]} points to one of {row[2]} that is gone."
    return None


def table_trouble() -> str | None:
    """The first table of this release that is missing, or lacks a column."""
    there = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            if model._meta.db_table not in there:
                return f"There is no table {model._meta.db_table}: {REMEDY}"
            cursor.execute(f'SELECT * FROM "{model._meta.db_table}" LIMIT 0')
            here = {column[0] for column in cursor.description}
            lacking = [field.column for field in model._meta.concrete_fields if field.column not in here]
            if lacking:
                return f"The table {model._meta.db_table} has no column {lacking[0]}: {REMEDY}"
    return None


def guard_trouble() -> str | None:
    """The first trigger on the book that is not as it was made."""
    on_sqlite = connection.vendor == "sqlite"
    wanted, here = (
        (_sqlite_wanted(), _sqlite_here()) if on_sqlite else (_postgresql_wanted(), _postgresql_here())
    )
    wrong = sorted(name for name in wanted | here if wanted.get(name) != here.get(name))
    if not wrong:
        return None
    return (
        f"The guard {wrong[0]} on the book is missing, or not as it was made: an entry could be changed past it. "
        "To have it again, restore a copy into an empty database."
    )


def _sqlite_wanted() -> dict[str, str]:
    made = (_words(each) for each in THE_BOOK.SQLITE.split("END;\n") if each.strip())
    return {each.split()[2]: f"{each} END" for each in made}


def _sqlite_here() -> dict[str, str]:
    return _rows("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'journal_entry'")


def _postgresql_wanted() -> dict[str, str]:
    bodies = dict(re.findall(r"CREATE FUNCTION (\w+)\(\).*?\$\$(.*?)\$\$", THE_BOOK.POSTGRESQL, re.DOTALL))
    made = re.findall(r"CREATE TRIGGER (\w+).*?EXECUTE FUNCTION (\w+)", THE_BOOK.POSTGRESQL, re.DOTALL)
    return {name: _words(f"O {bodies[function]}") for name, function in made}


def _postgresql_here() -> dict[str, str]:
    return _rows(
        "SELECT tgname, tgenabled::text || ' ' || prosrc FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid "
        "WHERE tgrelid = 'journal_entry'::regclass AND NOT tgisinternal"
    )


def _rows(statement: str) -> dict[str, str]:
    with connection.cursor() as cursor:
        cursor.execute(statement)
        # A flipped bit can turn a text into bytes.
        return {str(name): _words(str(words or "")) for name, words in cursor.fetchall()}


def _words(text: str) -> str:
    return " ".join(text.split())
