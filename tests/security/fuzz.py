"""Requests by chance against a bank with work in it: never an error, never a trace, never an unasked change.

    python -m tests.security.fuzz --forms 10000 --requests 100000 --seed 1

makes a demo bank in a temporary folder and takes each role in turn. It opens the pages of every address of the router,
and sends the real forms on them with values drawn by the kind of each field: right, nearly right and hostile ones.
Then it sends such requests with bytes, methods, addresses and headers changed. Exit code 1 and each finding when
something is found, or when a page that takes what is sent was never reached. Nothing leaves the process.
"""

import argparse
import sys
from collections import Counter
from functools import partial
from typing import Any


def table(sender: Any) -> list[str]:
    columns = ("sent", "reached", "asked", "refused", "recorded", "kept")
    rows = [f"{'view':24}" + "".join(f"{column:>10}" for column in columns)]
    for view, counted in sorted(sender.views.items()):
        rows.append(f"{view or '(no view)':24}" + "".join(f"{counted[column]:10}" for column in columns))
    total = Counter[str]()
    for counted in sender.views.values():
        total.update(counted)
    return [*rows, f"{'all':24}" + "".join(f"{total[column]:10}" for column in columns)]


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.security.fuzz", description=__doc__)
    asked.add_argument("--forms", type=int, default=10_000)
    asked.add_argument("--requests", type=int, default=100_000)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()

    import tests.settings  # noqa: F401 - a data folder that goes away
    from tests.security.bank import demo

    client = demo()
    from tests.security.fuzzing import never_reached, run

    sender = run(
        forms=given.forms,
        requests=given.requests,
        seed=given.seed,
        client=client,
        say=partial(print, flush=True),
        each=6,
        crawled=200,
    )
    print(*table(sender), sep="\n")
    print(", ".join(f"{what}: {count}" for what, count in sorted(sender.answers.items())))
    missed = [f"never reached: {name}" for name in never_reached(sender)]
    print(*(sender.found + missed or ["Nothing was found."]), sep="\n")
    return 1 if sender.found or missed else 0


if __name__ == "__main__":
    sys.exit(main())
