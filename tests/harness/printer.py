"""A real IPP printer on this machine alone: Debian's `ippeveprinter`, which keeps what it got as files.

It wants to announce itself and gives up without a message bus; it gets a bus of its own on which nobody listens.
"""

import os
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

SECONDS_TO_START = 60
BUS = """<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>session</type><listen>unix:path={socket}</listen><auth>EXTERNAL</auth>
<policy context="default"><allow send_destination="*" eavesdrop="true"/>
<allow eavesdrop="true"/><allow own="*"/></policy>
</busconfig>"""
NAME = "Invented label printer"


@dataclass(frozen=True, kw_only=True)
class Printer:
    address: str
    folder: Path

    def printed(self) -> list[Path]:
        """What it was sent, the first first. A file is whole before the printer answers."""
        return sorted(self.folder.glob("*.pdf"), key=lambda file: int(file.name.split("-")[0]))


@contextmanager
def printer(folder: Path, *, formats: str = "application/pdf", command: str = "true") -> Iterator[Printer]:
    """`command` is run with each document; until it ends, the printer is busy."""
    programs = {name: _program(name) for name in ("ippeveprinter", "dbus-daemon", command)}
    folder.mkdir(parents=True, exist_ok=True)
    own = Path(tempfile.mkdtemp(prefix="bc-ipp-"))  # short: a socket's path may have 107 characters
    bus, config, port = own / "bus", own / "bus.conf", _free_port()
    config.write_text(BUS.format(socket=bus))
    with (own / "log").open("wb") as log:
        started: list[subprocess.Popen[bytes]] = []
        try:
            serve_bus = [programs["dbus-daemon"], f"--config-file={config}", "--nofork"]
            started.append(subprocess.Popen(serve_bus, stdout=log, stderr=log))
            _wait_until(bus.exists, started, own / "log")
            serve = [programs["ippeveprinter"], "-r", "off", "-n", "localhost", "-p", str(port), "-k"]
            serve += ["-f", formats, "-d", str(folder), "-K", str(own), "-c", programs[command], NAME]
            environment = {**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": f"unix:path={bus}"}
            started.append(subprocess.Popen(serve, stdout=log, stderr=log, env=environment))
            _wait_until(lambda: _answers(port), started, own / "log")
            yield Printer(address=f"ipp://127.0.0.1:{port}/ipp/print", folder=folder)
        finally:
            for each in reversed(started):
                each.kill()
                each.wait(timeout=SECONDS_TO_START)
            shutil.rmtree(own, ignore_errors=True)


def _program(name: str) -> str:
    found = shutil.which(name, path=f"{os.environ.get('PATH', '')}:/usr/sbin:/usr/bin:/bin")
    assert found, f"{name} is missing: apt-get install cups-ipp-utils dbus-daemon"
    return found


def _wait_until(ready: Callable[[], bool], started: list[subprocess.Popen[bytes]], log: Path) -> None:
    end = time.monotonic() + SECONDS_TO_START
    while time.monotonic() < end and all(each.poll() is None for each in started):
        if ready():
            return
        time.sleep(0.02)
    raise AssertionError(f"the printer did not start\n{log.read_text()}")


def _answers(port: int) -> bool:
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def _free_port() -> int:

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
