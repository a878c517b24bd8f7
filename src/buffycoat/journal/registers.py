"""Registers are the tables that pages read. Each chapter makes its rows from the standing entries of one stream.

So a live post, a strike and a rebuild are the same act: the rows of a stream become what its entries say.
"""

from collections.abc import Callable, Iterable
from functools import cache
from importlib import import_module
from typing import Any, TypeVar

from django.apps import apps
from django.conf import settings
from django.db import models, transaction

from buffycoat.journal.book import lock_head, standing
from buffycoat.journal.facts import Line
from buffycoat.journal.models import Entry

Post = Callable[[str, list[Line]], None]
Rows = dict[str, list[tuple[Any, ...]]]
ModelT = TypeVar("ModelT", bound=models.Model)


@cache
def posts() -> tuple[Post, ...]:
    """The `post` of each chapter, in the order of the blood."""
    return tuple(import_module(f"buffycoat.{chapter}.models").post for chapter in settings.CHAPTERS)


def post(stream: str) -> None:
    lines = standing(stream)
    for chapter_post in posts():
        chapter_post(stream, lines)


def row(model: type[ModelT], *sources: object, **values: Any) -> ModelT:
    """A row of `model` with each column taken from `values`, else from the first source that has it by that name."""
    for column in (field.attname for field in model._meta.concrete_fields):
        source = next((each for each in sources if hasattr(each, column)), None)
        if column not in values and source is not None:
            values[column] = getattr(source, column)
    return model(**values)


def keep(model: type[ModelT], wanted: Iterable[ModelT], **of: Any) -> None:
    """Makes the rows of `model` that match `of` exactly the wanted ones; only what differs is written."""
    there = {each.pk: each for each in model._default_manager.filter(**of)}
    for each in wanted:
        before = there.pop(each.pk, None)
        if before is None:
            each.save(force_insert=True)
        elif _values(before) != _values(each):
            each.save(force_update=True)
    for gone in there.values():
        gone.delete()


def _values(each: models.Model) -> list[Any]:
    return [getattr(each, field.attname) for field in each._meta.concrete_fields]


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
    """Empties all registers and posts every stream again; with `check`, raises `Differs` if any row changed."""
    with transaction.atomic():
        lock_head()
        before = snapshot()
        for model in reversed(tables()):
            model._default_manager.all().delete()
        streams = list(dict.fromkeys(Entry.objects.order_by("number").values_list("stream", flat=True)))
        for stream in streams:
            post(stream)
        if check:
            _compare(before, snapshot())
    return len(streams)


def _compare(before: Rows, after: Rows) -> None:
    wrong = [label for label in after if before[label] != after[label]]
    if wrong:
        raise Differs(f"These registers differ from the journal: {', '.join(wrong)}. Nothing was changed.")
