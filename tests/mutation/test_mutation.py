"""The page of faults holds together, and the faults are those that it describes."""

import ast
from pathlib import Path

import pytest

from tests.mutation import page
from tests.mutation.changes import mutants

SCIENCE = Path(__file__).parents[2] / "src" / "buffycoat" / "science"
FEWEST_PERCENT = 90


def test_every_module_of_the_science_was_tried():
    modules = {path.stem for path in SCIENCE.glob("[!_]*.py")} - {"constants"}
    assert modules == set(page.MODULES) == set(page.found())


def test_every_fault_that_was_not_noticed_has_a_reason_and_no_reason_is_left_over():
    assert [] == page.unexplained()


def test_nine_of_ten_real_faults_are_noticed_in_each_module():
    assert set() == {name for name, each in page.scores().items() if each.of_real < FEWEST_PERCENT}


def test_the_page_says_what_was_found():
    assert page.text() == page.PAGE.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("source", "faults"),
    [
        ("def f(a: int) -> int:\n    '''Words.'''\n    return a + 1",
         ["return a + 1 -> return None", "Add -> Sub", "1 -> 2", "1 -> 0"]),
        ("LIMIT: float = 0.25", ["0.25 -> 0.275", "0.25 -> 0.225"]),
        ("x = a < b", ["Lt -> LtE", "Lt -> GtE"]),
        ("within('mass', m, low, high)\nx = within('mass', m, low, high)",
         ["within('mass', m, low, high) -> pass", "within('mass', m, low, high) -> m"]),
        ("if not ok: raise ValueError('no')", ["not ok -> ok", "raise ValueError('no') -> pass"]),
        ("x = min(a, b)\ny = f(a, b)",
         ["min(a, b) -> max(a, b)", "min(a, b) -> a", "f(a, b) -> a", "f(a, b) -> f(b, a)"]),
    ],
)  # fmt: skip
def test_the_faults_of_a_few_lines(source: str, faults: list[str]):
    assert faults == [each.name.partition(": ")[2] for each in mutants(ast.parse(source))]


def test_a_fault_is_in_the_tree_once_it_is_put_in():
    tree = ast.parse("x = 2 * y")
    next(each for each in mutants(tree) if each.after == "Div").put_in()
    assert "x = 2 / y" == ast.unparse(tree)
