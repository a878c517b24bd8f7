"""A bank for one long run: this process works in it, and it goes away at the end."""

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, nullcontext
from pathlib import Path

from tests.harness.postgres import postgres

POSTGRESQL = "postgresql"


@contextmanager
def own_bank(database: str = "") -> Iterator[Path]:
    """The data folder. `database`: nothing for SQLite, `postgresql` for a server of its own, or an address."""
    served = postgres() if database == POSTGRESQL else nullcontext(database)
    with (
        served as address,
        tempfile.TemporaryDirectory(prefix="bc-bank-", ignore_cleanup_errors=True) as data,
    ):
        os.environ |= {
            "BUFFYCOAT_DATA": data,
            "BUFFYCOAT_DATABASE": address,
            "DJANGO_SETTINGS_MODULE": "buffycoat.settings",
        }
        import django
        from django.core.management import call_command
        from django.db import connection

        django.setup()
        call_command("migrate", verbosity=0)
        try:
            yield Path(data)
        finally:
            connection.close()


def one_file(data: Path) -> bytes:
    """The whole SQLite bank as the bytes of one file, its log written into it."""
    from django.db import connection

    connection.close()
    path = data / "buffycoat.sqlite3"
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path.read_bytes()
