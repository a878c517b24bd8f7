"""docs/mutation.md: what the last runs found, with a reason for every fault that no test noticed."""

import json
import tomllib
from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).parent
PAGE = HERE.parents[1] / "docs" / "mutation.md"
FOUND, REASONS = HERE / "found.json", HERE / "reasons.toml"
HEAD = """\
# Would the tests notice?

A test suite is only as good as the faults it notices. Here small faults are put into the science, one at a time, and \
the module's own tests are run: at least 90 % of the faults of each module must be noticed.

This page is written by `python -m tests.mutation`, which takes a while; name modules to try only those \
(`python -m tests.mutation numbering weighing`). Nothing on disk is changed: each fault lives in a forked process, so \
it runs on Linux and macOS. The reasons below are kept in `tests/mutation/reasons.toml`, the faults not noticed in \
`tests/mutation/found.json`; a test holds the two and this page together.

**The faults.** Arithmetic turned round (`+` and `-`, `*` and `/`, `**` to `*`); comparisons with the end included or \
left out, and negated; `and` and `or`; a `not` or a sign dropped; a condition turned; a whole number one more or one \
less, a fraction a tenth more or less, a tolerance a thousand times wider or nought; a text emptied; `True` and \
`False`; `return None`; a statement that calls or raises left out; a call replaced by its argument; two arguments \
swapped; `min` and `max`, `any` and `all`, `ceil` and `floor`; `break` and `continue`. Defaults, class bodies and \
module constants are included.

**Left alone.** Annotations, decorators, imports, docstrings, the words of a refusal, and the `strict` of `zip`. The \
table of constants is compared with [the page of sources](sources.md), figure by figure, by a test of its own.

**The tests that are asked.** Those of the module and its doctests, and the ends of the ranges; property tests with 25 \
examples, always the same. A run that takes more than twice as long as it should, and two seconds more, counts as \
noticed.

**No fault** is what changes nothing that a caller could see: the second figure leaves those out.

"""
MODULES = (
    "errors",
    "numbering",
    "weighing",
    "densities",
    "composition",
    "shelf_life",
    "changes_of_state",
    "centrifuge",
    "haemolysis",
    "dosing",
    "finding",
    "sampling",
    "warmth",
    "settling",
    "reconcile",
    "control_charts",
    "run_rules",
    "balance",
    "balance_groups",
    "balance_search",
    "balance_tables",
)


class Reason(NamedTuple):
    """Why no test notices some faults; `same` if nobody could: the faulty module does the same."""

    module: str
    why: str
    same: bool
    faults: tuple[str, ...]


class Score(NamedTuple):
    """Faults of a module: all, not noticed, and of these the ones that change nothing."""

    faults: int
    unnoticed: int
    same: int

    @property
    def of_all(self) -> float:
        return 100 * (1 - self.unnoticed / self.faults)

    @property
    def of_real(self) -> float:
        return 100 * (1 - (self.unnoticed - self.same) / (self.faults - self.same))


def reasons() -> list[Reason]:
    told = tomllib.loads(REASONS.read_text(encoding="utf-8"))["reason"]
    return [Reason(each["module"], each["why"], each["same"], tuple(each["faults"])) for each in told]


def found() -> dict[str, dict[str, object]]:
    return json.loads(FOUND.read_text(encoding="utf-8")) if FOUND.exists() else {}


def keep(module: str, faults: int, survivors: list[str]) -> None:
    kept = found() | {module: {"faults": faults, "unnoticed": survivors}}
    ordered = {name: kept[name] for name in MODULES if name in kept}
    FOUND.write_text(json.dumps(ordered, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def unexplained() -> list[str]:
    """Faults not noticed and without a reason, and reasons for faults that are noticed."""
    told = {(each.module, fault) for each in reasons() for fault in each.faults}
    left = {(module, fault) for module, each in found().items() for fault in each["unnoticed"]}  # type: ignore[attr-defined]
    return sorted(" ".join(each) for each in told ^ left)


def scores() -> dict[str, Score]:
    same = {(each.module, fault) for each in reasons() if each.same for fault in each.faults}
    by_module = {}
    for module, each in found().items():
        unnoticed: list[str] = each["unnoticed"]  # type: ignore[assignment]
        by_module[module] = Score(
            int(each["faults"]),  # type: ignore[call-overload]
            len(unnoticed),
            sum((module, fault) in same for fault in unnoticed),
        )
    return by_module


def total(rows: dict[str, Score]) -> Score:
    return Score(*(sum(column) for column in zip(*rows.values(), strict=True)))


def text() -> str:
    rows = scores()
    lines = [
        HEAD + "| Module | Faults | Not noticed | Of these no fault | Noticed of all | Noticed of real ones |"
    ]
    lines += ["| --- | --: | --: | --: | --: | --: |"]
    for name, row in [*((f"`{name}`", row) for name, row in rows.items()), ("**all**", total(rows))]:
        lines += [
            f"| {name} | {row.faults} | {row.unnoticed} | {row.same} | {row.of_all:.1f} % | {row.of_real:.1f} % |"
        ]
    for same, title in ((False, "Not noticed, and why"), (True, "No fault: the module does the same")):
        lines += ["", f"## {title}"]
        for module in rows:
            told = [each for each in reasons() if each.module == module and each.same == same]
            lines += ["", f"### `{module}`", ""] if told else []
            lines += [f"- {each.why} {'; '.join(f'`{fault}`' for fault in each.faults)}" for each in told]
    return "\n".join(lines) + "\n"


def write() -> None:
    PAGE.write_text(text(), encoding="utf-8")
