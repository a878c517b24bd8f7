"""A problem is reported and settled from a terminal, as any other step."""

from buffycoat.cli.main import main
from buffycoat.problems.models import ProblemRow
from buffycoat.science.numbering import show_code

SETTLED = {"outcome": "put-right", "why": "Dry.", "settled-by": "kim", "by": "kim"}


def done(step, **options):
    typed = [part for name, value in options.items() for part in (f"--{name}", str(value))]
    return main(["do", step, *typed])


def test_a_problem_is_reported_and_settled_by_name(walk, capsys):
    unit = walk.units(walk.on_the_shelf())["plasma"]
    assert 0 == done("report-problem", about=show_code(unit), what="leak", by="robin")
    row = ProblemRow.objects.get()
    assert (unit, "robin", None) == (row.about, row.reported_by, row.settled_at)
    own = {**SETTLED, "settled-by": "robin", "by": "robin"}
    assert 1 == done("settle-problem", about=unit, problem=row.problem, **own)
    assert "robin reported it: somebody else must look and settle it." in capsys.readouterr().err
    assert 0 == done("settle-problem", about=unit, problem=row.problem, **SETTLED)
    assert "kim" == ProblemRow.objects.get().settled_by
