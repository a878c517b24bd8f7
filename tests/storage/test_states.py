"""The one word for a unit: a row of the table each, and nothing that is not known to be right is ever ready."""

from itertools import product

import pytest

from buffycoat.storage.rules import READY, USE_FIRST
from buffycoat.storage.states import TABLE, Seen, row_of

# For each row of the table, in its order, what is true of a unit that it is for.
ROWS = [
    ("gone", Seen(gone=True)),
    ("stop", Seen(expired=True)),
    ("stop", Seen(wrong_type=True)),
    ("stop", Seen(label_true=False)),
    ("stop", Seen(labelled=False)),
    ("stop", Seen(warm=True, out=True, put_away=False)),
    ("waiting", Seen(held=True)),
    ("waiting", Seen(out=True, put_away=False)),
    ("being made", Seen(put_away=False)),
    ("use first", Seen(soon=True)),
    ("ready", Seen()),
]
FIELDS = tuple(Seen.__dataclass_fields__)
EVERY = [Seen(**dict(zip(FIELDS, each, strict=True))) for each in product((False, True), repeat=len(FIELDS))]


@pytest.mark.parametrize("number", range(len(ROWS)))
def test_each_row_of_the_table_is_for_one_kind_of_unit(number):
    word, unit = ROWS[number]
    assert (word, number) == (TABLE[number].state, TABLE.index(row_of(unit)))


def test_every_row_is_tried():
    assert len(ROWS) == len(TABLE)
    assert {*TABLE} == {row_of(unit) for unit in EVERY}


@pytest.mark.parametrize("number", range(1, len(ROWS)))
def test_whatever_is_true_of_an_earlier_row_counts_before_a_later_one(number):
    """What stops a unit stops it also while it is held, out, or soon out of date."""
    for unit in EVERY:
        if TABLE[number - 1].true(unit):
            assert TABLE.index(row_of(unit)) < number


def test_what_is_ready_or_to_be_used_first_is_right_in_every_way():
    """Of all 1024 ways in which a unit may stand, two are fit to give."""
    right = {"labelled": True, "label_true": True, "put_away": True}
    fit = [unit for unit in EVERY if row_of(unit).state in (READY, USE_FIRST)]
    assert [Seen(**right, soon=soon) for soon in (False, True)] == fit


def test_each_row_says_when_and_where_it_comes_from_and_each_but_the_good_ends_what_to_do():
    assert all(row.when and row.source for row in TABLE)
    assert ["gone", "ready"] == [row.state for row in TABLE if not row.do]


def test_a_label_not_scanned_back_does_not_stop_what_is_still_being_made():
    assert "being made" == row_of(Seen(labelled=False, put_away=False)).state
    assert "stop" == row_of(Seen(labelled=False, put_away=False, out=True)).state
