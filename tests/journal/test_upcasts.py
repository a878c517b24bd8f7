"""A line of an old schema is read as the newest one says it, through one pure step for each schema between."""

from dataclasses import dataclass

import pytest

from buffycoat.journal.book import line_from
from buffycoat.journal.chain import canonical
from buffycoat.journal.facts import KINDS, Fact, fact_from


def into_millilitres(old):
    """Schema 1 told the volume in centilitres."""
    return {"who": old["who"], "milk_ml": old["milk_cl"] * 10}


def with_a_cup(old):
    """Schema 2 did not tell the cup: there was only one."""
    return {**old, "cup": "the blue one"}


@pytest.fixture
def milk(monkeypatch):
    """A fact invented for this test, in its third schema; forgotten again afterwards."""
    monkeypatch.setattr("buffycoat.journal.facts.KINDS", dict(KINDS))

    @dataclass(frozen=True, kw_only=True)
    class MilkPoured(Fact, kind="milk-poured", schema=3, upcasts={1: into_millilitres, 2: with_a_cup}):
        who: str
        milk_ml: int
        cup: str

    return MilkPoured


def golden(schema, **fields):
    """A line as a release of that schema sealed it."""
    stream = {"number": 7, "stream": "milk/1", "version": 1, "kind": "milk-poured", "schema": schema}
    written = {"by": "robin", "command_id": "1" * 32, "command_digest": "0" * 16}
    at = dict.fromkeys(("happened_at", "recorded_at"), "2025-03-10T09:00:00+00:00")
    return canonical({**stream, **written, **at, "fields": fields})


@pytest.mark.parametrize(
    ("schema", "fields"),
    [
        (1, {"who": "Sorrel", "milk_cl": 5}),
        (2, {"who": "Sorrel", "milk_ml": 50}),
        (3, {"who": "Sorrel", "milk_ml": 50, "cup": "the blue one"}),
    ],
)
def test_a_line_of_every_schema_is_read_as_the_newest_says_it(milk, schema, fields):
    fact = line_from(golden(schema, **fields)).fact
    assert milk(who="Sorrel", milk_ml=50, cup="the blue one") == fact


@pytest.mark.parametrize("schema", [0, 4])
def test_a_schema_of_a_later_release_is_refused_in_words(milk, schema):
    why = f"this release cannot read milk-poured of schema {schema}: install the release that wrote it"
    with pytest.raises(ValueError, match=why):
        fact_from("milk-poured", schema, {"who": "Sorrel", "milk_ml": 50, "cup": "the blue one"})


@pytest.mark.parametrize(
    "upcasts", [None, {}, {1: into_millilitres}, {2: with_a_cup}, {0: dict, 1: dict, 2: dict}]
)
def test_a_schema_without_a_step_from_each_before_it_is_no_fact(upcasts):
    with pytest.raises(TypeError, match="tea-poured of schema 3 needs one upcast from each schema before it"):

        class TeaPoured(Fact, kind="tea-poured", schema=3, upcasts=upcasts):
            pass

    assert "tea-poured" not in KINDS


def test_an_upcast_leaves_the_line_as_it_was_written(milk):
    fields = {"who": "Sorrel", "milk_cl": 5}
    fact_from("milk-poured", 1, fields)
    assert {"who": "Sorrel", "milk_cl": 5} == fields
