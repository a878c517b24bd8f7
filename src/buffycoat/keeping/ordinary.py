"""What a bank keeps beside the journal: people's accounts, owners' contacts, and whatever plain tables come to be.

Left out: the journal and its registers (the journal makes them again), who is signed in, and Django's own lists.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Any, Protocol, TextIO

from django.apps import apps
from django.core import serializers
from django.core.management.color import no_style
from django.core.serializers.base import DeserializationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db import connection, models

from buffycoat.journal.registers import tables
from buffycoat.keeping.sealed_text import Damaged
from buffycoat.people.roles import as_before

MADE_AGAIN = {"journal", "sessions", "contenttypes"}


class Writes(Protocol):
    def write(self, text: str, /) -> object: ...


class ToTheMicrosecond(DjangoJSONEncoder):
    """Django's own cuts a time to milliseconds; a copy must give back what was there."""

    def default(self, value: Any) -> Any:
        return value.isoformat() if isinstance(value, datetime) else super().default(value)


def ordinary_tables() -> list[type[models.Model]]:
    """Each after those that it points to."""
    registers = set(tables())
    ordered = serializers.sort_dependencies([(config, None) for config in apps.get_app_configs()])
    return [
        model
        for model in ordered
        if model not in registers
        and model._meta.app_label not in MADE_AGAIN
        and model._meta.label not in ("auth.Permission", "people.SignIn")
    ]


def write_ordinary(text: Writes) -> int:
    """One row a line of JSON; gives how many."""
    count = 0
    for model in ordinary_tables():
        rows = model._base_manager.order_by("pk")
        count += rows.count()
        serializers.serialize(
            "jsonl",
            rows.iterator(2_000),
            stream=text,
            use_natural_foreign_keys=True,
            cls=ToTheMicrosecond,
        )
    return count


def read_ordinary(text: TextIO) -> int:
    """Puts the rows into this bank, which has none."""
    try:
        count = sum(1 for _ in _saved(text))
    except DeserializationError as unreadable:
        raise Damaged(f"A row beside the journal cannot be read by this release: {unreadable}.") from None
    as_before()
    with connection.cursor() as cursor:
        # Rows came with their numbers; PostgreSQL must count on after them.
        for statement in connection.ops.sequence_reset_sql(no_style(), ordinary_tables()):
            cursor.execute(statement)
    return count


def _saved(text: TextIO) -> Iterator[None]:
    for row in serializers.deserialize("jsonl", text):
        row.save()
        yield


def how_many() -> dict[str, int]:
    """Rows by the plain name of their table, where there are any."""
    counted = {
        str(model._meta.verbose_name_plural): model._base_manager.count() for model in ordinary_tables()
    }
    return {name: count for name, count in counted.items() if count}
