"""Every line that a release ever wrote is read by every later one: golden/facts.jsonl holds one of each schema.

A line in that file is never edited. A new kind, or a new schema of an old one, adds a line.
"""

import json
from dataclasses import dataclass
from pathlib import Path

import msgspec
import pytest

from buffycoat.journal.chain import canonical
from buffycoat.journal.facts import KINDS, Fact, fact_from, fact_of, fields_of

LINES = (Path(__file__).parents[1] / "golden" / "facts.jsonl").read_text(encoding="utf-8").splitlines()
SHIPPED = {kind: fact for kind, fact in KINDS.items() if fact.__module__.startswith("buffycoat.")}
WHAT_TO_DO = (
    "Its fields changed. Give a new field a default, and leave the old ones as they are; or raise the fact's schema, "
    "give it upcasts={{{schema}: function}} and add a line of the new schema to tests/golden/facts.jsonl."
)


def kept(old, new):
    """Everything that the old value says is said by the new one; later releases may say more."""
    if isinstance(old, dict):
        return isinstance(new, dict) and all(name in new and kept(old[name], new[name]) for name in old)
    if isinstance(old, list):
        return isinstance(new, list) and len(old) == len(new) and all(map(kept, old, new))
    return (type(old), old) == (type(new), new)


def why_not_as_it_was(kind, schema, fields):
    """Why a line does not read to the fields that it was written with; what an upcast changed is meant."""
    try:
        fact = fact_from(kind, schema, fields)
    except (msgspec.ValidationError, KeyError) as error:
        return f"{kind} of schema {schema} is not read any more: {error}. {WHAT_TO_DO.format(schema=schema)}"
    if schema == type(fact).schema and not kept(fields, json.loads(canonical(fields_of(fact)))):
        return f"{kind} of schema {schema} reads to other fields. {WHAT_TO_DO.format(schema=schema)}"
    return ""


@pytest.mark.parametrize("line", LINES, ids=lambda line: json.loads(line)["kind"])
def test_an_old_line_still_reads_to_the_same_fields(line):
    values = json.loads(line)
    assert "" == why_not_as_it_was(values["kind"], values["schema"], values["fields"])


@pytest.mark.parametrize("line", LINES, ids=lambda line: json.loads(line)["kind"])
def test_a_line_read_at_once_is_the_fact_that_its_fields_make(line):
    values = json.loads(line)
    kind, schema, fields = values["kind"], values["schema"], values["fields"]
    assert fact_from(kind, schema, fields) == fact_of(kind, schema, msgspec.Raw(canonical(fields).encode()))


@pytest.mark.parametrize("line", LINES, ids=lambda line: json.loads(line)["kind"])
def test_an_old_line_is_the_canonical_text_of_its_values(line):
    assert canonical(json.loads(line)) == line


def test_every_schema_of_every_kind_has_its_line_and_none_was_renamed_or_dropped():
    schemas = {(kind, schema) for kind, fact in SHIPPED.items() for schema in range(1, fact.schema + 1)}
    assert schemas == {(json.loads(line)["kind"], json.loads(line)["schema"]) for line in LINES}


def test_a_value_that_changed_is_found():
    assert not kept({"plasma_g": 231}, {"plasma_g": 232})
    assert not kept({"plasma_g": 231}, {"plasma_g": 231.0})
    assert not kept({"plasma_g": 231}, {})
    assert not kept({"bag_set": {"a": [1]}}, {"bag_set": {"a": [1, 2]}})
    assert kept({"plasma_g": 231}, {"plasma_g": 231, "planned_g": 238})


# Facts as a careless release would change them: the control of the first test.


@dataclass(frozen=True, kw_only=True)
class Inner:
    title: str = ""


@dataclass(frozen=True, kw_only=True)
class AsShipped(Fact, kind="golden-as-shipped"):
    plasma_g: int
    bag: Inner


@dataclass(frozen=True, kw_only=True)
class WithDefault(Fact, kind="golden-with-default"):
    plasma_g: int
    bag: Inner
    scale: str = ""


@dataclass(frozen=True, kw_only=True)
class Renamed(Fact, kind="golden-renamed"):
    plasma_mass_g: int
    bag: Inner


@dataclass(frozen=True, kw_only=True)
class Dropped(Fact, kind="golden-dropped"):
    bag: Inner


@dataclass(frozen=True, kw_only=True)
class OfOtherType(Fact, kind="golden-of-other-type"):
    plasma_g: float
    bag: Inner


@dataclass(frozen=True, kw_only=True)
class WithoutDefault(Fact, kind="golden-without-default"):
    plasma_g: int
    bag: Inner
    scale: str


@dataclass(frozen=True, kw_only=True)
class Other:
    name: str = ""


@dataclass(frozen=True, kw_only=True)
class ChangedInside(Fact, kind="golden-changed-inside"):
    plasma_g: int
    bag: Other


OLD = {"plasma_g": 231, "bag": {"title": "Set 450"}}


@pytest.mark.parametrize("fact", [AsShipped, WithDefault], ids=lambda fact: fact.kind)
def test_a_new_field_with_a_default_needs_no_new_schema(fact):
    assert "" == why_not_as_it_was(fact.kind, 1, OLD)


@pytest.mark.parametrize(
    "fact", [Renamed, Dropped, OfOtherType, WithoutDefault, ChangedInside], ids=lambda fact: fact.kind
)
def test_fields_changed_without_a_new_schema_are_found_and_what_to_do_is_said(fact):
    why = why_not_as_it_was(fact.kind, 1, OLD)
    assert fact.kind in why
    assert "raise the fact's schema, give it upcasts={1: function} and add a line" in why
