"""A short run of the races, and of the two that must go wrong: `races.py` says what they do."""

import pytest

from tests.harness.server import Bank
from tests.simulation.running import ran

SEED = 7


def raced(bank: Bank, *arguments: object) -> tuple[int, dict, str]:
    return ran("races", bank, "--seed", SEED, *arguments)


def test_of_several_benches_one_is_first_and_the_others_are_told_who_and_when(quiet_bank, db):
    code, figures, said = raced(quiet_bank, "--rounds", 60)
    assert (0, 60, 0) == (code, figures["rounds"], figures["wrong"]), said


@pytest.mark.parametrize(
    ("without", "words"),
    [("lock", "a loser not told who and when"), ("seen", "winners")],
)
def test_without_the_lock_or_the_look_at_the_page_it_is_noticed(quiet_bank, db, without, words):
    code, figures, said = raced(quiet_bank, "--rounds", 25, "--without", without)
    assert (1, True, True) == (code, figures["wrong"] > 0, words in said), said
