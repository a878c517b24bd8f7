"""The demo is a believable bank: made by the rules, whole, full, and with everything that can go wrong in it."""

import os
import subprocess
import sys
from collections import Counter
from datetime import UTC, datetime, timedelta

import pytest

from buffycoat.donors.rules import DonorExamined, DonorGave
from buffycoat.draws.bag_sets import BagSetLotReceived
from buffycoat.draws.rules import LOW, OVER, DonationDiscarded, DrawFinished, DrawStarted
from buffycoat.journal.facts import EntryStruck, Fact
from buffycoat.labels.products import CRYO, CRYO_POOR, PRODUCTS, THAWED
from buffycoat.labels.rules import LabelPrinted
from buffycoat.problems.rules import ProblemReported, ProblemSettled
from buffycoat.separation.rules import AdditiveLost, ClotsLookedFor, KeptWhole, PlasmaExpressed
from buffycoat.spins.rules import LEAKED, POOR, WELL, BagSpun, SpinStarted
from buffycoat.storage.rules import STOP, WAITING, UnitDiscarded, UnitPutAway
from buffycoat.temperatures.facts import (
    AlarmAcknowledged,
    AlarmEnded,
    AlarmOpened,
    TemperaturesSealed,
    UnitExposed,
)
from tests.demo.told import UNTIL, Told, tell, told

pytestmark = pytest.mark.django_db

OTHER_ENDS = {
    "the night the clocks go forward": datetime(2025, 3, 30, 1, 20, tzinfo=UTC),
    "the night the clocks go back": datetime(2024, 10, 27, 1, 5, tzinfo=UTC),
    "the first minute of 1 March of a leap year": datetime(2024, 3, 1, tzinfo=UTC),
}
IN_HAND = Counter(
    {
        "Draw running": 1,
        "Waits for the spin": 2,
        "In the centrifuge": 2,
        "Press off the plasma": 1,
        "Add the additive": 1,
        "Scan the label back": 1,
    }
)
LEAST_ON_SHELVES = {
    "whole-blood": 2,
    "red-cells": 3,
    "red-cells-additive": 6,
    "fresh-frozen-plasma": 25,
    "frozen-plasma": 3,
}


def donations(bank: Told) -> list[list[Fact]]:
    """The standing facts of each donation."""
    return [bank.of(f"donation/{started.donation}") for started in bank.facts(DrawStarted)]


def kinds_of(donation: list[Fact]) -> set[type[Fact]]:
    return {type(fact) for fact in donation}


def test_the_journal_holds_and_the_registers_say_what_it_says():
    bank = told(UNTIL)
    assert bank.verdict.wrong is None
    assert len(bank.lines) == bank.verdict.entries
    assert len({line.stream for line in bank.lines}) == bank.streams_rebuilt


def test_it_covers_three_months_and_nothing_is_of_the_future():
    moments = [line.happened_at for line in told(UNTIL).lines]
    assert timedelta(days=90) < max(moments) - min(moments) < timedelta(days=110)
    assert UNTIL >= max(moments)


def test_there_are_some_forty_donors_with_owners_outside_the_journal():
    bank = told(UNTIL)
    assert {"dog": 28, "cat": 12} == Counter(donor.species for donor in bank.donors)
    assert {donor.donor for donor in bank.donors} == {contact.donor for contact in bank.contacts}
    written = " ".join(str(line.fact) for line in bank.lines)
    assert [] == [contact.name for contact in bank.contacts if contact.name in written]


def test_blood_types_have_the_published_proportions():
    types = Counter(donor.blood_type for donor in told(UNTIL).donors)
    assert pytest.approx(0.6, abs=0.05) == types["DEA 1 positive"] / 28
    assert (9, 2, 1) == (types["A"], types["B"], types["AB"])


def test_everything_is_marked_as_invented():
    bank = told(UNTIL)
    assert bank.site.text("site_name").endswith("(invented)")
    assert all(contact.email.endswith("@example.org") for contact in bank.contacts)
    assert all(contact.phone.startswith("01632 960") for contact in bank.contacts)


def test_the_shelves_are_full_of_each_product_that_a_separation_gives():
    on_shelves = Counter(unit.product.key for unit in told(UNTIL).shelves)
    assert set(PRODUCTS) - {CRYO, CRYO_POOR, *THAWED.values()} == set(on_shelves)
    assert {} == {key: on_shelves[key] for key, least in LEAST_ON_SHELVES.items() if on_shelves[key] < least}


def test_nothing_expired_stands_on_a_shelf():
    assert [] == [unit for unit in told(UNTIL).shelves if unit.status == STOP]


def test_every_expired_unit_was_discarded_with_a_reason_on_the_day_after_its_last():
    bank = told(UNTIL)
    expired = {unit.unit: unit.expires_at for unit in bank.units if unit.expires_at < UNTIL}
    gone_at = {
        line.fact.unit: line.happened_at for line in bank.standing if isinstance(line.fact, UnitDiscarded)
    }
    assert set(expired) == set(gone_at)
    assert len(expired) > 10
    assert all(timedelta(0) < gone_at[unit] - expired[unit] < timedelta(hours=10) for unit in expired)
    assert all(fact.reason.startswith("Expired") for fact in bank.facts(UnitDiscarded))


def test_one_lot_of_bag_sets_has_expired_and_was_used_only_before():
    bank = told(UNTIL)
    lots = bank.facts(BagSetLotReceived)
    (expired,) = [lot for lot in lots if lot.expires_on < UNTIL.date()]
    used_on = [
        line.happened_at.date()
        for line in bank.standing
        if isinstance(line.fact, DrawStarted) and line.fact.lot == expired.lot
    ]
    assert used_on
    assert expired.expires_on >= max(used_on)
    assert {lot.lot for lot in lots} == {started.lot for started in bank.facts(DrawStarted)}


def test_most_draws_are_good_and_three_or_four_fall_on_a_week():
    finished = told(UNTIL).facts(DrawFinished)
    assert len([each for each in finished if not each.because]) > 0.9 * len(finished)
    before_the_last_day = [
        line.happened_at
        for line in told(UNTIL).standing
        if isinstance(line.fact, DrawStarted) and line.happened_at < UNTIL - timedelta(hours=12)
    ]
    a_week = Counter(moment.isocalendar()[:2] for moment in before_the_last_day)
    assert {3, 4} == set(a_week.values())


def test_a_low_volume_gives_red_cells_only_and_says_so():
    bank = told(UNTIL)
    (low,) = [fact for fact in bank.facts(DrawFinished) if fact.filling == LOW]
    assert not low.gives_plasma
    assert ["red-cells"] == [label.part for label in bank.facts(LabelPrinted) if label.low_volume]


def test_a_slow_draw_gives_no_plasma():
    (slow,) = [each for each in donations(told(UNTIL)) if any("took" in str(fact) for fact in each)]
    assert {"red-cells"} == {fact.part for fact in slow if isinstance(fact, LabelPrinted)}


def test_an_over_filled_bag_is_discarded_before_any_spin():
    bank = told(UNTIL)
    (over,) = [
        each
        for each in donations(bank)
        if any(isinstance(fact, DrawFinished) and fact.filling == OVER for fact in each)
    ]
    assert {DrawStarted, DrawFinished, DonationDiscarded} == kinds_of(over)


def test_a_clot_and_a_leak_in_the_spin_each_discard_a_donation():
    discarded = [each for each in donations(told(UNTIL)) if DonationDiscarded in kinds_of(each)]
    clotted = [each for each in discarded if any(getattr(fact, "clots", False) for fact in each)]
    leaked = [each for each in discarded if any(getattr(fact, "outcome", "") == LEAKED for fact in each)]
    assert (3, 1, 1) == (len(discarded), len(clotted), len(leaked))
    assert ClotsLookedFor in kinds_of(clotted[0])


def test_a_poor_spin_was_repeated():
    outcomes = [
        [fact.outcome for fact in each if isinstance(fact, BagSpun)] for each in donations(told(UNTIL))
    ]
    assert [[POOR, WELL]] == [each for each in outcomes if POOR in each]


def test_a_lost_additive_leaves_the_red_cells_the_shorter_date():
    (lost,) = [each for each in donations(told(UNTIL)) if AdditiveLost in kinds_of(each)]
    assert "red-cells" in {fact.product for fact in lost if isinstance(fact, LabelPrinted)}


def test_plasma_late_for_the_freezer_was_labelled_again_as_frozen_plasma():
    bank = told(UNTIL)
    again = [label for label in bank.facts(LabelPrinted) if label.copy == 2]
    assert ["frozen-plasma"] * 3 == [label.product for label in again]
    first = [label for label in bank.facts(LabelPrinted) if label.unit in {each.unit for each in again}]
    assert 3 == len([label for label in first if label.product == "fresh-frozen-plasma"])
    assert {label.unit for label in again} <= {fact.unit for fact in bank.facts(UnitPutAway)}


def test_a_mistaken_weight_was_struck_with_its_reason_and_written_again():
    bank = told(UNTIL)
    (strike,) = [line for line in bank.lines if isinstance(line.fact, EntryStruck)]
    wrong = bank.lines[strike.fact.struck_number - 1].fact
    right = [fact for fact in bank.of(strike.stream) if isinstance(fact, PlasmaExpressed)]
    assert isinstance(wrong, PlasmaExpressed)
    assert 1 == len(right)
    assert f"{right[0].plasma_g} g, not {wrong.plasma_g} g" in strike.fact.reason


def test_one_problem_was_settled_by_somebody_else_and_one_holds_its_unit():
    bank = told(UNTIL)
    exposed = {fact.problem: fact.unit for fact in bank.facts(UnitExposed)}
    first, second = (fact for fact in bank.facts(ProblemReported) if fact.problem not in exposed)
    (settled,) = bank.facts(ProblemSettled)
    assert (first.problem, False) == (settled.problem, settled.alone)
    waiting = {unit.row.unit for unit in bank.shelves if unit.status == WAITING}
    assert {second.about, *exposed.values()} == waiting
    assert all("(invented)" in words for words in (first.words, second.words, settled.why))


def test_a_fridge_was_warm_and_its_units_wait_for_whoever_takes_the_alarm():
    bank = told(UNTIL)
    (opened,), (ended,) = bank.facts(AlarmOpened), bank.facts(AlarmEnded)
    assert opened.units
    assert opened.alarm == ended.alarm
    assert 600 < ended.extreme_centi_c <= 1_000
    assert not bank.facts(AlarmAcknowledged)
    assert {4} == {
        len([fact for fact in bank.facts(TemperaturesSealed) if fact.day == day]) for day in _days(bank)
    }


def _days(bank):
    return {fact.day for fact in bank.facts(TemperaturesSealed)}


@pytest.mark.parametrize("name", ["Pickle", "Thimble"])
def test_a_refused_draw_leaves_nothing(name):
    bank = told(UNTIL)
    donor = bank.donor(name)
    facts = bank.of(f"donor/{donor.donor}")
    examined = [fact for fact in facts if isinstance(fact, DonorExamined)]
    least_g = bank.site.whole(f"{donor.species}_least_weight_g")
    least_pcv = bank.site.whole(f"{donor.species}_least_pcv_permille")
    assert any(each.weight_g < least_g or each.pcv_permille < least_pcv for each in examined)
    assert DonorGave not in kinds_of(facts)
    assert donor.donor not in {started.donor for started in bank.facts(DrawStarted)}


def test_blood_of_some_cats_and_once_of_a_dog_is_kept_whole():
    whole = [each for each in donations(told(UNTIL)) if KeptWhole in kinds_of(each)]
    species = Counter(fact.species for each in whole for fact in each if isinstance(fact, DrawStarted))
    assert {"cat": 7, "dog": 1} == species


def test_both_centrifuges_and_all_places_are_in_use():
    bank = told(UNTIL)
    assert 2 == len({spin.rotor for spin in bank.facts(SpinStarted)})
    assert {"Fridge dogs", "Fridge cats", "Freezer dogs", "Freezer cats"} == {
        unit.place for unit in bank.shelves
    }


@pytest.mark.one_database
@pytest.mark.parametrize("until", [UNTIL, *OTHER_ENDS.values()], ids=["an afternoon", *OTHER_ENDS])
def test_whenever_it_ends_the_book_holds_and_a_bag_waits_at_each_step(until):
    bank = told(until)
    assert bank.verdict.wrong is None
    assert IN_HAND == bank.steps
    assert until >= max(line.happened_at for line in bank.lines)
    assert [] == [unit.status for unit in bank.shelves if unit.status == STOP]
    on_shelves = Counter(unit.product.key for unit in bank.shelves)
    assert {} == {key: on_shelves[key] for key, least in LEAST_ON_SHELVES.items() if on_shelves[key] < least}
    today = until.astimezone(bank.site.zone).date()
    ready = bank.donor("Sorrel")
    assert today == ready.examined_at.astimezone(bank.site.zone).date()


@pytest.mark.one_database
def test_the_same_end_tells_the_same_story():
    first, second = (
        [
            (line.number, line.stream, line.version, line.fact, line.happened_at, line.by)
            for line in each.lines
        ]
        for each in (told(UNTIL), tell(UNTIL))
    )
    assert first == second


EMPTY_START = """
import argparse, sys
import django
django.setup()
from buffycoat.cli import bank
bank.serve = lambda asked: 0
bank.start(argparse.Namespace(empty=True, host="127.0.0.1", port=0))
print([name for name in sys.modules if name.startswith("buffycoat.demo")])
"""


def test_an_empty_bank_never_loads_the_demo(tmp_path):
    ours = {
        "BUFFYCOAT_DATA": str(tmp_path),
        "BUFFYCOAT_DATABASE": "",
        "DJANGO_SETTINGS_MODULE": "buffycoat.settings",
    }
    done = subprocess.run(
        [sys.executable, "-c", EMPTY_START],
        env={**os.environ, **ours},
        capture_output=True,
        text=True,
        check=True,
    )
    assert "[]" == done.stdout.splitlines()[-1]
