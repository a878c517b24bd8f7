"""Backups, the sheet of the day, and the shelf in the past, as pages."""

import re
from datetime import UTC, datetime, timedelta

import pytest

from buffycoat.journal.models import Head
from buffycoat.keeping import notes
from buffycoat.keeping.notes import CopyNote, DrillNote
from buffycoat.keeping.views import shelf_twice
from buffycoat.storage.rules import DiscardUnit
from tests.walk import Walk

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def person(client, django_user_model):
    client.force_login(django_user_model.objects.create_user("robin"))
    return client


@pytest.fixture(autouse=True)
def _own_folder(settings, tmp_path):
    settings.DATA, settings.COPIES = tmp_path, tmp_path / "copies"


def text(answer) -> str:
    assert 200 == answer.status_code
    words = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", words)


def a_copy(tmp_path, **but) -> CopyNote:
    file = tmp_path / "copy-1.zip"
    file.write_bytes(b"12345")
    values = {
        "at": datetime.now(UTC) - timedelta(hours=3, minutes=5),
        "file": str(file),
        "plain": "",
        "entries": 2,
        "head": "a" * 64,
        "rows": 0,
        "sha256": "b" * 64,
        "size_bytes": 5,
    }
    note = CopyNote(**{**values, **but})
    notes.write(note)
    return note


def a_drill(**but) -> None:
    values = {"at": datetime.now(UTC), "file": "copy-1.zip", "entries": 2, "wrong": "", "took_s": 4}
    notes.write(DrillNote(**{**values, **but}))


def test_a_bank_without_a_copy_is_told_so(person):
    page = text(person.get("/backups/"))
    assert "There is no copy of this bank." in page
    assert "No copy was ever tried." in page


def test_the_last_good_copy_and_what_came_since(person, tmp_path):
    Walk().a_donor()
    a_copy(tmp_path, entries=99, at=datetime(2020, 1, 1, tzinfo=UTC))
    a_copy(tmp_path)
    page = text(person.get("/backups/"))
    assert "3 h 05 min ago" in page.replace("\u00a0", " ")
    assert "1 entry is in no copy" in page
    assert "There is no copy" not in page


def test_a_copy_that_is_not_there_or_is_shorter_is_not_seen(person, tmp_path):
    note = a_copy(tmp_path)
    assert "not where it was put" not in text(person.get("/backups/"))
    note.path.write_bytes(b"1")
    assert "The last copy is not where it was put." in text(person.get("/backups/"))
    note.path.unlink()
    assert "The last copy is not where it was put." in text(person.get("/backups/"))


def test_copies_on_the_disk_of_the_bank_are_warned_of(person, settings, tmp_path):
    settings.COPIES.mkdir()
    assert "If that disk fails, they are lost with it" in text(person.get("/backups/"))


def test_the_last_drill_is_shown_and_a_failed_one_is_a_caution(person):
    a_drill()
    assert "equal entry by entry and row by row" in text(person.get("/backups/"))
    a_drill(wrong="Entry 5 does not fit its seal.", at=datetime.now(UTC) + timedelta(seconds=1))
    page = text(person.get("/backups/"))
    assert "Caution. Entry 5 does not fit its seal." in page
    assert "It does NOT restore." in page


def test_a_note_that_was_spoiled_vouches_for_nothing(person, tmp_path):
    a_copy(tmp_path)
    for path in notes.folder().iterdir():
        path.write_text("{")
    assert "There is no copy of this bank." in text(person.get("/backups/"))


def test_the_sheet_of_today_carries_the_head(person):
    Walk().a_donor()
    head = Head.objects.get(id=1)
    page = text(person.get("/backups/sheet/"))
    assert head.hash in page.replace(" ", "")
    assert f"buffycoat head --entry {head.number}" in page
    assert "Added today 3" in page


def test_the_shelf_as_it_was_and_as_the_book_said_then(person):
    """All steps of this bench were recorded now and done in 2025: the book of then knew nothing of them."""
    walk = Walk()
    donation = walk.on_the_shelf("cat")
    then = f"{walk.at:%-d %b %Y %H:%M}"
    walk.wait(hours=2)
    walk.do(DiscardUnit(unit=walk.units(donation)["plasma"], reason="The bag broke."))
    page = text(person.get("/stock/at/", {"moment": then}))
    assert "2 units differ" in page
    assert 2 == page.count("Not on the shelf")
    later = text(person.get("/stock/at/", {"moment": f"{walk.at:%-d %b %Y %H:%M}"}))
    assert "1 unit differs" in later
    before = text(person.get("/stock/at/", {"moment": "1 Jan 2025 12:00"}))
    assert "Nothing stood on the shelves." in before


def test_both_answers_are_one_when_the_book_knew():
    Walk().on_the_shelf("cat")
    rows = shelf_twice(datetime.now(UTC))
    assert [True, True] == [row.same for row in rows]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("1 Jan 2099 12:00", "That moment is still to come."),
        ("soon", "soon"),
        ("", "What stood on the shelf at"),
    ],
)
def test_a_moment_that_cannot_be_shown_is_said_and_stays_typed(person, typed, words):
    page = person.get("/stock/at/", {"moment": typed})
    assert words in text(page)
    assert f'value="{typed}"' in page.content.decode() or not typed
    assert "Nothing stood" not in text(page)


def test_the_stock_leads_to_the_past_and_the_bar_to_the_backups(person):
    assert b'href="/stock/at/"' in person.get("/stock/").content
    assert b'href="/backups/"' in person.get("/").content


def test_a_stranger_sees_none_of_it(client):
    for path in ("/backups/", "/backups/sheet/", "/stock/at/"):
        assert 302 == client.get(path).status_code
