"""The run fails when either database fails, and when nothing ran at all."""

import pytest

from tests.harness.run import PARTS, verdict


@pytest.mark.parametrize(
    ("on_sqlite", "on_postgresql", "expected"),
    [(0, 0, 0), (1, 0, 1), (0, 1, 1), (0, 5, 0), (5, 0, 0), (5, 5, 5), (2, 5, 2)],
)
def test_the_verdict_over_both_databases(on_sqlite, on_postgresql, expected, capsys):
    assert expected == verdict({"SQLite": on_sqlite, "PostgreSQL": on_postgresql})
    assert 2 == len(capsys.readouterr().out.splitlines())


def test_the_parts_of_a_whole_run_are_all_of_it():
    assert [f"{number}/{len(PARTS)}" for number in range(1, len(PARTS) + 1)] == list(PARTS)
