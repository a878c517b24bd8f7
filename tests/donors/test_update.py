"""A bank from before this chapter grew: its registers get their new columns filled from the journal."""

import re
import subprocess
import sys

import pytest


@pytest.mark.one_database
def test_migrating_fills_new_columns_from_the_journal(quiet_bank):
    registered = quiet_bank.cli(
        *("do", "register-donor", "--by", "robin", "--name", "Bramble", "--species", "dog"),
        *("--sex", "female", "--born-on", "2021-05-01"),
    )
    donor = re.search(r"donor/(D\w+)", registered)[1]
    quiet_bank.cli("do", "read-chip", "--by", "robin", "--donor", donor, "--chip", "900000000000001")
    django = [sys.executable, "-m", "django", "migrate", "donors", "0001", "--settings=buffycoat.settings"]
    subprocess.run(django, env=quiet_bank.environment, check=True, capture_output=True)
    quiet_bank.cli("migrate")
    assert "the registers were equal, row for row" in quiet_bank.cli("rebuild", "--check")
