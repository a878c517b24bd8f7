#!/usr/bin/env python3
"""Sets Buffycoat up in this folder and starts it. Needs Python 3.11 or newer and nothing else.

    python3 start.py                 the demo bank, on http://127.0.0.1:8000
    python3 start.py --empty         your own, empty bank
    python3 start.py --port 8001     on another port
    python3 start.py test            every test (what follows is handed to pytest)
    python3 start.py setup           only make the environment

The bank lives in the folder .buffycoat beside this file, or where BUFFYCOAT_DATA says.
"""

# Written so that Python 3.6 can read it to its end and say what is wrong.
import argparse
import hashlib
import importlib.util
import os
import re
import shutil
import socket
import subprocess
import sys
import tempfile
from pathlib import Path

OLDEST = (3, 11)
NEEDED_MB = 1000
HERE = Path(__file__).resolve().parent
VENV = HERE / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
EXE = ".exe" if os.name == "nt" else ""
PYTHON = BIN / f"python{EXE}"
LOCK = HERE / "requirements.lock"
STAMP = VENV / "set-up-for"
LOG = VENV / "set-up.log"


class Trouble(Exception):
    """What is wrong and what to do next, in words for the person at the keyboard."""


def main(arguments):
    try:
        check_python(sys.version_info)
        if arguments[:1] == ["test"]:
            set_up()
            return run([PYTHON, "-m", "tests.harness.run", *arguments[1:]])
        if arguments == ["setup"]:
            set_up()
            return 0
        return start(options(arguments))
    except Trouble as trouble:
        print(trouble, file=sys.stderr)
        return 1
    except OSError as error:
        print(why(str(error)), file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


def options(arguments):
    parser = argparse.ArgumentParser(
        prog="start.py", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--empty", action="store_true", help="an empty bank instead of the demo")
    parser.add_argument("--port", type=int, default=8000, help="the port to serve on (8000)")
    return parser.parse_args(arguments)


def start(wanted):
    default = HERE / (".buffycoat/own" if wanted.empty else ".buffycoat/demo")
    data = Path(os.environ.get("BUFFYCOAT_DATA") or default).absolute()
    check_writable(data)
    check_port(wanted.port)
    set_up()
    command = [BIN / f"buffycoat{EXE}", "start", "--data", data, "--port", wanted.port]
    return run(command + (["--empty"] if wanted.empty else []))


def run(command):
    command = [str(part) for part in command]
    sys.stdout.flush()
    os.chdir(str(HERE))
    if os.name == "nt":
        return subprocess.call(command)
    return os.execv(command[0], command)  # so that stopping this stops the server


def set_up():
    """Makes .venv hold exactly what requirements.lock names; does nothing when it does already."""
    wanted = fingerprint()
    if PYTHON.exists() and STAMP.exists() and STAMP.read_text() == wanted:
        return
    check_modules()
    check_writable(HERE)
    check_disk(shutil.disk_usage(str(HERE)).free)
    print(f"Setting up in {VENV} (once; about a minute) ...", flush=True)
    place = wanted.split()[-1]
    if not (PYTHON.exists() and STAMP.exists() and STAMP.read_text().endswith(place)):
        maker = getattr(sys, "_base_executable", sys.executable)  # this Python may be the one in .venv
        attempt([maker, "-m", "venv", "--clear", VENV])
    install()
    STAMP.write_text(wanted)


def install():
    """With uv, itself taken from the lock, in seconds; with pip, slower, where uv does not find the packages."""
    pip = [PYTHON, "-m", "pip", "install"]
    uv = [BIN / f"uv{EXE}", "pip"]
    only_uv = VENV / "uv.lock"
    only_uv.write_text(re.search(r"^uv==(?:.*\\\n)+.*\n", LOCK.read_text(), re.MULTILINE).group())
    ourselves = ["--no-deps", "--no-build-isolation", "-e", HERE]
    attempt([*pip, "--require-hashes", "-r", only_uv])
    try:
        attempt([*uv, "sync", "--python", PYTHON, "--require-hashes", LOCK])
        attempt([*uv, "install", "--python", PYTHON, *ourselves])
    except Trouble:
        attempt([*pip, "--require-hashes", "-r", LOCK])
        attempt(pip + ourselves)


def attempt(command):
    """Runs a step of setting up, keeps what it says in a log, and says in one sentence why it failed."""
    quiet = {"PIP_DISABLE_PIP_VERSION_CHECK": "1", "PIP_NO_INPUT": "1", "UV_PYTHON_DOWNLOADS": "never"}
    # The build backend looks for its own program on the path.
    reach = os.pathsep.join([str(BIN), os.environ.get("PATH", "")])
    command = [str(part) for part in command]
    done = subprocess.run(
        command,
        env=dict(os.environ, PATH=reach, **quiet),
        cwd=str(HERE),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )
    said = done.stdout.decode(errors="replace")
    if VENV.is_dir():
        with LOG.open("a") as log:
            log.write(f"$ {' '.join(command)}\n{said}\n")
    if done.returncode != 0:
        raise Trouble(why(said))


def why(said):
    if re.search(r"No space left|disk full|not enough space", said, re.IGNORECASE):
        return f"The disk became full while setting up. Free about {NEEDED_MB} MB and start again."
    if re.search(r"do not match the hashes|hash mismatch", said, re.IGNORECASE):
        return (
            "A package that was fetched is not the one that requirements.lock names, so it was not installed. "
            f"Start again; if it stays so, ask whoever runs your package mirror. Details: {LOG}"
        )
    if re.search(r"find a version|connection|resolution|resolve|timed out|network", said, re.IGNORECASE):
        return (
            "The packages could not be fetched. Check that this computer reaches the internet (or set your "
            f"mirror with pip config) and start again. Details: {LOG}"
        )
    lines = said.strip().splitlines() or ["it did not say why"]
    reason = next((line for line in lines if line.lower().startswith("error")), lines[-1])
    return f"Setting up failed ({reason}). Delete the folder {VENV} and start again. Details: {LOG}"


def fingerprint():
    digest = hashlib.sha256(LOCK.read_bytes() + (HERE / "pyproject.toml").read_bytes()).hexdigest()
    place = hashlib.sha256(str(HERE).encode()).hexdigest()[:16]  # an environment does not survive being moved
    return f"{digest} {place}"


def check_python(version):
    if tuple(version[:2]) < OLDEST:
        raise Trouble(
            f"Buffycoat needs Python 3.11 or newer, and this is Python {version[0]}.{version[1]}. "
            "Install a newer one, then start with it by name, for example: python3.12 start.py"
        )


def check_modules():
    missing = [name for name in ("venv", "ensurepip") if importlib.util.find_spec(name) is None]
    if missing:
        raise Trouble(
            f"This Python cannot make environments: it lacks the module {' and '.join(missing)}. "
            "On Debian or Ubuntu install it with: sudo apt install python3-venv "
            "(elsewhere take Python from its own site), then start again."
        )


def check_writable(folder):
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=str(folder)) as probe:
            probe.write(b"writable")
    except OSError as error:
        raise Trouble(
            f"Nothing can be written in {folder} ({error.strerror}). Make it writable for you, or name "
            "another folder, for example: BUFFYCOAT_DATA=/path/to/data python3 start.py"
        ) from error


def check_disk(free_bytes):
    free_mb = free_bytes // 10**6
    if free_mb < NEEDED_MB:
        raise Trouble(
            f"Setting up needs {NEEDED_MB} MB on the disk of {HERE}, and {free_mb} MB are free. "
            "Free some space and start again."
        )


def check_port(port):
    if not 1024 <= port <= 65535:
        raise Trouble(f"{port} cannot be the port: choose one from 1024 to 65535, for example --port 8001")
    with socket.socket() as probe:
        if os.name != "nt":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            another = port + 1 if port < 65535 else 8000
            raise Trouble(
                f"Port {port} is taken. Perhaps Buffycoat runs already: look at http://127.0.0.1:{port} . "
                f"Or take another port: python3 start.py --port {another}"
            ) from error


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
