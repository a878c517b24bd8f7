"""The pages: an excursion from the alarm to the decision, files read in, readings sent by a sensor, read by hand."""

import json
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from buffycoat.journal.book import Book
from buffycoat.journal.models import Entry
from buffycoat.science.numbering import show_code
from buffycoat.storage.models import ShelfRow
from buffycoat.temperatures.alarms import temperatures
from buffycoat.temperatures.coming_in import PUSHES_A_MINUTE, declared_of
from buffycoat.temperatures.models import LOGGER, AlarmRow, DayOfReadings, Thermometer
from tests.pages import answer, fields, nothing_recorded, text
from tests.temperatures.bank import NOW, WARM_HOUR, a_thermometer, told
from tests.temperatures.test_logger_files import AMBIGUOUS
from tests.walk import unknown

pytestmark = pytest.mark.one_database


@pytest.fixture
def fridge(walk):
    """With a dog's red cells in it."""
    walk.on_the_shelf("dog")
    return walk.made["fridge"]


@pytest.fixture
def unit(fridge):
    return ShelfRow.objects.get(place_id=fridge).unit_id


@pytest.fixture
def alarm(fridge):
    told(a_thermometer(fridge), *WARM_HOUR)
    return AlarmRow.objects.get().alarm


def test_an_excursion_is_followed_from_today_to_the_last_decision(client, fridge, unit, alarm):
    today = client.get("/")
    assert reverse("alarm", args=[alarm]) in today.content.decode()
    assert f"Too warm in Fridge 1, alarm {alarm}" in text(today)
    page = client.get(reverse("alarm", args=[alarm]))
    assert "by nobody yet" in text(page)
    assert "9 °C" in text(page).replace("\u00a0", " ")
    answer(client, reverse("alarm", args=[alarm]), note="The door stood open.")
    decide = reverse("alarm-judge", args=[alarm])
    assert "Keep: not beyond 10 °C, 60 of at most 300 min, for the first time" in text(client.get(decide))
    assert "UK animal blood bank" in text(client.get(decide))
    done = answer(client, decide, **{unit: "keep"})
    assert reverse("alarm", args=[alarm]) == done.url
    page = text(client.get(done.url))
    assert "Keep, by robin" in page
    assert "closed" in page
    assert "Temperature alarms" not in text(client.get("/"))
    assert "" == ShelfRow.objects.get(pk=unit).held


def test_a_unit_that_is_discarded_leaves_the_stock_with_its_reason(client, unit, alarm):
    answer(client, reverse("alarm-judge", args=[alarm]), **{unit: "discard"}, why="Dark.")
    assert f"Out of its range. Discard after alarm {alarm}" in ShelfRow.objects.get(pk=unit).discarded
    assert "Out of its range" in text(client.get(reverse("unit", args=[unit])))


def test_a_unit_may_be_decided_later(client, unit, alarm):
    with nothing_recorded():
        page = answer(client, reverse("alarm-judge", args=[alarm]), **{unit: ""})
    assert "Decide for at least one unit." in text(page)


def test_milder_than_the_rule_is_refused_without_a_reason_and_taken_with_one(client, fridge, unit):
    told(a_thermometer(fridge), 4, 12, 12, 12, 12, 12, 4)
    number = AlarmRow.objects.get().alarm
    with nothing_recorded():
        page = answer(client, reverse("alarm-judge", args=[number]), **{unit: "keep"})
    assert f"rule says discard for {show_code(unit)}, for it was warmer than 10 °C." in text(page)
    answer(
        client,
        reverse("alarm-judge", args=[number]),
        **{unit: "use-first"},
        why="Core 6 °C: the veterinarian.",
    )
    assert "Use first, by robin: Core 6" in text(client.get(reverse("alarm", args=[number])))


def test_an_alarm_is_taken_with_a_note_and_once(client, alarm):
    address = reverse("alarm", args=[alarm])
    drawn = fields(client.get(address))
    with nothing_recorded():
        assert "What you found, and what you do is missing" in text(client.post(address, drawn))
    client.post(address, {**drawn, "note": "Mine."})
    other = {**drawn, "command_id": "0" * 32, "note": "Mine too."}
    with nothing_recorded():
        assert "robin was faster" in text(client.post(address, other))


def test_the_trace_says_band_excursion_pause_and_the_window_of_the_mean(client, fridge, alarm):
    told(Thermometer.objects.get(), 4, 4, end=NOW - timedelta(hours=5))
    page = text(client.get(reverse("temperature-trace", args=[fridge]))).replace("\u00a0", " ")
    assert "Fridge 1, 24 hours: 12 readings, outside 2 to 6 °C once for 1 h 00 min, 9 °C" in page
    assert "; once without a reading." in page
    assert "over these 24 hours" in page
    assert "over these 7 days" in text(client.get(reverse("temperature-trace", args=[fridge]) + "?days=7"))
    assert 200 == client.get(reverse("temperature-trace", args=[fridge]) + "?days=nine").status_code


def test_all_places_with_their_last_reading(client, fridge, alarm):
    told(Thermometer.objects.get(), 7, end=NOW + timedelta(minutes=1))
    page = text(client.get(reverse("temperatures")))
    assert "out of its range" in page
    assert "never measured" in page  # the freezer
    assert "it has never looked" in page


# Read by hand.


def test_a_door_is_scanned_and_its_thermometer_read(client, fridge):
    assert (
        reverse("temperature-read", args=[fridge])
        == answer(client, reverse("temperature-find"), place=fridge).url
    )
    done = answer(
        client,
        reverse("temperature-read", args=[fridge]),
        now_centi_c="4.2",
        least_centi_c="3",
        most_centi_c="5.5",
    )
    assert reverse("temperature-find") == done.url
    assert "Fridge 1: 4.2" in text(client.get(done.url))
    ((_, read),) = temperatures(Book(), fridge).read
    assert (420, 300, 550) == (read.now_centi_c, read.least_centi_c, read.most_centi_c)


def test_a_card_of_no_place_is_refused(client):
    page = answer(client, reverse("temperature-find"), place=unknown("P"))
    assert "No place has the number" in text(page)


def test_a_warm_most_read_by_hand_opens_an_alarm_at_once(client, fridge):
    page = reverse("temperature-read", args=[fridge])
    done = answer(client, page, now_centi_c="4", least_centi_c="3", most_centi_c="9")
    assert reverse("alarm", args=[AlarmRow.objects.get().alarm]) == done.url


# A logger's file.


def file(content, name="logger.csv"):
    return SimpleUploadedFile(name, content.encode())


@pytest.fixture
def logger(fridge):
    return a_thermometer(fridge, "Logger 7", LOGGER)


def test_an_ambiguous_file_is_refused_until_the_order_is_declared_and_then_it_is_kept(client, logger):
    address = reverse("thermometer-file", args=[logger.pk])
    page = client.post(address, {"file": file(AMBIGUOUS), "clock": "site"})
    assert "Say how it writes dates." in text(page)
    assert not DayOfReadings.objects.exists()
    done = client.post(address, {"file": file(AMBIGUOUS), "clock": "site", "dates": "dmy"})
    assert reverse("temperature-trace", args=[logger.place]) == done.url
    logger.refresh_from_db()
    assert "dmy" == declared_of(logger).dates
    again = client.post(address, {"file": file(AMBIGUOUS), "clock": "site", "dates": "dmy"}, follow=True)
    assert "Logger 7: 0 new readings of 2 rows. 2 were there already." in text(again)
    assert 'value="dmy" selected' in client.get(address).content.decode()


def test_what_was_declared_of_a_file_that_is_refused_is_not_kept(client, logger):
    client.post(
        reverse("thermometer-file", args=[logger.pk]),
        {"file": file("hello"), "clock": "site", "dates": "dmy"},
    )
    logger.refresh_from_db()
    assert "" == declared_of(logger).dates


def test_no_file_and_an_unheard_of_clock_are_told(client, logger):
    page = text(client.post(reverse("thermometer-file", args=[logger.pk]), {"clock": "CET"}))
    assert "Choose the logger" in page
    assert "The clock is “site”, or how far it is from UTC" in page


# A sensor.


@pytest.fixture
def sensor(fridge):
    return a_thermometer(fridge)


def push(client, key, *readings, body=None):
    return client.post(
        reverse("thermometer-readings"),
        body if body is not None else json.dumps({"readings": list(readings)}),
        content_type="application/json",
        headers={"Authorization": f"Bearer {key}"},
    )


def reading(celsius, minutes_ago=0):
    return {"at": (NOW - timedelta(minutes=minutes_ago)).isoformat(), "c": celsius}


def test_a_sensor_is_known_by_its_key_alone_and_only_the_hash_is_kept(client, sensor):
    shown = client.post(reverse("thermometer-key", args=[sensor.pk])).content.decode()
    key = shown.split('<code class="key">')[1].split("<")[0]
    client.logout()
    assert {"new": 2, "known": 0} == push(client, key, reading(4.25, 10), reading(5)).json()
    assert {"new": 0, "known": 1} == push(client, key, reading(5)).json()
    assert key not in str(list(Thermometer.objects.values_list()))
    sensor.refresh_from_db()
    assert 500 == sensor.last_centi_c


@pytest.mark.parametrize("key", ["", "wrong"])
def test_without_its_key_nothing_is_taken(client, sensor, key):
    sensor.new_key()
    client.logout()
    refused = push(client, key, reading(4))
    assert 401 == refused.status_code
    assert "Bearer" == refused["WWW-Authenticate"]
    assert not DayOfReadings.objects.exists()


def test_a_key_that_was_made_anew_or_taken_out_of_use_opens_nothing(client, sensor):
    old, new = sensor.new_key(), sensor.new_key()
    assert [401, 200] == [push(client, key, reading(4)).status_code for key in (old, new)]
    client.post(reverse("thermometer", args=[sensor.pk]))
    assert 401 == push(client, new, reading(4, 5)).status_code


WRONG = {
    "no JSON": ("{", "Send {"),
    "no list": ('{"readings": 4}', "Send {"),
    "none": ('{"readings": []}', "Send {"),
    "no time": ('{"readings": [{"c": 4}]}', "A reading has"),
    "no zone": ('{"readings": [{"at": "2026-11-25T10:00:00", "c": 4}]}', "needs its distance from UTC"),
    "no number": ('{"readings": [{"at": "2026-11-25T10:00:00Z", "c": "4"}]}', "is a number of °C"),
    "true": ('{"readings": [{"at": "2026-11-25T10:00:00Z", "c": true}]}', "is a number of °C"),
    "endless": ('{"readings": [{"at": "2026-11-25T10:00:00Z", "c": 1e999}]}', "is a number of °C"),
    "too cold to be": ('{"readings": [{"at": "2026-11-25T10:00:00Z", "c": -127}]}', "-127 °C cannot be"),
    "no such day": ('{"readings": [{"at": "2026-02-30T10:00:00Z", "c": 4}]}', "is a time such as"),
    "too much": ('{"readings": [' + " " * 70_000 + "]}", "Send {"),
    "deep": ("[" * 40_000, "Send {"),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_is_no_list_of_readings_is_refused_in_words(client, sensor, case):
    body, sentence = WRONG[case]
    refused = push(client, sensor.new_key(), body=body)
    assert 400 == refused.status_code
    assert sentence in refused.json()["why"]


def test_two_temperatures_for_one_moment_are_refused(client, sensor):
    key = sensor.new_key()
    assert 200 == push(client, key, reading(4)).status_code
    assert 409 == push(client, key, reading(5)).status_code
    assert 409 == push(client, key, {"at": (NOW + timedelta(days=1)).isoformat(), "c": 4}).status_code
    assert 400 == push(client, key, reading(4, 5), reading(5, 5)).status_code


def test_each_key_has_a_rate_of_its_own(client, sensor, monkeypatch):
    other, key = a_thermometer(sensor.place, "Other"), sensor.new_key()
    monkeypatch.setattr("buffycoat.temperatures.coming_in.PUSHES_A_MINUTE", 2)
    assert PUSHES_A_MINUTE >= 30
    answers = [push(client, key, reading(4, n)) for n in range(6)]
    assert {200, 429} == {each.status_code for each in answers}
    refused = next(each for each in answers if each.status_code == 429)
    assert "60" == refused["Retry-After"]
    assert 200 == push(client, other.new_key(), reading(4)).status_code


def test_a_reading_that_comes_in_opens_the_alarm_by_itself(client, sensor):
    key = sensor.new_key()
    for minutes in (50, 40, 30, 20, 10, 0):
        push(client, key, reading(8, minutes))
    assert 1 == AlarmRow.objects.filter(cause="warm", ended_at=None).count()
    assert "buffycoat" == Entry.objects.get(kind="temperature-alarm-opened").by


def test_a_thermometer_has_a_name_of_its_own(client, fridge, sensor):
    page = reverse("thermometer-new", args=[fridge])
    refused = client.post(page, {"name": "Door", "kind": "sensor"})
    assert "A thermometer is called Door already" in text(refused)
    done = client.post(page, {"name": "Shelf", "kind": "logger"})
    assert reverse("thermometer", args=[Thermometer.objects.get(name="Shelf").pk]) == done.url
    assert "Read a file in" in text(client.get(done.url))
