"""A PostgreSQL that can be killed in the middle and started again on the same files."""

import os
import signal
import subprocess
from pathlib import Path

from tests.harness import postgres as harness

# The machine itself stays up, so what was handed to it is not lost; all else is as shipped.
DURABLE_ENOUGH = ["-c", "fsync=off"]


class HardPostgres:
    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir()
        harness._give_away(self.folder)
        self.binaries = harness._binaries(self.folder)
        self.data, self.log = self.folder / "data", self.folder / "log"
        make = [self.binaries / "initdb", "-D", self.data, *harness.NEW]
        subprocess.run(
            make, check=True, stdout=subprocess.DEVNULL, cwd=self.folder, **harness._unprivileged()
        )
        self.address, self.where = harness._at_socket(self.folder)
        self.start()

    def start(self) -> None:
        serve = [self.binaries / "postgres", "-D", self.data, *self.where, *DURABLE_ENOUGH]
        with self.log.open("ab") as out:
            self.server = subprocess.Popen(
                serve,
                stdout=out,
                stderr=out,
                cwd=self.folder,
                start_new_session=True,
                **harness._unprivileged(),
            )
        harness._wait_for(self.server, self.address, self.log)

    def kill(self) -> None:
        """All its processes at once, as they stand."""
        os.killpg(self.server.pid, signal.SIGKILL)
        self.server.wait()
