"""Lists that leave the bank: every one can be brought into another bank again, and none runs in a spreadsheet."""

import csv
import io
from datetime import UTC, datetime

import openpyxl
import pytest
from django.db import transaction

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import Donor, ReadChip
from buffycoat.earlier.models import EarlierDonationRow
from buffycoat.journal.book import Book
from buffycoat.journal.models import Entry
from buffycoat.lists.deciding import HERE, TAKEN, bring_in, judged
from buffycoat.lists.out import as_csv, as_workbook, donations, donors, harmless
from buffycoat.people.models import OwnerContact
from tests.lists.sheets import told
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def now():
    return datetime.now(UTC)


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_no_cell_is_a_formula_to_a_spreadsheet(text):
    assert f"'{text}" == harmless(text)
    [[said]] = csv.reader(io.StringIO(as_csv([[text]]).decode("utf-8-sig"), newline=""))
    assert f"'{text}" == said
    cell = openpyxl.load_workbook(io.BytesIO(as_workbook([[text.strip()]]))).active["A1"]
    assert ("s", True) == (cell.data_type, str(cell.value).startswith("'"))


def test_an_ordinary_cell_leaves_as_it_is():
    assert ["Bärbel", "28.4", ""] == [harmless(each) for each in ("Bärbel", "28.4", "")]


def a_bank():
    walk = Walk()
    dog, cat = walk.a_donor(breed="=Lurcher", cautions="- kicks"), walk.a_donor("cat")
    walk.do(ReadChip(donor=dog, chip="900000000000123"))
    OwnerContact.objects.create(donor=dog, name="R. Example", phone="+00 1234 567", email="r@example.org")
    walk.kept_whole(donor=dog)
    walk.drawn("cat", donor=cat)
    bring_in(told(f"Donor,Gave on,Weight (kg)\n{dog},2024-01-10,27.5\n", "donations"), by="robin")


def donors_as_told():
    """What the lists say of donors, by name; numbers are each bank's own."""
    rows = [
        dict(zip(lines[0], line, strict=True))
        for lines in [list(donors(owners=True, now=now()))]
        for line in lines[1:]
    ]
    return {
        row["Name"]: {key: row[key] for key in row if key not in ("Number", "Older number")} for row in rows
    }


def donations_as_told():
    lines = list(donations(owners=True, now=now()))
    return sorted(line[1:3] + line[4:7] for line in lines[1:])


@pytest.mark.parametrize("write", [as_csv, as_workbook])
def test_what_left_one_bank_comes_into_an_empty_one_and_says_the_same(write):
    before = transaction.savepoint()
    a_bank()
    animals, drawn = (write(each(owners=True, now=now())) for each in (donors, donations))
    told_there, given_there = donors_as_told(), donations_as_told()
    transaction.savepoint_rollback(before)  # a journal is emptied in no other way
    assert 0 == DonorRow.objects.count()
    for content, kind in ((animals, "donors"), (drawn, "donations")):
        assert [] == [
            row.reasons for row in bring_in(told(content, kind), by="robin") if row.verdict != TAKEN
        ]
    assert told_there == donors_as_told()
    assert given_there == donations_as_told()
    for row in DonorRow.objects.all():
        assert Book()(Donor, row.donor).brought_in.old_number.startswith("D")


@pytest.mark.parametrize("write", [as_csv, as_workbook])
def test_what_left_a_bank_is_known_there_when_it_comes_back(write):
    a_bank()
    before = Entry.objects.count()
    for lines, kind in ((donors, "donors"), (donations, "donations")):
        assert {HERE} == {row.verdict for row in judged(told(write(lines(owners=True, now=now())), kind))}
    assert before == Entry.objects.count()


def test_owners_leave_only_where_they_are_asked_for():
    a_bank()
    assert b"example.org" in as_csv(donors(owners=True, now=now()))
    assert b"xample" not in as_csv(donors(owners=False, now=now()))


def test_every_donation_leaves_whether_from_this_book_or_from_before():
    a_bank()
    assert 1 == EarlierDonationRow.objects.count()
    assert 3 == len(donations_as_told())
