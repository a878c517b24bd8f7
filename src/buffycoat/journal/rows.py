"""Rows written by one statement a table, planned once: the ORM's planning costs more than the work itself."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import cache
from typing import Any

from django.db import connection, models

from buffycoat.journal.facts import Refused

Model = type[models.Model]


@contextmanager
def at_once() -> Iterator[None]:
    """PostgreSQL is sent these statements together, and not each after the answer to the one before."""
    if connection.vendor != "postgresql":
        yield
        return
    with connection.wrap_database_errors, connection.connection.pipeline():
        yield


def insert(rows: Sequence[models.Model]) -> None:
    """Adds rows of one model."""
    if not rows:
        return
    statement, values = _insert(type(rows[0])), list(_as_written(rows))
    with connection.cursor() as cursor:
        if len(values) > 1:
            cursor.executemany(statement, values)
        else:  # PostgreSQL's driver makes more of many than of one
            cursor.execute(statement, values[0])


def update(row: models.Model) -> None:
    with connection.cursor() as cursor:
        cursor.execute(_update(type(row)), [*next(_as_written([row])), row.pk])


def put(row: models.Model) -> None:
    """Adds a row, or makes the one of its key as it is."""
    with connection.cursor() as cursor:
        cursor.execute(_put(type(row)), next(_as_written([row])))


def remove(row: models.Model) -> None:
    with connection.cursor() as cursor:
        cursor.execute(_remove(type(row)), [row.pk])


def values_of(row: models.Model) -> list[Any]:
    return list(map(vars(row).__getitem__, defaults(type(row))))


def _as_written(rows: Sequence[models.Model]) -> Iterator[list[Any]]:
    """SQLite keeps days and times as text."""
    model = type(rows[0])
    days_and_times = _days_and_times(model) if connection.vendor == "sqlite" else []
    for row in rows:
        values = values_of(row)
        for place, most in _longest(model):
            if len(values[place]) > most:  # SQLite would take it, and no other database after it
                name = _fields(model)[place].verbose_name
                raise Refused(
                    f"The {name} is {len(values[place])} characters long; at most {most} fit. Shorten it."
                )
        for place in days_and_times:
            if (when := values[place]) is not None:
                values[place] = str(_without_zone(when) if isinstance(when, datetime) else when)
        yield values


def _without_zone(moment: datetime) -> datetime:
    return moment.astimezone(UTC).replace(tzinfo=None)


@cache
def _days_and_times(model: Model) -> list[int]:
    return [place for place, field in enumerate(_fields(model)) if isinstance(field, models.DateField)]


@cache
def _longest(model: Model) -> list[tuple[int, int]]:
    """Which columns take texts of how many characters."""
    return [
        (place, field.max_length)
        for place, field in enumerate(_fields(model))
        if isinstance(field, models.CharField) and field.max_length
    ]


@cache
def defaults(model: Model) -> dict[str, Any]:
    """The columns by their names in Python, with what stands in them if nobody says anything."""
    return {field.attname: field.get_default() for field in _fields(model)}


@cache
def _fields(model: Model) -> "tuple[models.Field[Any, Any], ...]":
    return tuple(model._meta.concrete_fields)


def _names(model: Model) -> tuple[str, list[str], str]:
    """The table, its columns and its key, as SQL writes them."""
    quote = connection.ops.quote_name
    columns = {field: quote(str(field.column)) for field in _fields(model)}
    return quote(model._meta.db_table), list(columns.values()), columns[model._meta.pk]


@cache
def _insert(model: Model) -> str:
    table, columns, _ = _names(model)
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join(['%s'] * len(columns))})"


@cache
def _update(model: Model) -> str:
    table, columns, key = _names(model)
    return f"UPDATE {table} SET {', '.join(f'{column} = %s' for column in columns)} WHERE {key} = %s"


@cache
def _put(model: Model) -> str:
    _, columns, key = _names(model)
    changed = ", ".join(f"{column} = excluded.{column}" for column in columns if column != key)
    return f"{_insert(model)} ON CONFLICT ({key}) DO {f'UPDATE SET {changed}' if changed else 'NOTHING'}"


@cache
def _remove(model: Model) -> str:
    table, _, key = _names(model)
    return f"DELETE FROM {table} WHERE {key} = %s"
