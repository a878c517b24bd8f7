"""When the disk or the database fails: one plain sentence on the page and in the terminal, and no more writing
after a failure that may have lost what was thought to be on the disk.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

READS = {"GET", "HEAD", "OPTIONS"}
ONCE = "A page sent twice is recorded once."


@dataclass(frozen=True, kw_only=True)
class Trouble:
    """`unsure`: whether the step reached the disk cannot be known. `stops`: write no more until a restart."""

    cause: str
    then: str
    unsure: bool = False
    stops: bool = False

    @property
    def outcome(self) -> str:
        return "It is not certain that this was recorded" if self.unsure else "Nothing was recorded"

    def __str__(self) -> str:
        return f"{self.outcome}: {self.cause}. {self.then}"


FULL = Trouble(
    cause="the disk is full",
    then=f"Reading goes on. Ask whoever keeps the server to make room; then go back and send it again. {ONCE}",
)
FAILED = Trouble(
    cause="the disk failed while it was written",
    then="Reading goes on, and nothing more is written until the server is started again. Work on paper, tell whoever "
    "keeps the server, and look into the journal before you write this step again.",
    unsure=True,
    stops=True,
)
READ_ONLY = Trouble(
    cause="the disk can only be read, not written",
    then="Reading goes on. Work on paper and tell whoever keeps the server: a disk often turns so when it fails.",
)
BUSY = Trouble(
    cause="others held the book for too long",
    then=f"Go back and send it again. {ONCE}",
)
DAMAGED = Trouble(
    cause="the file of the database is damaged",
    then="Stop work here and tell whoever keeps the server: the newest good copy is restored, see the page Backups.",
    stops=True,
)
AWAY = Trouble(
    cause="the database does not answer",
    then=f"Work on paper and tell whoever keeps the server. When it is back, go back and send it again. {ONCE}",
    unsure=True,
)
OTHER = Trouble(
    cause="the program met something it does not know",
    then="What is recorded is whole: a step is written entirely or not at all. Look into the journal before you do it "
    "again, and tell whoever keeps the server, whose log has the details.",
    unsure=True,
)

# By the beginning of SQLite's error name, and of PostgreSQL's code; the first that fits.
SQLITE = {
    "SQLITE_FULL": FULL,
    "SQLITE_IOERR_SHMSIZE": FULL,  # no room even for the file that a connection needs beside the database
    "SQLITE_IOERR": FAILED,
    "SQLITE_READONLY": READ_ONLY,
    "SQLITE_BUSY": BUSY,
    "SQLITE_LOCKED": BUSY,
    "SQLITE_CORRUPT": DAMAGED,
    "SQLITE_NOTADB": DAMAGED,
    "SQLITE_CANTOPEN": AWAY,
}
POSTGRESQL = {
    "53100": FULL,
    "58": FAILED,
    "XX001": DAMAGED,
    "XX002": DAMAGED,
    "25006": READ_ONLY,
    "55P03": BUSY,
    "40": BUSY,
    "53": AWAY,
    "08": AWAY,
    "57": AWAY,
    "3D000": AWAY,
    "28": AWAY,
}


def trouble_of(error: BaseException | None) -> Trouble:
    """What a database's error means for the person at the bench."""
    if not isinstance(error, DatabaseError):
        return OTHER
    cause = error.__cause__
    if name := getattr(cause, "sqlite_errorname", None):
        return _first(SQLITE, name)
    if code := getattr(cause, "sqlstate", None):
        return _first(POSTGRESQL, code)
    # Without a code: PostgreSQL was not reached, or went away in the middle.
    return AWAY if type(cause).__module__.startswith("psycopg") else OTHER


def _first(table: dict[str, Trouble], code: str) -> Trouble:
    return next((trouble for start, trouble in table.items() if code.startswith(start)), OTHER)


class Stop:
    """Since when, and why, this process writes no more. After a failed sync the disk's word is worth nothing:
    what it later calls written may be lost, so only a restart, which reads the file anew, may go on.
    """

    def __init__(self) -> None:
        self.at: datetime | None = None
        self.trouble = FAILED

    def if_needed(self, trouble: Trouble) -> None:
        if trouble.stops and self.at is None:
            self.at, self.trouble = datetime.now(UTC), trouble

    def __bool__(self) -> bool:
        return self.at is not None


stop = Stop()


def no_writing_after_a_failure(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    def middleware(request: HttpRequest) -> HttpResponse:
        if stop and request.method not in READS:
            sentence = (
                f"Nothing was recorded: since {stop.at:%H:%M} UTC, {stop.trouble.cause}. {stop.trouble.then}"
            )
            return _page(sentence)
        return get_response(request)

    return middleware


def server_error(request: HttpRequest) -> HttpResponse:
    """Django calls this for any error that nobody caught; it is in the log by then."""
    trouble = trouble_of(sys.exc_info()[1])
    stop.if_needed(trouble)
    if request.method in READS:
        return _page(f"This page cannot be shown: {trouble.cause}. {trouble.then}")
    return _page(str(trouble), 500 if trouble is OTHER else 503)


def _page(sentence: str, status: int = 503) -> HttpResponse:
    """A page that asks nothing of the database."""
    outcome, _, then = sentence.partition(". ")
    return HttpResponse(
        render_to_string("keeping/trouble.html", {"outcome": outcome, "then": then}), status=status
    )
