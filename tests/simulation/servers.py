"""Real servers of one bank, to be killed: most forked from a process that is warm, some started as people do."""

import os
import signal
import subprocess
import sys
import threading
import time
from contextlib import suppress

from tests.harness.server import BUFFYCOAT, ROOT, Bank, _free_port

COLD_EVERY = 10


class Server:
    """One process, in a group of its own."""

    def __init__(self, process_id: int) -> None:
        self.process_id = process_id

    def poll(self) -> int | None:
        try:
            os.kill(self.process_id, 0)
        except ProcessLookupError:
            return 1
        return None

    def kill(self) -> None:
        with suppress(ProcessLookupError):
            os.killpg(self.process_id, signal.SIGKILL)
        while self.poll() is None:
            time.sleep(0.001)


class Servers:
    def __init__(self, bank: Bank, fault: str = "") -> None:
        self.bank, self.fault, self.started = bank, fault, 0
        self.log = bank.log.open("ab")
        planted = ["--fault", fault] if fault else []
        self.warm = subprocess.Popen(
            [sys.executable, "-m", "tests.simulation.warm_server", *planted],
            cwd=ROOT,
            env=bank.environment,
            text=True,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self.log,
        )
        assert "ready" == self._answer(), bank.log.read_text()

    def _answer(self) -> str:
        assert self.warm.stdout
        return self.warm.stdout.readline().strip()

    def start(self) -> Server:
        port, self.started = _free_port(), self.started + 1
        cold = self.started % COLD_EVERY == 0 and not self.fault
        server = self.last = Server(self._cold(port) if cold else self._forked(port))
        self.bank.base_url = f"http://127.0.0.1:{port}"
        self.bank._wait_for(server)  # type: ignore[arg-type]
        return server

    def _cold(self, port: int) -> int:
        command = [BUFFYCOAT, "serve", "--port", str(port)]
        server = subprocess.Popen(
            command, env=self.bank.environment, stdout=self.log, stderr=self.log, start_new_session=True
        )
        threading.Thread(
            target=server.wait, daemon=True
        ).start()  # else it would stay in the list as a zombie
        return server.pid

    def _forked(self, port: int) -> int:
        assert self.warm.stdin
        self.warm.stdin.write(f"{port}\n")
        self.warm.stdin.flush()
        return int(self._answer())

    def end(self) -> None:
        self.last.kill()
        assert self.warm.stdin and self.warm.stdout
        self.warm.stdin.close()
        self.warm.wait()
        self.warm.stdout.close()
        self.log.close()
