"""Registers are the tables that pages read. Each chapter makes its rows from the standing entries of one stream.

So a live post, a strike and a rebuild are the same act: the rows of a stream become what its entries say.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from contextvars import ContextVar
from functools import cache
from importlib import import_module
from typing import Any, TypeVar

from django.apps import apps
from django.conf import settings
from django.db import connection, models, transaction
from django.db.models.base import ModelState

from buffycoat.journal.book import all_standing, lock_head, standing
from buffycoat.journal.facts import Lines
from buffycoat.journal.rows import Model, as_read, defaults, insert, there, update
from buffycoat.journal.still import standing_still

Post = Callable[[str, Lines], None]
Rows = dict[str, list[tuple[Any, ...]]]
ModelT = TypeVar("ModelT", bound=models.Model)
AT_ONCE = 2_000


@cache
def posts() -> tuple[Post, ...]:
    """The `post` of each chapter, in the order of the blood."""
    return tuple(import_module(f"buffycoat.{chapter}.models").post for chapter in settings.CHAPTERS)


def post(stream: str) -> None:
    """Makes the rows of one stream what its standing entries say."""
    _post(stream, standing(stream))


def _post(stream: str, lines: Lines) -> None:
    for chapter_post in posts():
        chapter_post(stream, lines)


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


def keep(model: type[ModelT], wanted: Sequence[ModelT], **of: str) -> None:
    """Makes the rows of `model` that match `of` exactly the wanted ones; only what differs is written."""
    if (filling := _filling.get()) is not None:
        filling.add(model, wanted)
        return
    before = there(model, **of)
    for each in wanted:
        stands = before.pop(each.pk, None)
        if stands is None:
            insert([each])
        elif stands != as_read(each):
            update(each)
    if before:
        model._default_manager.filter(pk__in=before).delete()


def tables() -> list[type[models.Model]]:
    return [model for chapter in settings.CHAPTERS for model in apps.get_app_config(chapter).get_models()]


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
    """Posts every stream into empty tables."""
    filling, streams = Filling(), 0
    token = _filling.set(filling)
    try:
        for stream, lines in all_standing():
            _post(stream, lines)
            streams += 1
        filling.flush()
    finally:
        _filling.reset(token)
    return streams


class Filling:
    """Rows on their way into empty tables, many at a time."""

    def __init__(self) -> None:
        self._waiting: dict[Model, list[models.Model]] = defaultdict(list)

    def add(self, model: Model, rows: Iterable[models.Model]) -> None:
        waiting = self._waiting[model]
        waiting.extend(rows)
        if len(waiting) >= AT_ONCE:
            self.flush(model)

    def flush(self, *only: Model) -> None:
        for model in only or list(self._waiting):
            insert(self._waiting.pop(model))


_filling: ContextVar[Filling | None] = ContextVar("filling", default=None)


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
