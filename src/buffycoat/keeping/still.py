"""The whole database as it stands at one moment, read while others go on writing."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def standing_still() -> Iterator[None]:
    """Reads one moment and makes nobody wait. Nothing may be written inside.

    SQLite: a deferred transaction on a WAL file. PostgreSQL: a repeatable read.
    """
    connection.ensure_connection()  # connecting sets the mode
    on_sqlite = connection.vendor == "sqlite"
    mode = getattr(connection, "transaction_mode", None)
    if on_sqlite:
        setattr(connection, "transaction_mode", "DEFERRED")  # noqa: B010  only SQLite's connection has it
    try:
        with transaction.atomic():
            with connection.cursor() as cursor:
                if not on_sqlite:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
                cursor.execute("SELECT number FROM journal_head")  # the moment is that of the first read
                cursor.fetchall()
            yield
    finally:
        if on_sqlite:
            setattr(connection, "transaction_mode", mode)  # noqa: B010
