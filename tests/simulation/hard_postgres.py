"""A PostgreSQL that can be killed in the middle and started again on the same files."""

import os
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
        self.all_ended, held_by_all = os.pipe()
        with self.log.open("ab") as out:
            self.server = subprocess.Popen(
                serve,
                stdout=out,
                stderr=out,
                cwd=self.folder,
                start_new_session=True,
                pass_fds=[held_by_all],
                **harness._unprivileged(),
            )
        os.close(held_by_all)
        harness._wait_for(self.server, self.address, self.log)

    def kill(self) -> None:
        """Its first process as it stands. The others see that and end: until then the files cannot be opened anew."""
        if self.server.returncode is not None:
            return
        self.server.kill()
        self.server.wait()
        os.read(self.all_ended, 1)  # comes back when the last process that holds the other end is gone
        os.close(self.all_ended)
