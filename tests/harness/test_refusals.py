"""What the run itself refuses: skipping in CI, and emptying tables that hold the journal."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
HOOKS = "from tests.conftest import pytest_collection_modifyitems, pytest_sessionfinish\n"


def run(folder, test, ci=""):
    (folder / "conftest.py").write_text(HOOKS)
    (folder / "test_it.py").write_text(f"import pytest\n{test}\n")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:django", "-c", os.devnull, str(folder)]
    environment = {**os.environ, "CI": ci, "BUFFYCOAT_TEST_ONLY_DATABASE": ""}
    return subprocess.run(command, env=environment, cwd=ROOT, capture_output=True, text=True)


@pytest.mark.parametrize(("ci", "expected"), [("true", 1), ("", 0)])
def test_a_skipped_test_fails_the_run_in_ci_only(tmp_path, ci, expected):
    done = run(tmp_path, "def test_it():\n    pytest.skip('not today')", ci)
    assert expected == done.returncode, done.stdout


@pytest.mark.parametrize(
    "test",
    [
        "@pytest.fixture\ndef live_server(): ...\ndef test_it(live_server): ...",
        "@pytest.mark.django_db(transaction=True)\ndef test_it(): ...",
    ],
)
def test_a_test_that_would_empty_the_journal_is_refused(tmp_path, test):
    done = run(tmp_path, test)
    assert pytest.ExitCode.USAGE_ERROR == done.returncode
    assert "the journal cannot be emptied; ask for db or bank instead" in done.stderr + done.stdout
