"""A problem is reported and settled from a terminal, as any other step."""

import io
import sys

from buffycoat.cli.main import main
from buffycoat.people.roles import add
from buffycoat.problems.models import ProblemRow
from buffycoat.science.numbering import show_code
from tests.harness.people import PASSWORD

SETTLED = {"outcome": "put-right", "why": "Dry.", "settled-by": "kim", "by": "kim"}


def done(step, **options):
    typed = [part for name, value in options.items() for part in (f"--{name}", str(value))]
    return main(["do", step, *typed])


def test_a_problem_is_reported_and_settled_by_name(walk, capsys, monkeypatch):
    unit = walk.units(walk.on_the_shelf())["plasma"]
    assert 0 == done("report-problem", about=show_code(unit), what="leak", by="robin")
    row = ProblemRow.objects.get()
    assert (unit, "robin", None) == (row.about, row.reported_by, row.settled_at)
    add("robin", PASSWORD, ["bench"])
    add("kim", PASSWORD, ["bench"])
    own = {**SETTLED, "settled-by": "robin", "by": "robin"}
    monkeypatch.setattr(sys, "stdin", io.StringIO(f"{PASSWORD}\n" * 2))
    assert 1 == done("settle-problem", about=unit, problem=row.problem, **own)
    assert "robin reported it: somebody else must look and settle it." in capsys.readouterr().err
    assert 0 == done("settle-problem", about=unit, problem=row.problem, **SETTLED)
    assert "kim" == ProblemRow.objects.get().settled_by
