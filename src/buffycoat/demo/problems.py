"""Two problems of the demo's last hours: one that somebody else has settled, and one that still holds its unit."""

from datetime import datetime, timedelta

from buffycoat.demo.bench import PEOPLE, Bench
from buffycoat.problems.rules import NOTHING_WRONG, ProblemReported, ReportProblem, SettleProblem


def finds_problems(bench: Bench, until: datetime) -> None:
    first, second = sorted(bench.shelf, key=lambda unit: (unit.expires_at, unit.number))[-2:]
    bench.by, bench.at = PEOPLE[0], until - timedelta(hours=3)
    cloudy = ReportProblem(about=first.number, what="colour", words="Cloudy in one corner (invented)")
    reported = bench.does(cloudy).the(ProblemReported)
    bench.by = PEOPLE[1]
    settled = SettleProblem(
        about=first.number,
        problem=reported.problem,
        outcome=NOTHING_WRONG,
        why="Frost on the outside: wiped off, it is clear (invented).",
        settled_by=bench.by,
    )
    bench.does(settled, after_min=40)
    loose = ReportProblem(about=second.number, what="label", words="Comes off at a corner (invented)")
    bench.does(loose, after_min=70)
