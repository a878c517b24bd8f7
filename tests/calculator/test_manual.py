"""docs/science is what the docstrings say."""

from buffycoat.calculator.catalogue import CALCULATORS
from buffycoat.calculator.manual import manual, public
from buffycoat.science import constants
from buffycoat.science.constants import Constant
from tests.tidy.repository import PACKAGE, ROOT

FOLDER = ROOT / "docs" / "science"


def test_making_it_again_gives_the_same_text():
    kept = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.iterdir()}
    made = manual()
    assert set(made) == set(kept)
    assert [] == [
        f"{name}: python -m buffycoat.calculator.manual" for name in made if made[name] != kept[name]
    ]


def test_every_public_function_of_the_science_is_in_it():
    from importlib import import_module

    text = "".join(manual().values())
    modules = [
        import_module(f"buffycoat.science.{path.stem}") for path in (PACKAGE / "science").glob("[!_]*.py")
    ]
    functions = [each for module in modules for each in public(module, classes=False)]
    assert [] == [each.__name__ for each in functions if f"science.{_place(each)}(" not in text]
    assert len(functions) > 80


def _place(function):
    return f"{function.__module__.rpartition('.')[2]}.{function.__name__}"


def test_every_constant_is_in_it_with_its_source():
    ground = manual()["ground.md"]
    found = {name: each for name, each in vars(constants).items() if isinstance(each, Constant)}
    assert [] == [
        name for name, each in found.items() if f"| `{name}` |" not in ground or each.source not in ground
    ]
    assert found


def test_every_calculator_is_named_beside_its_function():
    text = "".join(manual().values())
    assert [] == [name for name in CALCULATORS if f"`buffycoat calc {name}`" not in text]
