"""A short run of the edits, and of the checks that skip a part: `tampering.py` says what it does."""

from tests.harness.server import Bank
from tests.simulation.running import ran

SEED = 7


def tampered(bank: Bank, *arguments: object) -> tuple[int, dict, str]:
    return ran("tampering", bank, "--seed", SEED, *arguments)


def test_every_edit_is_found_and_the_first_bad_entry_named(quiet_bank, db):
    code, figures, said = tampered(quiet_bank, "--edits", 300)
    assert (0, 0) == (code, figures["missed"]), said
    apart = figures["harmless"] + figures["beside the book"]
    assert 300 == figures["found"] + apart
    assert apart < 150  # bits alone can be harmless: whatever was done to a row is found


def test_a_check_that_skips_a_part_misses_edits(quiet_bank, db):
    code, figures, said = tampered(quiet_bank, "--edits", 60, "--controls")
    assert 0 == code, said
    parts = {"columns", "seals", "head", "kept heads", "guards", "registers"}
    assert parts | (set() if quiet_bank.database else {"file"}) == set(figures["missed"])
    assert all(count > 0 for count in figures["missed"].values())
