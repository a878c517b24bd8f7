"""The database itself refuses to change, delete or skip what stands in the book."""

import pytest
from django.db import IntegrityError, connection, transaction

from buffycoat.journal.models import Entry, Head
from tests.journal.test_record import everything
from tests.walk import Walk

pytestmark = pytest.mark.django_db
NEVER = "The journal is never changed: strike the entry and write it again."
NEXT = "An entry must have the next number: something else wrote to the journal."
COLUMNS = "number, stream, version, kind, happened_at, recorded_at, by, command_id, line, hash"
COPY = "SELECT %s, stream, %s, kind, happened_at, recorded_at, by, command_id, line, %s FROM journal_entry LIMIT 1"


@pytest.fixture(autouse=True)
def _a_donor():
    Walk().a_donor()


def refused(statement, *values, words):
    before = everything()
    with pytest.raises(IntegrityError, match=words), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, values)
    assert before == everything()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE journal_entry SET line = 'x' WHERE number = 2",
        "UPDATE journal_entry SET by = 'nobody'",
        "DELETE FROM journal_entry WHERE number = 3",
        "DELETE FROM journal_entry",
    ],
)
def test_an_entry_is_neither_changed_nor_deleted(statement):
    refused(statement, words=NEVER)


def test_the_model_is_no_way_round():
    entry = Entry.objects.get(number=2)
    entry.by = "nobody"
    for act in (entry.save, entry.delete, Entry.objects.all().delete):
        with pytest.raises(IntegrityError, match=NEVER), transaction.atomic():
            act()


@pytest.mark.parametrize("number", [-1, 0, 5, 10**6])
def test_an_entry_has_the_next_number(number):
    """The book holds three; four is next, and no other."""
    refused(f"INSERT INTO journal_entry ({COLUMNS}) {COPY}", number, 99, "f" * 64, words=NEXT)


def test_the_next_number_is_taken():
    with connection.cursor() as cursor:
        cursor.execute(f"INSERT INTO journal_entry ({COLUMNS}) {COPY}", [4, 99, "f" * 64])
    assert 4 == Entry.objects.count()


def test_two_entries_never_have_the_same_version_of_a_stream():
    refused(f"INSERT INTO journal_entry ({COLUMNS}) {COPY}", 4, 3, "f" * 64, words="(?i)unique")


def test_two_entries_never_have_the_same_seal():
    seal = Entry.objects.get(number=3).hash
    refused(f"INSERT INTO journal_entry ({COLUMNS}) {COPY}", 4, 99, seal, words="(?i)unique")


def test_there_is_one_head():
    with pytest.raises(IntegrityError), transaction.atomic():
        Head.objects.create(id=2, number=0, hash="0" * 64)


def test_an_entry_is_not_replaced_in_passing():
    """What each database has for putting one row in the place of another."""
    seal = Entry.objects.get(number=3).hash
    if connection.vendor == "sqlite":
        insert = f"INSERT OR REPLACE INTO journal_entry ({COLUMNS}) {COPY}"
        refused(insert, 3, 99, "f" * 64, words=NEXT)  # the number of another
        refused(insert, 4, 3, "f" * 64, words=NEVER)  # the version of another
        refused(insert, 4, 99, seal, words=NEVER)  # the seal of another
    else:
        insert = f"INSERT INTO journal_entry ({COLUMNS}) {COPY}"
        refused(
            f"{insert} ON CONFLICT (stream, version) DO UPDATE SET line = 'x'", 4, 3, "f" * 64, words=NEVER
        )


def test_the_book_is_not_emptied_in_one_stroke():
    refused(
        "TRUNCATE journal_entry" if connection.vendor == "postgresql" else "DELETE FROM journal_entry",
        words=NEVER,
    )
