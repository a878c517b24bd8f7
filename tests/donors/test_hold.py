"""A donor turns positive: nothing that it gave can be given until that is cleared, and a fault in this is noticed."""

from datetime import timedelta

import pytest

from buffycoat.donors.donor import Donor
from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import ClearPositive, RecordTest
from buffycoat.site.rules import limits
from buffycoat.storage import stock as of_storage
from tests.pages import near_noon

TEST = {"agent": "Babesia gibsoni", "method": "PCR"}


@pytest.fixture
def walk(db):
    return near_noon(timedelta(days=3))


def at_large(walk, donor):
    """What of this donor could be given now."""
    units = of_storage.stock(walk.at, limits(walk.look))
    return [
        unit.row.unit for unit in units if unit.row.donation.donor_id == donor and "waiting" != unit.status
    ]


def turns_positive(walk):
    """With both products of a donation on the shelf."""
    donor = walk.a_donor()
    walk.on_the_shelf(donor=donor)
    assert 2 == len(at_large(walk, donor))
    walk.do(RecordTest(donor=donor, result="positive", taken_on=walk.at.date(), **TEST))
    return donor


def test_all_of_a_positive_donor_that_is_in_date_waits_and_all_of_it_comes_back_when_cleared(walk):
    donor = turns_positive(walk)
    assert [] == at_large(walk, donor)
    walk.do(RecordTest(donor=donor, result="negative", taken_on=walk.at.date(), **TEST))
    assert [] == at_large(walk, donor)
    said = {"decided_by": "Dr Invented", "reason": "Twice negative"}
    walk.do(ClearPositive(donor=donor, test="Babesia gibsoni by PCR", **said))
    assert 2 == len(at_large(walk, donor))


def test_what_is_labelled_after_its_donor_turned_positive_waits_as_well(walk):
    donor = walk.a_donor()
    in_work = walk.weighed(donor=donor)
    walk.do(RecordTest(donor=donor, result="positive", taken_on=walk.at.date(), **TEST))
    walk.label(in_work)
    walk.put_away(in_work)
    assert [] == at_large(walk, donor)


def forgets_positives(monkeypatch):
    monkeypatch.setattr(Donor, "held", property(lambda donor: ""))


def takes_the_last_result(monkeypatch):
    whole = Donor._of_its_health

    def planted(donor, line):
        state = whole(donor, line)
        later = getattr(line.fact, "result", "") == "negative"
        return type(state)(**{**vars(state), "positive": {}}) if later else state

    monkeypatch.setattr(Donor, "_of_its_health", planted)


def asks_only_the_unit(monkeypatch):
    whole = of_storage.status
    monkeypatch.setattr(of_storage, "status", lambda **asked: whole(**{**asked, "held": False}))


@pytest.mark.parametrize("fault", [forgets_positives, takes_the_last_result, asks_only_the_unit])
def test_a_planted_fault_in_the_hold_lets_something_out_and_is_seen(walk, monkeypatch, fault):
    fault(monkeypatch)
    donor = turns_positive(walk)
    walk.do(RecordTest(donor=donor, result="negative", taken_on=walk.at.date(), **TEST))
    assert 2 == len(at_large(walk, donor))


def test_the_register_of_donors_carries_the_reason(walk):
    donor = turns_positive(walk)
    wanted = f"its donor was positive for Babesia gibsoni by PCR, sample of {walk.at:%d %b %Y}"
    assert wanted == DonorRow.objects.get(donor=donor).held
