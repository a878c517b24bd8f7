"""A full or failing disk: one plain sentence, nothing half-done, reading goes on, no writing after a failed disk."""

import re
import resource
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, build_opener

import pytest
from django.db import DatabaseError, OperationalError

from buffycoat.keeping import trouble
from tests.harness.people import PASSWORD
from tests.harness.server import BUFFYCOAT, Bank, _free_port
from tests.keeping.conftest import everything, in_bank

NO_ROOM = "Nothing was recorded: the disk is full. Reading goes on."
MAY_BE = "It is not certain that this was recorded: the disk failed while it was written."

# The program as it is, on a database that is told to be full. SQLite: no more pages than it has, said on every
# connection. PostgreSQL: its own error for a full disk, raised where an entry is added.
FULL = """
import django, html, re; django.setup()
from django.contrib.auth import get_user_model
from django.db import connection
from django.db.backends.signals import connection_created
from django.test import Client
from django.test.utils import setup_test_environment
from django.conf import settings
settings.ALLOWED_HOSTS = ["*"]
def full(connection, **_):
    if connection.vendor == "sqlite":
        cursor = connection.cursor()
        cursor.execute("PRAGMA page_count")
        cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")
bench = Client(raise_request_exception=False)
bench.force_login(get_user_model().objects.get(username="robin"))
form = {"name": "F" * 50, "appliance": "fridge", "command_id": "6f0bd84d5f2f4c43a7f4a2fd2a2a39a1", "seen": "{}"}
if connection.vendor == "sqlite":
    cursor = connection.cursor()
    cursor.execute("VACUUM")
    connection_created.connect(full)
    connection.close()
else:
    cursor = connection.cursor()
    cursor.execute("CREATE FUNCTION no_room() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
                   "RAISE EXCEPTION USING MESSAGE = 'could not extend file', ERRCODE = '53100'; END $$")
    cursor.execute("CREATE TRIGGER no_room AFTER INSERT ON journal_entry FOR EACH ROW EXECUTE FUNCTION no_room()")
for _ in range(40):  # until the last free room of the pages is used up
    answer = bench.post("/places/new/", form)
    if answer.status_code != 302:
        break
    form["command_id"] = f"{int(form['command_id'], 16) + 1:032x}"
print(answer.status_code, re.sub(r"\\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode()))))
print(*(bench.get(path).status_code for path in ("/", "/places/", "/stock/", "/journal/", "/donors/")))
if connection.vendor == "sqlite":
    connection_created.disconnect(full)
    connection.close()
else:
    connection.cursor().execute("DROP TRIGGER no_room ON journal_entry")
answers = [bench.post("/places/new/", form) for _ in range(2)]
print(*(answer.status_code for answer in answers), len({answer.headers.get("Location") for answer in answers}))
"""


def test_a_full_disk_is_said_reading_goes_on_and_the_same_page_is_recorded_once_there_is_room(worked_bank):
    said, reads, later = in_bank(worked_bank, FULL).splitlines()[-3:]
    assert "503" == said.split()[0]
    assert NO_ROOM.replace(". ", ". ") in re.sub(r"\s*\. ", ". ", said)
    assert "200 200 200 200 200" == reads
    assert "302 302 1" == later  # sent twice, recorded once
    assert "is whole" in worked_bank.cli("verify")
    assert "equal, row for row" in worked_bank.cli("rebuild", "--check")


@pytest.fixture
def sqlite_bank(tmp_path: Path) -> Bank:
    """On the disk of this machine, whatever database the other tests run on."""
    made = Bank(data=tmp_path, database="")
    made.cli("migrate")
    made.cli("add-person", made.name, "--role", "coordinator", "--own", typed=f"{PASSWORD}\n")
    in_bank(made, "import django; django.setup()\nfrom tests.walk import Walk\nWalk().on_the_shelf('cat')")
    return made


class Bench:
    """A person at a page, without a browser."""

    def __init__(self, base_url: str) -> None:
        self.base_url, self.jar = base_url, CookieJar()
        self.opener = build_opener(HTTPCookieProcessor(self.jar))

    def read(self, path: str) -> tuple[int, str]:
        return self._open(path, None)

    def send(self, path: str, **form: str) -> tuple[int, str]:
        token = next(cookie.value for cookie in self.jar if cookie.name == "csrftoken")
        return self._open(path, urlencode({"csrfmiddlewaretoken": token, **form}).encode())

    def _open(self, path: str, data: bytes | None) -> tuple[int, str]:
        try:
            with self.opener.open(self.base_url + path, data, timeout=30) as answer:
                return answer.status, answer.read().decode()
        except HTTPError as refused:
            return refused.code, refused.read().decode()


@contextmanager
def served(bank: Bank) -> Iterator[subprocess.Popen]:
    """The server as a process whose number is known, so that its disk can be taken away under it."""
    port = _free_port()
    bank.base_url = f"http://127.0.0.1:{port}"
    with bank.log.open("a") as log:
        server = subprocess.Popen(
            [BUFFYCOAT, "serve", "--port", str(port)], env=bank.environment, stdout=log, stderr=log
        )
    try:
        bank._wait_for(server)
        yield server
    finally:
        server.kill()
        server.wait()


def signed_in(bank: Bank) -> Bench:
    bench = Bench(bank.base_url)
    bench.read("/sign-in/")
    assert 200 == bench.send("/sign-in/", username=bank.name, password=PASSWORD)[0]
    return bench


def a_place(bench: Bench, serial: int) -> tuple[int, str]:
    form = {"name": "F", "appliance": "fridge", "command_id": f"{serial:032x}", "seen": "{}"}
    return bench.send("/places/new/", **form)


def no_growth(process_id: int, size_bytes: int) -> None:
    """No file of this process may be written beyond that size: the disk's own error, without a disk to spoil."""
    resource.prlimit(process_id, resource.RLIMIT_FSIZE, (size_bytes, resource.RLIM_INFINITY))


def test_after_a_failed_disk_nothing_more_is_written_until_a_restart(sqlite_bank):
    with served(sqlite_bank) as server:
        bench = signed_in(sqlite_bank)
        assert (200, True) == (a_place(bench, 1)[0], "is open" in a_place(bench, 1)[1])
        before = everything(sqlite_bank)
        no_growth(server.pid, 4096)
        code, page = a_place(bench, 2)
        assert (503, True) == (code, MAY_BE.split(".")[0] in page)
        assert [200] * 4 == [bench.read(path)[0] for path in ("/", "/stock/", "/journal/", "/places/")]
        no_growth(server.pid, resource.RLIM_INFINITY)
        assert [200] * 4 == [bench.read(path)[0] for path in ("/", "/stock/", "/journal/", "/places/")]
        code, page = a_place(bench, 3)
        assert (503, True) == (
            code,
            bool(re.search(r"Nothing was recorded: since \d\d:\d\d UTC, the disk failed", page)),
        )
        assert before == everything(sqlite_bank)
    with served(sqlite_bank):
        bench = signed_in(sqlite_bank)
        assert 200 == a_place(bench, 4)[0]
    assert "is whole" in sqlite_bank.cli("verify")
    assert "equal, row for row" in sqlite_bank.cli("rebuild", "--check")
    assert 2 == sqlite_bank.cli("journal").count('"name":"F","place"')


def test_the_terminal_says_it_in_the_same_words(sqlite_bank):
    """No room even for the file that a connection needs beside the database."""
    before = everything(sqlite_bank)
    arguments = ["do", "open-place", "--by", "robin", "--name", "F", "--appliance", "fridge"]
    done = subprocess.run(
        [BUFFYCOAT, *arguments],
        env=sqlite_bank.environment,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (4096, resource.RLIM_INFINITY)),
        capture_output=True,
        text=True,
    )
    assert (1, "") == (done.returncode, done.stdout)
    assert done.stderr.startswith(NO_ROOM)
    assert 1 == len(done.stderr.splitlines())
    assert before == everything(sqlite_bank)


def test_a_backup_without_room_leaves_nothing(sqlite_bank):
    done = subprocess.run(
        [BUFFYCOAT, "backup"],
        env=sqlite_bank.environment,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (65536, resource.RLIM_INFINITY)),
        capture_output=True,
        text=True,
    )
    assert (1, True) == (done.returncode, done.stderr.startswith("No copy was made: "))
    assert [] == list((sqlite_bank.data / "copies").iterdir())


def test_a_file_that_is_no_database_is_said(sqlite_bank):
    (sqlite_bank.data / "buffycoat.sqlite3").write_bytes(b"invented " * 1000)
    said = sqlite_bank.cli("stock", expect=1)
    assert said.startswith("Nothing was recorded: the file of the database is damaged. Stop work here")


def test_a_database_that_does_not_answer_is_said(sqlite_bank):
    away = Bank(data=sqlite_bank.data, database="postgresql://nobody@127.0.0.1:1/none")
    assert "the database does not answer. Work on paper" in away.cli("stock", expect=1)


class Sqlite(Exception):
    def __init__(self, name: str) -> None:
        self.sqlite_errorname = name


class Postgres(Exception):
    def __init__(self, code: str) -> None:
        self.sqlstate = code


def caused(cause: Exception, kind: type[DatabaseError] = OperationalError) -> DatabaseError:
    error = kind()
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("error", "meaning"),
    [
        (caused(Sqlite("SQLITE_FULL")), trouble.FULL),
        (caused(Sqlite("SQLITE_IOERR_FSYNC")), trouble.FAILED),
        (caused(Sqlite("SQLITE_IOERR_SHMSIZE")), trouble.FULL),
        (caused(Sqlite("SQLITE_READONLY_DBMOVED")), trouble.READ_ONLY),
        (caused(Sqlite("SQLITE_BUSY")), trouble.BUSY),
        (caused(Sqlite("SQLITE_CORRUPT"), DatabaseError), trouble.DAMAGED),
        (caused(Sqlite("SQLITE_CONSTRAINT_TRIGGER")), trouble.OTHER),
        (caused(Postgres("53100")), trouble.FULL),
        (caused(Postgres("53300")), trouble.AWAY),
        (caused(Postgres("58030")), trouble.FAILED),
        (caused(Postgres("57P01")), trouble.AWAY),
        (caused(Postgres("40P01")), trouble.BUSY),
        (caused(Postgres("23505")), trouble.OTHER),
        (ValueError("a fault of ours"), trouble.OTHER),
        (None, trouble.OTHER),
    ],
)
def test_each_error_has_its_meaning(error, meaning):
    assert meaning is trouble.trouble_of(error)


def test_only_what_may_have_lost_something_stops_the_writing():
    assert {trouble.FAILED, trouble.DAMAGED} == {
        each for each in vars(trouble).values() if isinstance(each, trouble.Trouble) and each.stops
    }


def test_a_fault_of_the_program_is_a_plain_page_too(client, django_user_model, db, monkeypatch):
    def broken(*_, **__):
        raise ValueError("invented")

    client.force_login(django_user_model.objects.create_user("robin"))
    client.raise_request_exception = False
    monkeypatch.setattr("buffycoat.trace.views.stock", broken)
    answer = client.get("/")
    assert 503 == answer.status_code
    assert b"This page cannot be shown" in answer.content
    assert b"invented" not in answer.content
