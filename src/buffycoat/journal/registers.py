"""Registers are the tables that pages read. Each chapter makes its rows from the standing entries of one stream.

So a live post, a strike and a rebuild are the same act: the rows of a stream are what its entries say.
"""

import gc
from collections import defaultdict
from collections.abc import Callable, Sequence
from contextvars import ContextVar
from functools import cache
from importlib import import_module
from typing import Any, TypeVar

from django.apps import apps
from django.conf import settings
from django.db import connection, models, transaction
from django.db.models.base import ModelState

from buffycoat.journal.book import all_standing, lock_head
from buffycoat.journal.facts import Lines
from buffycoat.journal.rows import Model, defaults, insert, put, remove, values_of
from buffycoat.journal.still import standing_still

Post = Callable[[str, Lines], None]
Rows = dict[str, list[tuple[Any, ...]]]
ModelT = TypeVar("ModelT", bound=models.Model)
AT_ONCE = 2_000


@cache
def posts() -> tuple[Post, ...]:
    """The `post` of each chapter, in the order of the blood."""
    return tuple(import_module(f"buffycoat.{chapter}.models").post for chapter in settings.CHAPTERS)


def post(stream: str, before: Lines, after: Lines) -> None:
    """Makes the rows of one stream what its lines say now; only those are written that said another thing before."""
    said = {(type(each), each.pk): each for each in _rows(stream, before)}
    for each in _rows(stream, after):
        stood = said.pop((type(each), each.pk), None)
        if stood is None or values_of(stood) != values_of(each):
            put(each)
    for gone in reversed(said.values()):
        remove(gone)


def _rows(stream: str, lines: Lines) -> list[models.Model]:
    """All that the chapters keep of one stream."""
    rows: list[models.Model] = []
    token = _kept.set(rows)
    try:
        for chapter_post in posts():
            chapter_post(stream, lines)
    finally:
        _kept.reset(token)
    return rows


def keep(model: type[ModelT], wanted: Sequence[ModelT], **of: str) -> None:
    """Said by a chapter's `post`: these are the rows of `model` that match `of`."""
    _kept.get().extend(wanted)


_kept: ContextVar[list[models.Model]] = ContextVar("kept")


def row(model: type[ModelT], *sources: object, **values: Any) -> ModelT:
    """A row of `model` with each column taken from `values`, else from the first source that has it by that name."""
    for place, column in _said_by(model, tuple(map(type, sources)), tuple(values)):
        values[column] = getattr(sources[place], column)
    made = model.__new__(model)  # what the model's own making does, at a fifth of its cost
    vars(made).update(defaults(model) | values, _state=ModelState())
    return made


@cache
def _said_by(model: Model, kinds: tuple[type, ...], given: tuple[str, ...]) -> list[tuple[int, str]]:
    """Which source says which column."""
    names = [{*dir(kind), *getattr(kind, "__dataclass_fields__", ())} for kind in kinds]
    places = {
        column: next((place for place, each in enumerate(names) if column in each), None)
        for column in defaults(model)
        if column not in given
    }
    return [(place, column) for column, place in places.items() if place is not None]


def tables() -> list[type[models.Model]]:
    """Of each chapter, but for rows that no entry tells of, such as readings of thermometers."""
    models_of = (apps.get_app_config(chapter).get_models() for chapter in settings.CHAPTERS)
    return [model for of_one in models_of for model in of_one if getattr(model, "is_register", True)]


def snapshot() -> Rows:
    """Every register row, for comparing what lives with what is rebuilt."""
    return {
        model._meta.label: list(model._default_manager.order_by("pk").values_list()) for model in tables()
    }


class Differs(Exception):
    """A register did not say what the journal says."""


def rebuild(*, check: bool = False) -> int:
    """Empties all registers and posts every stream again; gives how many streams there are.

    With `check` the rows are made beside the registers, while others go on working: nothing is changed, and `Differs`
    is raised if any row is another.
    """
    if check:
        with standing_still(only_reading=False):
            streams, wrong = _made_beside()
            transaction.set_rollback(True)
        if wrong:
            raise Differs(
                f"These registers differ from the journal: {', '.join(wrong)}. Nothing was changed."
            )
        return streams
    with transaction.atomic(), connection.cursor() as cursor:
        lock_head()
        for model in reversed(tables()):
            cursor.execute(f"DELETE FROM {_name(model)}")
        return _fill()


def _fill() -> int:
    """Posts every stream into empty tables. What is made on the way holds no cycles: none are looked for."""
    gc.disable()
    try:
        return _filled()
    finally:
        gc.enable()


def _filled() -> int:
    waiting, streams = defaultdict[Model, list[models.Model]](list), 0
    for stream, lines in all_standing():
        for each in _rows(stream, lines):
            rows = waiting[type(each)]
            rows.append(each)
            if len(rows) == AT_ONCE:
                insert(rows)
                rows.clear()
        streams += 1
    for rows in waiting.values():
        insert(rows)
    return streams


def _made_beside() -> tuple[int, list[str]]:
    """How many streams there are, and the registers that differ from what is made of them.

    A temporary table hides the register of the same name: what is posted goes there.
    """
    with connection.cursor() as cursor:
        live, made = "main", "temp"
        if connection.vendor == "postgresql":
            cursor.execute("SELECT current_schema()")
            live, made = cursor.fetchone()[0], "pg_temp"
        for model in tables():
            name = _name(model)
            cursor.execute(f"CREATE TEMPORARY TABLE {name} AS SELECT * FROM {live}.{name} WHERE 1 = 0")
        streams, wrong = _fill(), []
        for model in tables():
            stands, should = f"{live}.{_name(model)}", f"{made}.{_name(model)}"
            cursor.execute(
                f"SELECT (SELECT COUNT(*) FROM {stands}) <> (SELECT COUNT(*) FROM {should}) "
                f"OR EXISTS (SELECT * FROM {stands} EXCEPT SELECT * FROM {should})"
            )
            if cursor.fetchone()[0]:
                wrong.append(model._meta.label)
    return streams, wrong


def _name(model: Model) -> str:
    return connection.ops.quote_name(model._meta.db_table)
