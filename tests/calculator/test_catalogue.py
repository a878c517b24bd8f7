"""The catalogue holds all of the science, each function once explained, and its examples can be typed."""

import re
from datetime import date
from zoneinfo import ZoneInfo

import pytest

from buffycoat.calculator.catalogue import CALCULATORS, GROUPS, LEFT_OUT, group_of
from buffycoat.calculator.docstrings import explained
from buffycoat.calculator.kinds import Asked
from buffycoat.calculator.manual import public
from tests.tidy.repository import PACKAGE, imports

ASKED = Asked(zone=ZoneInfo("UTC"), today=date(2026, 6, 1))
every_calculator = pytest.mark.parametrize("found", CALCULATORS.values(), ids=CALCULATORS)


def test_every_function_of_the_science_is_a_calculator_or_is_left_out_for_a_reason():
    offered = {each.function for each in CALCULATORS.values()}
    functions = {
        each for group in GROUPS for module in group.modules for each in public(module, classes=False)
    }
    assert set(LEFT_OUT) == {each.__name__ for each in functions - offered}
    assert offered <= functions
    assert all(LEFT_OUT.values())


def test_every_module_of_the_science_is_in_a_group_or_is_common_ground():
    grouped = {module.__name__.rpartition(".")[2] for group in GROUPS for module in group.modules}
    modules = {path.stem for path in (PACKAGE / "science").glob("[!_]*.py")}
    assert {"constants", "errors", "balance_groups", "balance_search", "balance_tables"} == modules - grouped


def test_a_calculator_stands_once_and_has_a_name_that_is_easily_typed():
    listed = [each.name for group in GROUPS for each in group.calculators]
    assert len(CALCULATORS) == len(listed) == len({each.title for each in CALCULATORS.values()})
    assert [] == [name for name in listed if not re.fullmatch(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", name)]


@every_calculator
def test_each_input_has_a_label_and_a_name_of_its_own(found):
    names = [each.name for each in found.inputs]
    assert len(names) == len(set(names))
    assert all(each.label[:1] == each.label[:1].upper() and "_" not in each.label for each in found.inputs)


@every_calculator
def test_each_has_an_example_that_can_be_typed_and_gives_results(found):
    values, faults = found.read(found.example, ASKED)
    assert {} == faults
    assert found.compute(values, ASKED).lines


@every_calculator
def test_each_tells_its_formula_or_range_and_its_source_unless_it_is_bare_arithmetic(found):
    said = explained(found.function)
    assert said.sentence.endswith(".")
    assert bool(said.source) == bool(said.range or said.formula)


@every_calculator
def test_what_is_missing_is_asked_for_by_its_label(found):
    values, faults = found.read({}, ASKED)
    assert {each.name for each in found.inputs if each.required} == set(faults)
    assert all(
        sentence.startswith(f"{found.input(name).label} is missing.") for name, sentence in faults.items()
    )
    assert {} == values


NASTY = [
    *("0", "-1", "2", "0.5", "9" * 20, "9" * 400, "0." + "0" * 17 + "1", "x", "1 2 3"),
    *("1 Jan 0001 00:00", "31 Dec 9999 23:59", "A 5", "A 5 2", "A 1 1 1"),
]


def sentences(found, typed, asked):
    """What refuses this, if anything does."""
    values, faults = found.read(typed, asked)
    if faults:
        return list(faults.values())
    try:
        assert all(line.label and line.text for line in found.compute(values, asked).lines)
    except ValueError as refusal:
        return [str(refusal)]
    return []


@every_calculator
@pytest.mark.parametrize("zone", ["UTC", "Pacific/Auckland"])
def test_whatever_is_typed_is_computed_or_refused_with_a_sentence(found, zone):
    asked = Asked(zone=ZoneInfo(zone), today=date(2026, 6, 1))
    tried = [{**found.example, each.name: text} for each in found.inputs for text in NASTY]
    said = [sentence for typed in tried for sentence in sentences(found, typed, asked)]
    assert [] == [sentence for sentence in said if not re.fullmatch(r"\S.* .*[.?]", sentence)]
    assert said


def test_what_could_hurt_someone_has_a_caution():
    for name in ("rcf", "load-rotor", "largest-draw", "blood-for-rise", "expiry-days", "mean-kinetic"):
        assert group_of(CALCULATORS[name]).caution, name


def test_a_part_that_is_called_like_another_input_says_whose_it_is():
    values, _ = CALCULATORS["additive"].read(
        {"red_cells_ml": "200", "plasma_ml": "30", "additive_ml": "100"}, ASKED
    )
    assert 330 == CALCULATORS["additive"].compute(values, ASKED).lines[0].value


def test_a_range_said_to_be_that_of_other_formulas_is_theirs():
    from buffycoat.science.centrifuge import angular_impulse, equivalent_hold_s

    assert explained(angular_impulse).range == explained(equivalent_hold_s).range != ""


def test_calculators_reach_neither_for_the_journal_nor_for_any_chapter():
    files = [*(PACKAGE / "calculator").rglob("*.py"), PACKAGE / "cli" / "calc.py"]
    allowed = ("buffycoat.calculator", "buffycoat.science", "buffycoat.shell")
    ours = {name for path in files for name in imports(path) if name.startswith("buffycoat.")}
    assert [] == sorted(name for name in ours if not name.startswith(allowed))
    assert "buffycoat.shell.recording" not in ours
