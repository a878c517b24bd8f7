"""Readings come in once, are never changed, and each day of them is sealed into the book."""

import io
from datetime import UTC, datetime, timedelta

import pytest
from django.core import serializers

from buffycoat.journal.book import Book
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.registers import rebuild
from buffycoat.keeping.ordinary import write_ordinary
from buffycoat.site.rules import limits
from buffycoat.temperatures.alarms import temperatures
from buffycoat.temperatures.keeping_readings import add, load, readings_of, tampered
from buffycoat.temperatures.models import LOGGER, SENSOR, AlarmRow, DayOfReadings, StayRow, Thermometer
from buffycoat.temperatures.sealing import seal_days
from buffycoat.temperatures.series import packed, series_of
from buffycoat.temperatures.watching import look_at, look_at_all, silent_since
from tests.temperatures.bank import MIDNIGHT, NOW, PAST, WARM_HOUR, a_thermometer, run, told

pytestmark = pytest.mark.django_db


@pytest.fixture
def fridge(walk):
    return walk.a_place("fridge")


@pytest.fixture
def door(fridge):
    return a_thermometer(fridge)


def test_what_comes_in_twice_is_there_once(door):
    first, again = add(door, run(*WARM_HOUR)), add(door, run(*WARM_HOUR[5:], every_min=10))
    assert (10, 0, 0, 5) == (first.new, first.known, again.new, again.known)
    assert 10 == len(load(door, NOW - timedelta(days=1), NOW).times)


def test_another_temperature_at_a_moment_that_has_one_is_refused_and_nothing_is_taken(door):
    add(door, run(4, 4))
    with pytest.raises(
        Refused, match=r"there are two temperatures: 4 and 5 °C\. One of them is there already"
    ):
        add(door, run(4, 4, 5))
    assert 2 == sum(DayOfReadings.objects.values_list("readings", flat=True))


def test_a_reading_of_a_time_to_come_is_refused(door):
    with pytest.raises(Refused, match="that is still to come: set the clock of the thermometer"):
        add(door, run(4, 4, end=NOW + timedelta(days=1)))
    assert not DayOfReadings.objects.exists()


def test_readings_over_midnight_stand_in_two_days_and_are_found_whole(door):
    add(door, run(*WARM_HOUR, end=MIDNIGHT - timedelta(hours=24) + timedelta(minutes=45)))
    assert [5, 5] == list(DayOfReadings.objects.values_list("readings", flat=True))
    assert 10 == len(load(door, MIDNIGHT - timedelta(days=2), MIDNIGHT).times)


def sealed_of(place):
    return temperatures(Book(), place).sealed


def test_each_day_that_is_over_is_sealed_once(fridge, door):
    told(door, *WARM_HOUR, end=PAST)
    assert 1 == seal_days()
    assert 0 == seal_days()
    (seal,) = sealed_of(fridge).values()
    assert (10, 400, 900, 1) == (seal.readings, seal.least_centi_c, seal.most_centi_c, seal.excursions)
    assert [] == tampered(fridge)


def test_a_day_is_sealed_when_it_is_over_in_utc_and_an_hour_has_gone(door):
    told(door, *WARM_HOUR, end=PAST)
    over = MIDNIGHT - timedelta(days=1)
    assert 0 == seal_days(over + timedelta(minutes=59))
    assert 1 == seal_days(over + timedelta(hours=1))


def test_readings_that_come_late_are_sealed_anew(fridge, door):
    told(door, *WARM_HOUR, end=PAST)
    seal_days()
    told(door, 4, 4, end=PAST - timedelta(hours=3))
    assert [] == tampered(fridge), "a day that waits for its next seal is no fault"
    seal_days()
    assert [12] == [seal.readings for seal in sealed_of(fridge).values()]
    assert 2 == Entry.objects.filter(kind="temperatures-sealed").count()


PLANTED = {
    "changed": lambda row: packed(series_of(_pairs(row, change=True))),
    "taken away": lambda row: packed(series_of(_pairs(row)[1:])),
}


def _pairs(row, *, change=False):
    series = readings_of(row)
    pairs = [
        (datetime.fromtimestamp(at, UTC), value)
        for at, value in zip(series.times.tolist(), series.centi_c.tolist(), strict=True)
    ]
    return [(at, value + (1 if change and number == 3 else 0)) for number, (at, value) in enumerate(pairs)]


@pytest.mark.parametrize("fault", PLANTED)
def test_a_reading_changed_past_the_program_is_found_and_nothing_more_is_added_to_that_day(
    fridge, door, fault
):
    told(door, *WARM_HOUR, end=PAST)
    seal_days()
    row = DayOfReadings.objects.get()
    row.data = PLANTED[fault](row)
    row.save()
    assert [row.day] == tampered(fridge)
    row.readings = len(_pairs(row))
    row.save()
    with pytest.raises(
        Refused, match="are not those that were sealed: somebody changed them past this program"
    ):
        told(door, 4, end=PAST - timedelta(hours=3))


def test_a_day_that_lost_readings_is_not_sealed_again(door):
    told(door, *WARM_HOUR, end=PAST)
    seal_days()
    row = DayOfReadings.objects.get()
    row.data, row.sealed = PLANTED["taken away"](row), False
    row.save()
    with pytest.raises(Refused, match="some were taken away"):
        seal_days()


def test_an_alarm_opens_when_the_band_is_left_for_longer_than_the_sites_delay(fridge, door):
    told(door, 4, 7, 7, 7, 7)  # 30 min: not longer than 30
    assert not AlarmRow.objects.exists()
    told(door, 7, end=NOW + timedelta(minutes=1))
    row = AlarmRow.objects.get()
    assert ("warm", 700, None) == (row.cause, row.extreme_centi_c, row.ended_at)
    assert NOW - timedelta(minutes=30) == row.since
    told(door, 8, end=NOW + timedelta(minutes=2))
    told(door, 4, end=NOW + timedelta(minutes=3))
    row = AlarmRow.objects.get()
    assert (800, NOW + timedelta(minutes=3)) == (row.extreme_centi_c, row.ended_at)
    look_at_all()
    assert 2 == Entry.objects.filter(kind__startswith="temperature-alarm").count(), "and no more is said"


def test_a_short_time_outside_opens_none(door):
    told(door, 4, 9, 9, 4)
    assert not AlarmRow.objects.exists()


def test_a_week_read_out_at_once_opens_one_alarm_for_all_its_warm_hours(fridge, door):
    told(door, *(WARM_HOUR * 5), end=NOW)
    (alarm,) = temperatures(Book(), fridge).alarms.values()
    assert 5 == len(alarm.spans)
    assert alarm.ended_at is not None
    assert 1 == AlarmRow.objects.count()


def test_who_was_inside_waits_and_who_was_not_does_not(walk):
    inside = walk.on_the_shelf("dog")
    door = a_thermometer(walk.made["fridge"])
    told(door, *WARM_HOUR, end=walk.at + timedelta(minutes=100))
    later = walk.labelled("cat")
    walk.at = NOW
    walk.put_away(later)
    row = AlarmRow.objects.get()
    assert (1, 1) == (row.units, row.to_judge)
    (alarm,) = temperatures(Book(), walk.made["fridge"]).alarms.values()
    assert (walk.units(inside)["red-cells"],) == alarm.units
    assert 4 == StayRow.objects.count()


def test_who_is_put_in_while_it_goes_on_waits_from_its_end(walk):
    first = walk.on_the_shelf("dog")
    fridge, begin = walk.made["fridge"], walk.at
    door = a_thermometer(fridge)
    told(door, 4, 8, 8, 8, 8, 8, end=begin + timedelta(minutes=60))
    walk.at = begin + timedelta(minutes=61)
    second = walk.on_the_shelf("cat")
    told(door, 4, end=walk.at + timedelta(minutes=10))
    (alarm,) = temperatures(Book(), fridge).alarms.values()
    assert [walk.units(first)["red-cells"], walk.units(second)["red-cells"]] == list(alarm.units)


SILENT_AFTER = {SENSOR: timedelta(minutes=60), LOGGER: timedelta(days=7)}


@pytest.mark.parametrize("kind", SILENT_AFTER)
def test_a_thermometer_that_says_nothing_for_longer_than_the_sites_time_opens_an_alarm(fridge, kind):
    longest, now = SILENT_AFTER[kind], datetime.now(UTC).replace(microsecond=0)
    door = a_thermometer(fridge, kind=kind)
    add(door, run(4, 4, end=now - longest))
    look_at(fridge, now)
    assert not AlarmRow.objects.exists()
    look_at(fridge, now + timedelta(seconds=1))
    look_at(fridge, now + timedelta(seconds=1))
    assert ["silent"] == [row.cause for row in AlarmRow.objects.all()]
    told(door, 4, end=datetime.now(UTC))
    assert AlarmRow.objects.get().ended_at is not None


def test_a_place_that_was_never_measured_is_not_silent_and_one_out_of_use_neither(fridge, door):
    later, site = NOW + timedelta(days=9), limits(Book())
    assert silent_since(fridge, later, site) is None
    told(door, 4)
    assert NOW == silent_since(fridge, later, site)
    Thermometer.objects.update(in_use=False)
    assert silent_since(fridge, later, site) is None


def test_registers_made_again_are_equal_and_readings_stay(walk, fridge, door):
    walk.on_the_shelf("dog")
    told(door, *WARM_HOUR)
    before = [list(model.objects.values_list()) for model in (AlarmRow, StayRow, DayOfReadings, Thermometer)]
    assert before[0]
    rebuild(check=True)
    rebuild()
    assert before == [
        list(model.objects.values_list()) for model in (AlarmRow, StayRow, DayOfReadings, Thermometer)
    ]


def test_a_copy_of_the_bank_holds_the_readings_to_the_bit(door):
    told(door, *WARM_HOUR)
    written = io.StringIO()
    write_ordinary(written)
    before = list(DayOfReadings.objects.values_list())
    DayOfReadings.objects.all().delete()
    Thermometer.objects.all().delete()
    rows = serializers.deserialize("jsonl", written.getvalue())
    for row in rows:
        if isinstance(row.object, Thermometer | DayOfReadings):
            row.save()
    again = list(DayOfReadings.objects.values_list())
    assert [(*row[:4], bytes(row[4]), row[5]) for row in before] == [
        (*row[:4], bytes(row[4]), row[5]) for row in again
    ]
