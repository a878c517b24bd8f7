"""The server's log: one line for one event, in UTC, whatever was typed; and who was refused."""

import io
import logging
import re

import pytest
from django.conf import settings
from django.test import Client

from buffycoat.people.log_lines import OneLine
from buffycoat.people.roles import add

pytestmark = pytest.mark.one_database
STAMP = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z"


def written(text: str, *, error: Exception | None = None) -> list[str]:
    into = io.StringIO()
    handler = logging.StreamHandler(into)
    handler.setFormatter(OneLine())
    log = logging.Logger("buffycoat.people")
    log.addHandler(handler)
    try:
        if error:
            raise error
        log.warning("%s was not let in", text)
    except ValueError:
        log.exception("%s failed", text)
    return into.getvalue().splitlines()


@pytest.mark.parametrize(
    "typed", ["robin\r\n2026-01-01T00:00:00.000Z INFO kim signed in", "a\u2028b", "\x1b[2J"]
)
def test_what_was_typed_makes_no_line_of_its_own(typed):
    lines = written(typed)
    assert 1 == len(lines)
    assert re.fullmatch(rf"{STAMP} WARNING buffycoat\.people: [ -~]+ was not let in", lines[0])


def test_a_plain_text_makes_one_too():
    assert written("robin")[0].endswith("WARNING buffycoat.people: robin was not let in")


def test_what_follows_of_an_error_is_set_in():
    first, *rest = written("a page", error=ValueError("typed\n2026-01-01T00:00:00.000Z INFO kim signed in"))
    assert "ERROR" in first
    assert rest
    assert [] == [line for line in rest if not line.startswith("    | ")]


def test_the_servers_log_is_written_so():
    handler = settings.LOGGING["handlers"][settings.LOGGING["root"]["handlers"][0]]
    assert "buffycoat.people.log_lines.OneLine" == settings.LOGGING["formatters"][handler["formatter"]]["()"]


def test_who_is_refused_stands_in_the_log_with_the_page(db, caplog):
    client = Client()
    client.force_login(add("robin", None, ["auditor"]))
    with caplog.at_level(logging.WARNING, "buffycoat.people"):
        assert 200 == client.get("/stock/").status_code
        assert "refused" not in caplog.text
        assert 403 == client.post("/people/", {"name": "kim"}).status_code
    assert "robin was refused: POST /people/" in caplog.messages
