"""A blood type is read by two people who do not see each other's reading; where they differ, a third decides."""

from datetime import timedelta

import pytest

from buffycoat.donors.blood_types import BY_ONE_PERSON, CONFIRMED, IN_DOUBT, ONCE
from buffycoat.donors.registering import read_back
from buffycoat.donors.rules import Donor, TypeBlood
from buffycoat.labels.rules import PrintLabel
from buffycoat.site.rules import SetLimit
from tests.walk import pure_walk

POSITIVE, NEGATIVE = "DEA 1 positive", "DEA 1 negative"


@pytest.fixture
def walk():
    return pure_walk()


def reads(walk, donor, blood_type, who):
    walk.by = who
    walk.do(TypeBlood(donor=donor, blood_type=blood_type, method="card", reader=who))
    return walk.look(Donor, donor)


def test_one_reading_is_a_type_that_waits_for_a_second_one(walk):
    state = reads(walk, walk.a_donor(typed=False), POSITIVE, "robin")
    assert (POSITIVE, ONCE) == (state.blood_type, state.typed.how)
    assert "Bramble is DEA 1 positive. Another person reads it a second time" in read_back(state, POSITIVE)


def test_a_second_person_who_reads_the_same_confirms_it(walk):
    donor = walk.a_donor(typed=False)
    reads(walk, donor, POSITIVE, "robin")
    state = reads(walk, donor, POSITIVE, "kim")
    assert (POSITIVE, CONFIRMED) == (state.blood_type, state.typed.how)
    assert "Bramble is DEA 1 positive. Both readings agree." == read_back(state, POSITIVE)


def test_two_that_differ_leave_no_type_and_neither_is_told_until_a_third_decides(walk):
    donor = walk.a_donor(typed=False)
    reads(walk, donor, POSITIVE, "robin")
    state = reads(walk, donor, NEGATIVE, "kim")
    assert ("type not known", IN_DOUBT) == (state.blood_type, state.type_in("DEA 1").how)
    assert POSITIVE not in read_back(state, NEGATIVE)
    assert NEGATIVE not in read_back(state, NEGATIVE)
    state = reads(walk, donor, NEGATIVE, "sam")
    assert (NEGATIVE, CONFIRMED) == (state.blood_type, state.typed.how)
    assert "Most of 3 readings say so." in read_back(state, NEGATIVE)


def test_nobody_confirms_their_own_reading_while_they_remember_it(walk):
    donor = walk.a_donor()
    at = walk.look(Donor, donor).readings["DEA 1"][0].at
    own = TypeBlood(donor=donor, blood_type=NEGATIVE, reader="robin")
    refused = [
        "robin read this already: another person reads it now. "
        "If nobody else is there, read it again after 10 minutes."
    ]
    assert refused == walk.why_not(own, at + timedelta(minutes=9))
    assert [] == walk.why_not(own, at + timedelta(minutes=10))
    walk.do(own, at + timedelta(minutes=10))
    assert BY_ONE_PERSON == walk.look(Donor, donor).typed.how


def test_who_reads_a_second_time_is_named(walk):
    nameless = TypeBlood(donor=walk.a_donor(), blood_type=NEGATIVE)
    [refused] = walk.why_not(nameless)
    assert refused.startswith("This was read before: say who reads it now")


def test_the_wait_of_a_lonely_reader_is_the_sites(walk):
    walk.do(SetLimit(key="second_reading_alone_after_min", value=60, reason="Ours"))
    donor = walk.a_donor()
    at = walk.look(Donor, donor).readings["DEA 1"][0].at
    own = TypeBlood(donor=donor, blood_type=NEGATIVE, reader="robin")
    assert 1 == len(walk.why_not(own, at + timedelta(minutes=59)))
    assert [] == walk.why_not(own, at + timedelta(minutes=60))


def test_another_system_is_read_for_itself_and_does_not_touch_the_label(walk):
    donor = walk.a_donor()
    state = reads(walk, donor, "Dal negative", "robin")
    assert (NEGATIVE, "Dal negative") == (state.blood_type, state.type_in("Dal").blood_type)


def test_a_type_that_is_in_doubt_prints_no_label_and_stops_what_carries_it(walk):
    donor = walk.a_donor()
    donation = walk.labelled(donor=donor)
    reads(walk, donor, POSITIVE, "kim")
    refused = walk.why_not(PrintLabel(donation=donation, part="plasma", reason="Again"))
    assert "The donor's blood type is not known: type the donor before any label is printed." in refused
