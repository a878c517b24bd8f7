"""`python -m tests.mutation [module ...]`: how many small faults of the science its tests notice."""

import importlib
import sys

from tests.mutation import page
from tests.mutation.run import trial

SHARED = ("test_ranges.py", "test_mutants_ranges.py")
ALSO = {
    "weighing": ("test_composition.py",),
    "densities": ("test_composition.py", "test_mutants_composition.py"),
    "run_rules": ("test_control_charts.py",),
    "balance_groups": ("test_balance.py", "test_mutants_balance.py"),
    "balance_search": ("test_mutants_balance_tables.py", "test_balance.py", "test_mutants_balance.py"),
    "balance_tables": ("test_mutants_balance_search.py", "test_balance.py"),
}


def main(asked: list[str]) -> int:
    for name in asked or page.MODULES:
        tests = (f"test_{name}.py", f"test_mutants_{name}.py", *ALSO.get(name, ()), *SHARED)
        done = trial(importlib.import_module(f"buffycoat.science.{name}"), tests)
        if done.already_failing:
            print(f"{name} was not tried, for these fail already:", *done.already_failing, sep="\n  ")
            return 1
        page.keep(name, done.tried, [each.name for each in done.survivors])
        print(f"{name}: {done.tried} faults, {len(done.survivors)} not noticed", flush=True)
    page.write()
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
