"""The same from a terminal: a file in, what is now, and whether the readings are those that were sealed."""

import pytest

from buffycoat.cli.main import _parser
from buffycoat.cli.temperatures import import_readings, show_temperatures, watch
from buffycoat.temperatures.keeping_readings import readings_of
from buffycoat.temperatures.models import LOGGER, DayOfReadings, WatchRan
from buffycoat.temperatures.series import packed
from tests.temperatures.bank import PAST, WARM_HOUR, a_thermometer, told
from tests.temperatures.test_logger_files import AMBIGUOUS


@pytest.fixture
def run(capsys):
    def running(*arguments, expect=0):
        asked = _parser().parse_args([*map(str, arguments)])
        does = {"import-readings": import_readings, "temperatures": show_temperatures, "watch": watch}[
            asked.run
        ]
        assert expect == does(asked)
        return "".join(capsys.readouterr())

    return running


def test_a_file_is_read_in_when_its_dates_are_declared_and_that_is_kept(walk, run, tmp_path):
    a_thermometer(walk.a_place("fridge"), "Logger 7", LOGGER)
    file = tmp_path / "logger.csv"
    file.write_text(AMBIGUOUS, encoding="utf-8")
    asked = ("import-readings", file, "--thermometer", "Logger 7")
    assert "Say how it writes dates." in run(*asked, expect=1)
    assert "2 new readings of 2 rows" in run(*asked, "--dates", "dmy")
    assert "2 were there already" in run(*asked)


def test_what_cannot_be_read_in_is_told_in_words(walk, run, tmp_path):
    a_thermometer(walk.a_place("fridge"), "Logger 7", LOGGER)
    unknown = run("import-readings", tmp_path / "x", "--thermometer", "Logger 8", expect=1)
    assert "No thermometer in use is called Logger 8." in unknown
    missing = run("import-readings", tmp_path / "x", "--thermometer", "Logger 7", expect=1)
    assert "cannot be read: No such file or directory." in missing
    wrong = run("import-readings", tmp_path / "x", "--thermometer", "Logger 7", "--clock", "CET", expect=1)
    assert "The clock is “site”" in wrong


def test_sealed_days_are_checked_and_a_changed_reading_is_named(walk, run):
    place = walk.a_place("fridge")
    told(a_thermometer(place), *WARM_HOUR)
    told(a_thermometer(place, "Top"), 4, 4, end=PAST)
    run("watch", "--once")
    assert 1 == WatchRan.objects.count()
    assert "Every sealed day of readings is what was sealed." in run("temperatures", "--check")
    row = DayOfReadings.objects.filter(sealed=True).first()
    found = readings_of(row)
    found.centi_c[0] += 1
    row.data = packed(found)
    row.save()
    told_of = run("temperatures", "--check", expect=1)
    assert f"{place}: the readings of {row.day} are not those that were sealed." in told_of


def test_the_last_readings_and_open_alarms_are_listed(walk, run):
    told(a_thermometer(walk.a_place("fridge")), 4, 8, 8, 8, 8, 8)
    listed = run("temperatures")
    assert "Door  Fridge 1  8\u00a0°C" in listed
    assert "warm  Fridge 1  since" in listed
