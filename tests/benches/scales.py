"""Scales for tests: a real pseudo-terminal that a thread writes to, and the scale program run against it."""

import os
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tests.harness.server import BUFFYCOAT, Bank

LONG_S = 60


def wait_for(there: Callable[[], object], what: str = "") -> object:
    """Waits for an event; how long it takes is no part of any test."""
    end = time.monotonic() + LONG_S
    while time.monotonic() < end:
        if found := there():
            return found
        time.sleep(0.02)
    raise AssertionError(f"never came: {what or there}")


class Terminal:
    """A scale at the end of a cable: writes `line` ten times a second until it is unplugged.

    A name in a folder points to it, as /dev/serial/by-id does, so that it is found again when it is plugged in anew.
    """

    def __init__(self, path: Path, line: str = "ST,GS,+    0.0 g") -> None:
        self.path, self.line = path, line
        self.plug_in()

    def plug_in(self) -> None:
        self._ours, self._theirs = os.openpty()
        self.path.unlink(missing_ok=True)
        self.path.symlink_to(os.ttyname(self._theirs))
        self._in = threading.Event()
        self._in.set()
        self._writer = threading.Thread(target=self._write, args=(self._ours,), daemon=True)
        self._writer.start()

    def _write(self, ours: int) -> None:
        os.set_blocking(ours, False)
        while self._in.is_set():
            with suppress(BlockingIOError):  # nobody reads, and its cable is full
                os.write(ours, f"{self.line}\r\n".encode())
            time.sleep(0.1)

    def send(self, noise: bytes) -> None:
        os.write(self._ours, noise)

    def unplug(self) -> None:
        self._in.clear()
        self._writer.join()
        self.path.unlink()
        os.close(self._ours)
        os.close(self._theirs)

    def gone(self) -> None:
        if self._in.is_set():
            self.unplug()


@contextmanager
def terminal(folder: Path, line: str = "ST,GS,+    0.0 g") -> Iterator[Terminal]:
    made = Terminal(folder / "scale", line)
    try:
        yield made
    finally:
        made.gone()


@contextmanager
def scale_program(bank: Bank, key: str, port: str, *more: str) -> Iterator["subprocess.Popen[str]"]:
    """`buffycoat bench` as its own process."""
    key_file = bank.data / "key"
    key_file.write_text(key + "\n")
    command = [str(BUFFYCOAT), "bench", "--server", bank.base_url, "--key-file", str(key_file)]
    with (bank.data / "bench.log").open("a") as log:
        running = subprocess.Popen(
            [*command, "--scale", port, *more], env=bank.environment, stdout=log, stderr=log, text=True
        )
    try:
        yield running
    finally:
        running.terminate()
        running.wait(timeout=LONG_S)
