"""What each bench's scale shows now. Kept in the server's memory: a reading is not a fact until it is recorded.

The server is one process with several threads, so one table behind a lock serves all pages.
"""

import threading
import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

ANSWERS_WITHIN_S = 3.0  # the scale program is heard of every second
WEIGHING, WAITING, SILENT = "weighing", "waiting", "silent"


@dataclass(frozen=True, kw_only=True)
class Shown:
    """`state`: weighing; waiting, with `words` saying for what; silent, since `since`, for the reason in `words`."""

    change: int = 0
    state: str = WAITING
    g: int | None = None
    text: str = ""  # as the big number shows it, with the scale's own decimals
    still: bool = False
    net: bool = False
    raw: str = ""
    words: str = ""
    since: datetime | None = None
    heard_at_s: float = 0.0

    @property
    def takable(self) -> bool:
        return self.state == WEIGHING and self.still and self.g is not None


class Scales:
    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._shown: dict[int, Shown] = {}

    def put(self, bench: int, **said: Any) -> None:
        now = Shown(**said, since=datetime.now(UTC), heard_at_s=time.monotonic())
        with self._lock:
            before = self._shown.get(bench, Shown())
            if _same(before, now):
                self._shown[bench] = replace(before, heard_at_s=now.heard_at_s)
            else:
                # A state keeps the time it began at: "not answering since 10:42".
                since = before.since if before.state == now.state else now.since
                self._shown[bench] = replace(now, change=before.change + 1, since=since)

    def of(self, bench: int) -> Shown:
        """What is shown; after a while without word it is silent since it was heard last."""
        with self._lock:
            shown = self._shown.get(bench)
            if shown is None:
                return Shown(state=SILENT, words="The scale program of this bench has not been started.")
            quiet_s = time.monotonic() - shown.heard_at_s
            if quiet_s > ANSWERS_WITHIN_S and shown.state != SILENT:
                since = datetime.fromtimestamp(time.time() - quiet_s, UTC)
                shown = self._shown[bench] = Shown(
                    change=shown.change + 1,
                    state=SILENT,
                    words="The scale program is not answering",
                    since=since,
                    heard_at_s=shown.heard_at_s,
                )
            return shown

    def forget(self) -> None:
        with self._lock:
            self._shown.clear()


def _same(one: Shown, other: Shown) -> bool:
    return replace(one, change=0, since=None, heard_at_s=0.0) == replace(other, since=None, heard_at_s=0.0)


SCALES = Scales()
