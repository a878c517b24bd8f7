"""The whole database as it stands at one moment, read while others go on writing."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def standing_still(*, only_reading: bool = True) -> Iterator[None]:
    """Reads one moment and makes nobody wait. Nothing may be written inside but temporary tables.

    SQLite: a deferred transaction on a WAL file. PostgreSQL: a repeatable read. Whoever is in a transaction already
    has a moment of their own.
    """
    if connection.in_atomic_block:
        with transaction.atomic():
            yield
        return
    connection.ensure_connection()  # connecting sets the mode
    on_sqlite = connection.vendor == "sqlite"
    mode = getattr(connection, "transaction_mode", None)
    if on_sqlite:
        setattr(connection, "transaction_mode", "DEFERRED")  # noqa: B010  only SQLite's connection has it
    try:
        with transaction.atomic():
            with connection.cursor() as cursor:
                if not on_sqlite:
                    only = ", READ ONLY" if only_reading else ""
                    cursor.execute(f"SET TRANSACTION ISOLATION LEVEL REPEATABLE READ{only}")
                cursor.execute("SELECT 1 FROM journal_head")  # the moment is that of the first read
                cursor.fetchall()
            yield
    finally:
        if on_sqlite:
            setattr(connection, "transaction_mode", mode)  # noqa: B010
