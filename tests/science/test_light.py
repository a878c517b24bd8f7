"""What the bench needs at every start imports no heavy library."""

import subprocess
import sys

import pytest

LIGHT = [
    "numbering",
    "composition",
    "densities",
    "shelf_life",
    "changes_of_state",
    "centrifuge",
    "balance",
    "dosing",
    "warmth",
    "haemolysis",
    "run_rules",
]


@pytest.mark.parametrize("name", LIGHT)
def test_the_modules_of_the_bench_import_neither_numpy_nor_scipy(name: str) -> None:
    asked = f"import sys, buffycoat.science.{name}; print(sorted({{'numpy', 'scipy'}} & set(sys.modules)))"
    told = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert "[]" == told.stdout.strip()
