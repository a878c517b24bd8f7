"""Every line that a release ever wrote is read by every later one: golden/facts.jsonl holds one of each kind.

A line in that file is never edited. A new kind, or a new schema of an old one, adds a line.
"""

import json
from pathlib import Path

import pytest

from buffycoat.journal.chain import canonical
from buffycoat.journal.facts import KINDS, fact_from, fields_of

LINES = (Path(__file__).parents[1] / "golden" / "facts.jsonl").read_text(encoding="utf-8").splitlines()
SHIPPED = {kind: fact for kind, fact in KINDS.items() if fact.__module__.startswith("buffycoat.")}


def kept(old, new):
    """Everything that the old value says is said by the new one; later releases may say more."""
    if isinstance(old, dict):
        return isinstance(new, dict) and all(name in new and kept(old[name], new[name]) for name in old)
    if isinstance(old, list):
        return isinstance(new, list) and len(old) == len(new) and all(map(kept, old, new))
    return (type(old), old) == (type(new), new)


@pytest.mark.parametrize("line", LINES, ids=lambda line: json.loads(line)["kind"])
def test_an_old_line_still_reads_to_the_same_fields(line):
    values = json.loads(line)
    fact = fact_from(values["kind"], values["schema"], values["fields"])
    assert KINDS[values["kind"]] is type(fact)
    assert kept(values["fields"], json.loads(canonical(fields_of(fact))))


@pytest.mark.parametrize("line", LINES, ids=lambda line: json.loads(line)["kind"])
def test_an_old_line_is_the_canonical_text_of_its_values(line):
    assert canonical(json.loads(line)) == line


def test_every_kind_of_fact_has_its_line():
    assert set() == set(SHIPPED) - {json.loads(line)["kind"] for line in LINES}


def test_no_kind_was_renamed_or_dropped():
    assert set() == {json.loads(line)["kind"] for line in LINES} - set(SHIPPED)


def test_a_value_that_changed_is_found():
    """The control of the first test."""
    assert not kept({"plasma_g": 231}, {"plasma_g": 232})
    assert not kept({"plasma_g": 231}, {"plasma_g": 231.0})
    assert not kept({"plasma_g": 231}, {})
    assert not kept({"bag_set": {"a": [1]}}, {"bag_set": {"a": [1, 2]}})
    assert kept({"plasma_g": 231}, {"plasma_g": 231, "planned_g": 238})
