"""A whole book goes into an empty one, each line as it was sealed, and by no other door."""

import pytest
from django.db import IntegrityError, connection

from buffycoat.journal.chain import START, seal
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.receive import receive
from buffycoat.journal.verify import verify
from tests.tidy.repository import PACKAGE, imports
from tests.walk import Walk


def empty_the_book() -> list[tuple[str, str]]:
    """Past the triggers, as no program of ours can; the test's end brings all back. Gives what was in it."""
    sealed = list(Entry.objects.order_by("number").values_list("hash", "line"))
    with connection.cursor() as cursor:
        name = {"sqlite": "entry_is_never_deleted", "postgresql": "entry_is_never_changed ON journal_entry"}
        cursor.execute(f"DROP TRIGGER {name[connection.vendor]}")
        cursor.execute("DELETE FROM journal_entry")
    Head.objects.update(number=0, hash=START)
    return sealed


@pytest.fixture
def sealed(db):
    Walk().drawn("cat")
    return empty_the_book()


def test_the_book_is_whole_and_the_same(sealed):
    head = receive(sealed)
    assert (len(sealed), sealed[-1][0]) == (head.number, head.hash)
    assert (len(sealed), sealed[-1][0], None) == (verify().entries, verify().head_hash, verify().wrong)
    assert sealed == list(Entry.objects.order_by("number").values_list("hash", "line"))


def test_a_line_that_does_not_fit_its_seal_stops_all_of_it(sealed):
    sealed[3] = (sealed[3][0], sealed[3][1].replace("robin", "rob1n"))
    with pytest.raises(Refused, match=r"^Entry 4 does not fit its seal"):
        receive(sealed)
    assert (0, 0) == (Entry.objects.count(), Head.objects.get(id=1).number)


def test_a_book_that_holds_an_entry_takes_nothing_over(sealed):
    receive(sealed[:1])
    with pytest.raises(Refused, match="This bank has a journal of 1 entries already"):
        receive(sealed)
    assert 1 == Entry.objects.count()


def test_a_number_left_out_is_refused_by_the_database_though_it_was_sealed_anew(sealed):
    line = sealed[1][1]
    with pytest.raises(IntegrityError, match="An entry must have the next number"):
        receive([(seal(START, line), line)])


def test_only_restoring_takes_a_book_over():
    importing = [path.name for path in PACKAGE.rglob("*.py") if "buffycoat.journal.receive" in imports(path)]
    assert ["restore.py"] == importing
