"""Setting up goes wrong in one clear sentence that says what to do next."""

import ast
import importlib.util
import os
import shutil
import socket
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
START = ROOT / "start.py"


def loaded(path):
    described = importlib.util.spec_from_file_location("start", path)
    module = importlib.util.module_from_spec(described)
    described.loader.exec_module(module)
    return module


@pytest.fixture
def start():
    return loaded(START)


@pytest.fixture
def checkout(tmp_path):
    """A fresh checkout, nothing set up in it."""
    for name in ("start.py", "requirements.lock", "pyproject.toml"):
        shutil.copy(ROOT / name, tmp_path / name)
    return tmp_path


def started(checkout, *arguments, first="", **environment):
    """Runs start.py as a person does, after doing something to the interpreter first."""
    go = f"sys.argv = ['start.py', *{arguments!r}]; runpy.run_path('start.py', run_name='__main__')"
    program = f"import sys, runpy\n{first}\n{go}"
    return subprocess.run(
        [sys.executable, "-c", program],
        cwd=checkout,
        env={**os.environ, "BUFFYCOAT_DATA": str(checkout / "data"), **environment},
        capture_output=True,
        text=True,
    )


def assert_one_sentence(done, *words):
    assert 1 == done.returncode
    assert 1 == len(done.stderr.splitlines()), done.stderr
    assert [] == [word for word in words if word not in done.stderr]


def test_an_old_python_is_told_which_one_is_needed(checkout):
    done = started(checkout, first="sys.version_info = (3, 8, 18, 'final', 0)")
    assert_one_sentence(done, "needs Python 3.11 or newer", "this is Python 3.8", "python3.12 start.py")


def test_an_old_python_can_read_the_file_to_its_end():
    assert ast.parse(START.read_text(), feature_version=(3, 6)).body


def test_a_python_that_cannot_make_environments_is_told_what_to_install(checkout):
    done = started(checkout, first="sys.modules['ensurepip'] = None")
    assert_one_sentence(done, "lacks the module ensurepip", "sudo apt install python3-venv")


def test_a_taken_port_is_named_with_the_next_one_to_try(checkout):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = started(checkout, "--port", str(port))
    assert_one_sentence(done, f"Port {port} is taken", f"--port {port + 1}")


@pytest.mark.parametrize("port", ["0", "80", "65536"])
def test_a_port_that_cannot_be_is_refused(checkout, port):
    assert_one_sentence(started(checkout, "--port", port), "choose one from 1024 to 65535")


def test_a_data_folder_that_cannot_be_written_is_named(checkout):
    (checkout / "a-file").write_text("not a folder")
    wanted = checkout / "a-file" / "data"
    done = started(checkout, BUFFYCOAT_DATA=str(wanted))
    assert_one_sentence(done, f"Nothing can be written in {wanted}", "Not a directory", "BUFFYCOAT_DATA=")


def test_a_full_disk_is_said_before_anything_is_fetched(start):
    with pytest.raises(start.Trouble, match=r"needs 1000 MB .* and 12 MB are free"):
        start.check_disk(12_345_678)


def test_a_computer_without_network_is_told_so(start, tmp_path):
    start.VENV, start.LOG = tmp_path, tmp_path / "log"
    nowhere = "http://127.0.0.1:9/"
    with pytest.raises(start.Trouble, match="Check that this computer reaches the internet"):
        start.attempt(
            [
                sys.executable,
                "-m",
                "pip",
                "--isolated",
                "download",
                "--retries",
                "0",
                "-i",
                nowhere,
                "waitress",
            ]
        )
    assert "waitress" in start.LOG.read_text()


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ("OSError: [Errno 28] No space left on device", "The disk became full"),
        (
            "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE",
            "is not the one that requirements.lock",
        ),
        ("error: command gcc failed", r"Setting up failed \(error: command gcc failed\)\. Delete the folder"),
    ],
)
def test_what_the_installer_says_becomes_a_sentence(start, said, sentence):
    with pytest.raises(start.Trouble, match=sentence):
        raise start.Trouble(start.why(said))


def test_nothing_is_set_up_twice_for_the_same_lock(start, tmp_path, monkeypatch):
    start.STAMP, start.PYTHON = tmp_path / "stamp", Path(sys.executable)
    start.STAMP.write_text(start.fingerprint())
    monkeypatch.setattr(start, "attempt", lambda command: pytest.fail(f"ran {command}"))
    start.set_up()
    start.STAMP.write_text("another lock")
    with pytest.raises(pytest.fail.Exception):
        start.set_up()


def test_an_environment_that_was_moved_is_made_anew(start, checkout):
    here, moved = start.fingerprint().split(), loaded(checkout / "start.py").fingerprint().split()
    assert here[0] == moved[0]
    assert here[1] != moved[1]
