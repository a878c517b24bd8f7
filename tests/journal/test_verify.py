"""Whoever changes the book past its triggers is found, and the first bad entry is named."""

import hashlib
import json
from collections.abc import Callable

import pytest
from django.db import connection

from buffycoat.journal.chain import START as FIRST
from buffycoat.journal.chain import canonical, seal
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.verify import verify
from tests.walk import Walk

pytestmark = pytest.mark.django_db
ENTRIES = 7  # a donor of three entries, a lot of one, a draw of three


@pytest.fixture(autouse=True)
def _a_draw():
    Walk().drawn("cat")
    assert (ENTRIES, None) == (verify().entries, verify().wrong)


@pytest.fixture
def unguarded() -> Callable[..., None]:
    """Writes past the triggers, as somebody with the file in hand could. The test's end brings them back."""
    names = {
        "sqlite": ["entry_is_never_updated", "entry_is_never_deleted", "entry_has_the_next_number"],
        "postgresql": [
            "entry_is_never_changed ON journal_entry",
            "entry_has_the_next_number ON journal_entry",
        ],
    }
    with connection.cursor() as cursor:
        for name in names[connection.vendor]:
            cursor.execute(f"DROP TRIGGER {name}")

    def write(statement: str, *values: object) -> None:
        with connection.cursor() as cursor:
            cursor.execute(statement, values)

    return write


def by_hand() -> tuple[int, str]:
    """The same check without a line of the program's: sha256 over the previous hash and the stored text."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT number, line, hash FROM journal_entry ORDER BY number")
        previous, number = "0" * 64, 0
        for number, line, given in cursor.fetchall():
            if hashlib.sha256(previous.encode() + line.encode()).hexdigest() != given:
                return number, "broken"
            previous = given
    return number, previous


def found(entries: int, words: str) -> None:
    """The book holds up to that entry, and what comes after it is told in these words."""
    verdict = verify()
    hash_there = Entry.objects.get(number=entries).hash if entries else FIRST
    assert (entries, hash_there) == (verdict.entries, verdict.head_hash)
    assert words in verdict.wrong


def changed(number: int) -> str:
    return f"Entry {number} does not fit its seal: its text, or what came before it, was changed."


def beside(number: int, column: str) -> str:
    return f"Entry {number}: the column {column} was changed beside the sealed line."


def end_was_cut(said: int, held: int) -> str:
    return f"The head says {said} entries, the book holds {held}: its end was cut"


def test_a_whole_book_is_whole_and_anyone_can_check_it():
    verdict = verify()
    assert (ENTRIES, Head.objects.get(id=1).hash) == (verdict.entries, verdict.head_hash) == by_hand()


def test_an_empty_book_is_whole(unguarded):
    unguarded("DELETE FROM journal_entry")
    Head.objects.update(number=0, hash=FIRST)
    assert (0, FIRST, None) == (verify().entries, verify().head_hash, verify().wrong)


def test_the_line_holds_all_that_the_columns_say():
    for entry in Entry.objects.all():
        values = json.loads(entry.line)
        assert canonical(values) == entry.line
        assert (entry.number, entry.stream, entry.kind) == (
            values["number"],
            values["stream"],
            values["kind"],
        )


@pytest.mark.parametrize("number", [1, 4, ENTRIES])
def test_a_changed_line_is_found(unguarded, number):
    unguarded("UPDATE journal_entry SET line = REPLACE(line, 'robin', 'rob1n') WHERE number = %s", number)
    found(number - 1, changed(number))
    assert (number, "broken") == by_hand()


@pytest.mark.parametrize("number", [1, 4, ENTRIES])
def test_a_changed_seal_is_found(unguarded, number):
    unguarded("UPDATE journal_entry SET hash = %s WHERE number = %s", "f" * 64, number)
    found(number - 1, changed(number))


def test_a_line_sealed_anew_is_found_at_the_next_entry(unguarded):
    before, entry = Entry.objects.get(number=3), Entry.objects.get(number=4)
    line = entry.line.replace("robin", "rob1n")
    unguarded(
        "UPDATE journal_entry SET line = %s, hash = %s, by = 'rob1n' WHERE number = 4",
        line,
        seal(before.hash, line),
    )
    found(4, changed(5))


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("stream", "donor/x"),
        ("version", 99),
        ("kind", "blood-typed"),
        ("by", "nobody"),
        ("command_id", "x"),
        ("happened_at", "2020-01-01 00:00:00+00:00"),
        ("recorded_at", "2020-01-01 00:00:00+00:00"),
    ],
)
def test_a_changed_column_is_found(unguarded, column, value):
    unguarded(f"UPDATE journal_entry SET {column} = %s WHERE number = 5", value)
    found(4, beside(5, column))


@pytest.mark.parametrize("number", [1, 4, ENTRIES - 1])
def test_a_deleted_row_is_found(unguarded, number):
    unguarded("DELETE FROM journal_entry WHERE number = %s", number)
    found(number - 1, f"Entry {number} is missing: the next one in the book is {number + 1}.")


def test_a_row_taken_out_and_the_rest_moved_up_is_found(unguarded):
    unguarded("DELETE FROM journal_entry WHERE number = 4")
    for number in range(5, ENTRIES + 1):
        unguarded("UPDATE journal_entry SET number = %s WHERE number = %s", number - 1, number)
    found(3, changed(4))


@pytest.mark.parametrize("left", [0, 1, ENTRIES - 1])
def test_a_tail_cut_off_is_found(unguarded, left):
    unguarded("DELETE FROM journal_entry WHERE number > %s", left)
    found(left, end_was_cut(ENTRIES, left))


def test_two_rows_that_changed_places_are_found(unguarded):
    for old, new in ((2, 99), (3, 2), (99, 3)):
        unguarded("UPDATE journal_entry SET number = %s WHERE number = %s", new, old)
    found(1, changed(2))


def test_a_row_put_in_is_found(unguarded):
    for number in range(ENTRIES, 3, -1):
        unguarded("UPDATE journal_entry SET number = %s WHERE number = %s", number + 1, number)
    forged = Entry.objects.get(number=3)
    forged.number, forged.version, forged.hash = 4, 99, "f" * 64
    forged.save(force_insert=True)
    found(3, changed(4))


def test_a_row_put_on_at_the_end_is_found_by_the_head(unguarded):
    last = Entry.objects.get(number=ENTRIES)
    values = {**json.loads(last.line), "number": ENTRIES + 1, "version": last.version + 1}
    line = canonical(values)
    forged = Entry.objects.get(number=ENTRIES)
    forged.number, forged.version, forged.line, forged.hash = (
        ENTRIES + 1,
        last.version + 1,
        line,
        seal(last.hash, line),
    )
    forged.save(force_insert=True)
    found(ENTRIES + 1, end_was_cut(ENTRIES, ENTRIES + 1))


def test_a_changed_number_of_the_head_is_found():
    Head.objects.update(number=ENTRIES - 1)
    found(ENTRIES, end_was_cut(ENTRIES - 1, ENTRIES))


def test_a_changed_seal_of_the_head_is_found():
    Head.objects.update(hash="f" * 64)
    found(ENTRIES, f"The head holds another seal than entry {ENTRIES}, the last")


def test_a_head_that_is_gone_is_found():
    Head.objects.all().delete()
    found(ENTRIES, f"The head of the book is gone or cannot be read: whether entry {ENTRIES} is the last")


@pytest.mark.parametrize("line", ["nonsense", "[]", "{}"])
def test_a_line_that_fits_its_seal_and_is_none_of_the_book_is_named(unguarded, line):
    sealed = seal(Entry.objects.get(number=3).hash, line)
    unguarded("UPDATE journal_entry SET line = %s, hash = %s WHERE number = 4", line, sealed)
    found(3, "Entry 4 cannot be read: what stands there is no entry any more.")
