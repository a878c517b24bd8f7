"""Run rules: what they are called, what they remember, and points exactly on the centre."""

import pytest

from buffycoat.science.run_rules import RULES, WESTERN_ELECTRIC, Memory, alarms, step


@pytest.mark.parametrize("name", RULES)
def test_a_rule_says_in_its_sentence_what_its_name_says(name: str) -> None:
    said = set(RULES[name].replace(",", "").split())
    assert 2 <= len(said & set(name.split()))


def test_the_western_electric_rules_are_four_and_call_eight_a_run() -> None:
    assert 4 == len(WESTERN_ELECTRIC)
    assert ((8, ("eight on one side",)), (9, ("eight on one side",))) == alarms([0.1] * 9, 0, 1)


@pytest.mark.parametrize("points", [[-0.1] * 7 + [0], [0] + [-0.1] * 7, [0] * 20])
def test_a_point_on_the_centre_is_on_neither_side(points: list[float]) -> None:
    assert () == alarms(points, 0, 1)


@pytest.mark.parametrize("z", [0.5, -2.5, 0.0])
def test_a_rule_about_one_point_remembers_nothing(z: float) -> None:
    assert Memory() == step(Memory(), z, ["beyond three sigma"])[0]


@pytest.mark.parametrize("z", [0.5, -1.5])
def test_the_memory_is_full_after_some_points_and_holds_four_zones(z: float) -> None:
    memory = Memory()
    for _ in range(20):
        memory, _ = step(memory, z, RULES)
    assert memory == step(memory, z, RULES)[0]
    assert 4 == len(memory.zones)
