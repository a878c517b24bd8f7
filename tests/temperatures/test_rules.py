"""Alarms from opening to closing: one a cause, and no unit forgotten."""

from datetime import timedelta

import pytest

from buffycoat.journal.facts import Refused
from buffycoat.problems.rules import DISCARDED, NOTHING_WRONG, OfDonation, why_held
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import DiscardUnit, PutAway
from buffycoat.temperatures.alarms import Stays, Temperatures, due_to_tell
from buffycoat.temperatures.bands import COLD, SILENT, WARM
from buffycoat.temperatures.facts import AlarmOpened, ExposureJudged
from buffycoat.temperatures.judging import DISCARD, KEEP, USE_FIRST
from buffycoat.temperatures.rules import (
    AcknowledgeAlarm,
    EndAlarm,
    JudgeExposed,
    OpenAlarm,
    ReadTemperature,
    SealedDay,
    SealTemperatures,
    TellAlarm,
    Verdict,
)
from tests.walk import pure_walk, unknown


@pytest.fixture
def walk():
    return pure_walk()


def fridge_with_cells(walk):
    """A donation on the shelf; the fridge, and the unit of red cells in it."""
    donation = walk.on_the_shelf("dog")
    return donation, walk.made["fridge"], walk.units(donation)["red-cells"]


def opened(walk, place, *units, minutes=42, ended=False, cause=WARM, extreme=800):
    """An alarm for a time outside that began some minutes ago."""
    since = walk.at
    walk.wait(minutes=minutes)
    command = OpenAlarm(
        place=place,
        cause=cause,
        since=since,
        ended_at=walk.at if ended else None,
        extreme_centi_c=extreme,
        units=units,
    )
    return walk.do(command).the(AlarmOpened).alarm


def of(walk, place):
    return walk.look(Temperatures, place)


def judge(walk, place, alarm, unit, verdict, why=""):
    return JudgeExposed(
        place=place, alarm=alarm, verdicts=(Verdict(unit=unit, verdict=verdict),), judged_by="kim", why=why
    )


def test_a_unit_inside_waits_from_the_alarm_to_the_decision_and_the_alarm_then_closes(walk):
    donation, fridge, unit = fridge_with_cells(walk)
    alarm = opened(walk, fridge, unit)
    assert [f"Too warm or too long out: Too warm in Fridge 1, alarm {alarm}"] == list(
        why_held(walk.look, donation, "red-cells")
    )
    assert [] == list(why_held(walk.look, donation, "plasma"))
    walk.do(AcknowledgeAlarm(place=fridge, alarm=alarm, note="The door stood open."))
    walk.do(EndAlarm(place=fridge, alarm=alarm, ended_at=walk.at, extreme_centi_c=850))
    assert of(walk, fridge).alarms[alarm].closed_at is None
    done = walk.do(judge(walk, fridge, alarm, unit, KEEP))
    judged = done.the(ExposureJudged)
    assert (44, KEEP, KEEP, "kim") == (judged.minutes, judged.verdict, judged.rule, judged.judged_by)
    assert [] == list(why_held(walk.look, donation, "red-cells"))
    (problem,) = walk.look(OfDonation, donation).known.values()
    assert NOTHING_WRONG == problem.settled.outcome
    assert of(walk, fridge).alarms[alarm].closed_at is not None
    assert 850 == of(walk, fridge).alarms[alarm].extreme_centi_c


def test_a_unit_that_is_discarded_leaves_the_stock_in_the_same_step(walk):
    donation, fridge, unit = fridge_with_cells(walk)
    alarm = opened(walk, fridge, unit, ended=True, extreme=1_250)
    assert [] == walk.why_not(judge(walk, fridge, alarm, unit, DISCARD))
    walk.do(judge(walk, fridge, alarm, unit, DISCARD))
    assert "red-cells" in walk.look(Stays, donation).gone
    (problem,) = walk.look(OfDonation, donation).known.values()
    assert DISCARDED == problem.settled.outcome


def test_what_is_gone_already_is_not_discarded_twice(walk):
    donation, fridge, unit = fridge_with_cells(walk)
    alarm = opened(walk, fridge, unit, ended=True)
    walk.do(DiscardUnit(unit=unit, reason="Broken."))
    done = walk.do(judge(walk, fridge, alarm, unit, DISCARD))
    assert ["exposure-judged", "problem-settled"] == [line.fact.kind for line in done.lines]
    assert "red-cells" in walk.look(Stays, donation).gone


@pytest.mark.parametrize("verdict", [KEEP, USE_FIRST])
def test_to_be_milder_than_the_rule_needs_a_reason(walk, verdict):
    _, fridge, unit = fridge_with_cells(walk)
    alarm = opened(walk, fridge, unit, ended=True, extreme=1_250)
    (reason,) = walk.why_not(judge(walk, fridge, alarm, unit, verdict))
    assert "for it was warmer than 10 °C. To keep it, say why and on whose word." in reason
    assert [] == walk.why_not(
        judge(walk, fridge, alarm, unit, verdict, why="Its core was 6 °C: veterinarian.")
    )


def test_to_be_stricter_than_the_rule_needs_none(walk):
    _, fridge, unit = fridge_with_cells(walk)
    alarm = opened(walk, fridge, unit, ended=True)
    assert [] == walk.why_not(judge(walk, fridge, alarm, unit, DISCARD))


def test_a_second_alarm_makes_the_rule_say_discard(walk):
    _, fridge, unit = fridge_with_cells(walk)
    first = opened(walk, fridge, unit, ended=True)
    walk.do(judge(walk, fridge, first, unit, KEEP))
    second = opened(walk, fridge, unit, ended=True)
    assert first != second
    (reason,) = walk.why_not(judge(walk, fridge, second, unit, KEEP))
    assert "it was out of its range before, and once is the most" in reason


def test_only_the_time_that_a_unit_was_inside_counts(walk):
    donation, fridge, unit = fridge_with_cells(walk)
    other = walk.do(OpenPlace(name="Fridge 2", appliance="fridge")).the(PlaceOpened).place
    since = walk.at
    walk.do(PutAway(unit=unit, place=other, looks_well=True), at=since + timedelta(minutes=12))
    walk.at = since + timedelta(minutes=60)
    walk.do(
        OpenAlarm(place=fridge, cause=WARM, since=since, ended_at=walk.at, extreme_centi_c=800, units=(unit,))
    )
    (alarm,) = of(walk, fridge).alarms.values()
    assert 12 == walk.look(Stays, donation).minutes(unit, alarm)


def test_one_alarm_a_cause_a_second_time_outside_joins_it_and_asks_for_a_person_again(walk):
    _, fridge, unit = fridge_with_cells(walk)
    alarm = opened(walk, fridge, unit, ended=True)
    walk.do(AcknowledgeAlarm(place=fridge, alarm=alarm, note="Looked at it."))
    walk.wait(minutes=30)
    assert alarm == opened(walk, fridge, unit, minutes=40)
    (found,) = of(walk, fridge).alarms.values()
    assert 2 == len(found.spans)
    assert (unit,) == found.units
    assert found.acknowledged is None
    assert [f"Alarm {alarm} is open for this already."] == walk.why_not(
        OpenAlarm(place=fridge, cause=WARM, since=walk.at)
    )


def test_a_time_outside_that_is_heard_of_late_joins_the_alarm_that_goes_on(walk):
    _, fridge, unit = fridge_with_cells(walk)
    early = walk.at
    walk.wait(hours=5)
    alarm = opened(walk, fridge)
    late = OpenAlarm(
        place=fridge,
        cause=WARM,
        since=early,
        ended_at=early + timedelta(hours=1),
        extreme_centi_c=900,
        units=(unit,),
    )
    walk.do(late)
    found = of(walk, fridge).alarms[alarm]
    assert (early, None, (unit,)) == (found.since, found.ended_at, found.units)


def test_each_cause_has_an_alarm_of_its_own(walk):
    _, fridge, _ = fridge_with_cells(walk)
    numbers = {opened(walk, fridge, cause=cause) for cause in (WARM, COLD, SILENT)}
    assert 3 == len(numbers)


def test_an_alarm_without_units_closes_when_it_is_over_and_somebody_has_taken_it(walk):
    _, fridge, _ = fridge_with_cells(walk)
    alarm = opened(walk, fridge, cause=SILENT, extreme=None)
    walk.do(EndAlarm(place=fridge, alarm=alarm, ended_at=walk.at))
    assert of(walk, fridge).alarms[alarm].closed_at is None
    walk.do(AcknowledgeAlarm(place=fridge, alarm=alarm, note="New battery."))
    assert of(walk, fridge).alarms[alarm].closed_at is not None
    assert [f"Alarm {alarm} is closed."] == walk.why_not(TellAlarm(place=fridge, alarm=alarm, people=1))


def test_every_reason_against_a_decision_is_told_at_once(walk):
    _, fridge, unit = fridge_with_cells(walk)
    alarm = opened(walk, fridge, unit)
    verdicts = (Verdict(unit=unit, verdict="eat"), Verdict(unit=unknown("U"), verdict=KEEP))
    reasons = walk.why_not(JudgeExposed(place=fridge, alarm=alarm, verdicts=verdicts, judged_by=" "))
    said = (
        "The place is not back",
        "Say who decides.",
        "choose keep, use first, discard",
        "was not in there",
    )
    assert len(said) == len(reasons)
    assert all(words in reason for words, reason in zip(said, reasons, strict=True))


def test_a_decision_is_taken_once(walk):
    _, fridge, unit = fridge_with_cells(walk)
    cells = walk.on_the_shelf("dog")
    other = walk.units(cells)["red-cells"]
    alarm = opened(walk, fridge, unit, other, ended=True)
    walk.do(judge(walk, fridge, alarm, unit, KEEP))
    assert any(
        "kim has decided on" in reason for reason in walk.why_not(judge(walk, fridge, alarm, unit, KEEP))
    )


REFUSED = {
    "no such place": (
        lambda place, at: OpenAlarm(place=unknown("P"), cause=WARM, since=at),
        "No place has the number",
    ),
    "no such cause": (
        lambda place, at: OpenAlarm(place=place, cause="wet", since=at),
        "An alarm is one of warm, cold",
    ),
    "no such alarm": (lambda place, at: EndAlarm(place=place, alarm=7, ended_at=at), "has no alarm 7."),
    "no note": (lambda place, at: AcknowledgeAlarm(place=place, alarm=7, note=" "), "Say what you found"),
    "nobody told": (lambda place, at: TellAlarm(place=place, alarm=7, people=0), "Nobody was told."),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_is_refused(walk, case):
    make, sentence = REFUSED[case]
    command = make(walk.a_place("fridge"), walk.at)
    assert any(sentence in reason for reason in walk.why_not(command))


def test_it_begins_before_now_and_ends_after_it_began(walk):
    fridge = walk.a_place("fridge")
    later = walk.at + timedelta(hours=1)
    assert ["It cannot have begun later than now."] == walk.why_not(
        OpenAlarm(place=fridge, cause=WARM, since=later)
    )
    backwards = OpenAlarm(place=fridge, cause=WARM, since=walk.at, ended_at=walk.at - timedelta(minutes=1))
    assert ["It cannot end before it began."] == walk.why_not(backwards)


def test_it_is_told_once_after_the_sites_time_and_not_if_somebody_has_taken_it(walk):
    _, fridge, _ = fridge_with_cells(walk)
    alarm = opened(walk, fridge)
    after = timedelta(minutes=15)

    def due(minutes):
        found = of(walk, fridge).alarms[alarm]
        return due_to_tell(found, after, found.opened_at + timedelta(minutes=minutes))

    assert (False, True) == (due(14), due(15))
    walk.do(TellAlarm(place=fridge, alarm=alarm, people=2))
    assert not due(15)
    walk.do(EndAlarm(place=fridge, alarm=alarm, ended_at=walk.at, extreme_centi_c=700))
    walk.wait(minutes=5)
    opened(walk, fridge)
    assert due(60), "outside once more, it is told once more"
    walk.do(AcknowledgeAlarm(place=fridge, alarm=alarm, note="Here."))
    assert not due(60)


READ = {
    "fits": ((420, 300, 550), []),
    "now above most": ((600, 300, 550), ["Now lies between least and most"]),
    "now below least": ((200, 300, 550), ["Now lies between least and most"]),
    "cannot be": ((420, -20_000, 7_000), ["-200 °C cannot be", "70 °C cannot be"]),
}


@pytest.mark.parametrize("case", READ)
def test_a_thermometer_read_by_hand_says_what_can_be(walk, case):
    (now, least, most), sentences = READ[case]
    command = ReadTemperature(
        place=walk.a_place("fridge"), now_centi_c=now, least_centi_c=least, most_centi_c=most
    )
    reasons = walk.why_not(command)
    assert len(sentences) == len(reasons)
    assert all(sentence in reason for sentence, reason in zip(sentences, reasons, strict=True))


def test_a_reading_by_hand_comes_after_the_one_before(walk):
    command = ReadTemperature(
        place=walk.a_place("fridge"), now_centi_c=400, least_centi_c=300, most_centi_c=500
    )
    at = walk.at
    walk.do(command)
    assert ["It was read after that already: give the time of this reading."] == walk.why_not(command, at=at)
    assert [] == walk.why_not(command)


def sealed(walk, readings, days_ago=1):
    return SealedDay(
        day=(walk.at - timedelta(days=days_ago)).date(),
        readings=readings,
        least_centi_c=300,
        most_centi_c=500,
        kinetic_centi_c=None,
        silences=0,
        excursions=0,
        sha256="0" * 64,
    )


def test_a_day_is_sealed_again_with_more_readings_and_never_with_fewer(walk):
    fridge = walk.a_place("fridge")
    walk.do(SealTemperatures(place=fridge, days=(sealed(walk, 5),)))
    walk.do(SealTemperatures(place=fridge, days=(sealed(walk, 6),)))
    with pytest.raises(Refused, match=r"was sealed with 6 readings and now has 5: some were taken away"):
        walk.do(SealTemperatures(place=fridge, days=(sealed(walk, 5),)))
    assert [6] == [each.readings for each in of(walk, fridge).sealed.values()]


def test_a_day_that_is_not_over_is_not_sealed(walk):
    fridge = walk.a_place("fridge")
    (reason,) = walk.why_not(SealTemperatures(place=fridge, days=(sealed(walk, 5, days_ago=0),)))
    assert reason.endswith("is not over yet in UTC.")
