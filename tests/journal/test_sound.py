"""What no database can keep is refused in words by the book itself, alike on every database."""

from datetime import UTC, date, datetime, timedelta

import pytest

from buffycoat.donors.rules import RegisterDonor
from buffycoat.draws.rules import StartDraw
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.record import record
from buffycoat.storage.rules import DiscardUnit, PutAway
from tests.walk import DONORS, Walk

pytestmark = pytest.mark.django_db


def refused(command, **how):
    before = Entry.objects.count()
    with pytest.raises(Refused) as why:
        record(command, by="robin", **how)
    assert before == Entry.objects.count()
    return " ".join(why.value.reasons)


def donor(**but):
    return RegisterDonor(**{**DONORS["dog"], **but})


@pytest.mark.parametrize("text", ["Bramble\0", "Bramble\ud800"])
def test_a_character_that_no_database_keeps(text):
    assert "Name holds a character that cannot be kept: type it again." == refused(donor(name=text))


def test_a_text_too_long_for_its_column_on_either_database():
    assert "The name is 300 characters long; at most" in refused(donor(name="B" * 300))


def test_a_text_too_long_for_anything():
    assert "Cautions is 2001 characters long; at most 2000 fit. Shorten it." == refused(
        donor(cautions="c" * 2001)
    )


def test_a_text_of_just_the_length_is_taken():
    assert record(donor(cautions="c" * 2000), by="robin").lines


def test_a_number_that_nothing_has():
    walk = Walk()
    command = StartDraw(donor=walk.a_donor(), lot=walk.a_lot(), tare_g=10**400, wanted_ml=450)
    assert "Tare g is no number that anything here can have." == refused(command)


@pytest.mark.parametrize(
    "command",
    [
        PutAway(unit="UHAVN000000100", place="P1", looks_well=True),
        DiscardUnit(unit="no code", reason="invented"),
        StartDraw(donor="D", lot="L", tare_g=200, wanted_ml=450, number="XYZ"),
    ],
    ids=lambda command: type(command).__name__,
)
def test_what_is_no_code_of_ours(command):
    assert refused(command)


def test_a_time_without_a_zone():
    when = datetime(2025, 3, 10, 9, 0, tzinfo=UTC).replace(tzinfo=None)
    assert "The time has no zone: give it in UTC, or with its offset." == refused(donor(), happened_at=when)


@pytest.mark.parametrize("when", [datetime(1, 1, 1, tzinfo=UTC), datetime(1899, 12, 31, 23, 59, tzinfo=UTC)])
def test_a_time_that_nobody_means(when):
    assert "The time given is before 1900: give the time when it was done." == refused(
        donor(), happened_at=when
    )


def test_all_reasons_are_told_at_once():
    said = refused(
        donor(name="\0", breed="\0", born_on=date(2020, 1, 1)), happened_at=datetime(1, 1, 1, tzinfo=UTC)
    )
    assert 2 == said.count("cannot be kept") and "before 1900" in said


def test_what_is_sound_is_taken():
    assert record(donor(), by="robin", happened_at=datetime.now(UTC) - timedelta(days=365)).lines


def test_when_all_numbers_are_given_out_it_is_said(monkeypatch):
    monkeypatch.setattr("buffycoat.science.numbering.LARGEST_SERIAL", 0)
    assert "A serial is a whole number from 1 to 0; 1 is not." == refused(donor())
