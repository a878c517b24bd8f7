"""Files of loggers: each way of writing them, and each thing that is refused rather than guessed."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from buffycoat.science.warmth import mean_kinetic_c
from buffycoat.temperatures.formats import Declared, Unclear, why_not_declared
from buffycoat.temperatures.logger_files import read_file
from buffycoat.temperatures.spells import kinetic_c, silences
from tests.temperatures.published import beaver, seattle

BERLIN, LONDON = ZoneInfo("Europe/Berlin"), ZoneInfo("Europe/London")


@pytest.fixture
def read(tmp_path):
    def reading(text, zone=UTC, encoding="utf-8", **declared):
        path = tmp_path / "logger.txt"
        path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return read_file(path, Declared(**declared), zone)

    return reading


def told(found):
    moments = [datetime.fromtimestamp(at, UTC) for at in found.series.times.tolist()]
    return list(
        zip([f"{at:%Y-%m-%d %H:%M:%S}" for at in moments], found.series.centi_c.tolist(), strict=True)
    )


# Each way of writing 5.1 °C on 25 November 2026 at 14:05 UTC, and 4.25 °C ten minutes later.
WAYS = {
    "semicolon and decimal comma": ("Date;Time;Temp °C\n25.11.2026;14:05;5,1\n25.11.2026;14:15;4,25\n", {}),
    "comma and point": ("time,temp (C)\n2026-11-25 14:05,5.1\n2026-11-25 14:15,4.25\n", {}),
    "tab": ("Time\tCelsius\n2026/11/25 14:05:00\t5.1\n2026/11/25 14:15:00\t4.25\n", {}),
    "block above": (
        "Logger;Invented 7\nSerial;0042\nSamples;2\n\nDate/time;Temperature [°C]\n"
        "25/11/2026 14:05;5,1\n25/11/2026 14:15;4,25\n",
        {},
    ),
    "twelve hours": (
        "Time,Temp °C\n11/25/2026 02:05:00 PM,5.1\n11/25/2026 02:15:00 PM,4.25\n",
        {},
    ),
    "°F": ("Time,Temp °F\n2026-11-25 14:05,41.18\n2026-11-25 14:15,39.65\n", {}),
    "fahrenheit declared": ("Time,Value\n2026-11-25 14:05,41.18\n2026-11-25 14:15,39.65\n", {"unit": "F"}),
    "celsius misspelt": ("Time,Celcius\n2026-11-25 14:05,5.1\n2026-11-25 14:15,4.25\n", {}),
    "unit in the cell": ("2026-11-25 14:05;5,1 °C\n2026-11-25 14:15;4,25 °C\n", {}),
    "unit above": ("Unit: °C\nwhen;value\n2026-11-25 14:05;5,1\n2026-11-25 14:15;4,25\n", {}),
    "quoted": ('"Date","Time","Temp (C)"\n"2026-11-25","14:05","5.1"\n"2026-11-25","14:15","4.25"\n', {}),
    "trailing separators": ("Date;Temp °C;\n2026-11-25 14:05;5,1;\n2026-11-25 14:15;4,25;\n", {}),
    "trailing blanks": ("Date;Temp °C\n2026-11-25 14:05 ; 5,1 \n2026-11-25 14:15 ; 4,25 \n\n  \n", {}),
    "state letter": ("Time;State;Temp °C\n2026-11-25 14:05;P;5,1\n2026-11-25 14:15;L;4,25\n", {}),
    "running number": ("No;Date;Time;Temp °C\n1;2026-11-25;14:05;5,1\n2;2026-11-25;14:15;4,25\n", {}),
    "with humidity": ("Time,Temp °C,Humidity %\n2026-11-25 14:05,5.1,60\n2026-11-25 14:15,4.25,61\n", {}),
    "channel": ("Time;Channel 1 °C\n2026-11-25 14:05;5,1\n2026-11-25 14:15;4,25\n", {}),
    "two channels, one declared": (
        "Time;Ch1 °C;Ch2 °C\n2026-11-25 14:05;9;5,1\n2026-11-25 14:15;9;4,25\n",
        {"column": "Ch2 °C"},
    ),
    "column by its number": (
        "Time;Ch1 °C;Ch2 °C\n2026-11-25 14:05;9;5,1\n2026-11-25 14:15;9;4,25\n",
        {"column": "3"},
    ),
    "newest first": ("Time;Temp °C\n2026-11-25 14:15;4,25\n2026-11-25 14:05;5,1\n", {}),
    "zone in the time": ("Time;Temp °C\n2026-11-25T15:05:00+01:00;5,1\n2026-11-25T15:15:00+01:00;4,25\n", {}),
    "Z": ("Time;Temp °C\n2026-11-25T14:05:00Z;5,1\n2026-11-25T14:15:00Z;4,25\n", {}),
    "month by name": ("Time;Temp °C\n25-Nov-2026 14:05;5,1\n25-Nov-2026 14:15;4,25\n", {}),
    "month by name with blanks": ("Time;Temp °C\n25 Nov 2026 14:05;5,1\n25 Nov 2026 14:15;4,25\n", {}),
    "year in two figures": ("Time;Temp °C\n25/11/26 14:05;5,1\n25/11/26 14:15;4,25\n", {"dates": "dmy"}),
    "day of the year and HHMM": ("year,day,HHMM,temp C\n2026,329,1405,5.1\n2026,329,1415,4.25\n", {}),
    "start and interval": ("Start: 2026-11-25 14:05\nInterval: 10 min\nUnit °C\n5.1\n4.25\n", {}),
    "interval as a clock": ("Start time 2026-11-25 14:05:00\nInterval 0:10:00\n°C\n5.1\n4.25\n", {}),
    "its clock off UTC": (
        "Time;Temp °C\n2026-11-25 15:05;5,1\n2026-11-25 15:15;4,25\n",
        {"clock": "+01:00"},
    ),
}


@pytest.mark.parametrize("way", WAYS)
def test_each_way_of_writing_gives_the_same_readings(read, way):
    text, declared = WAYS[way]
    assert [("2026-11-25 14:05:00", 510), ("2026-11-25 14:15:00", 425)] == told(read(text, **declared))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_the_way_its_letters_are_coded_does_not_matter(read, encoding, end):
    text, _ = WAYS["semicolon and decimal comma"]
    found = read(text.replace("\n", end), encoding=encoding)
    assert [("2026-11-25 14:05:00", 510), ("2026-11-25 14:15:00", 425)] == told(found)


def test_hour_24_is_the_next_midnight_and_a_freezer_is_below_nought(read):
    found = read("Time;Temp °C\n2026-11-25 23:59;-19,5\n2026-11-25 24:00;−20\n")
    assert [("2026-11-25 23:59:00", -1950), ("2026-11-26 00:00:00", -2000)] == told(found)


AMBIGUOUS = "Date;Temp °C\n03/04/2026 10:00;4\n04/04/2026 10:00;5\n"


def test_an_ambiguous_order_of_dates_is_refused_until_it_is_declared(read):
    with pytest.raises(
        Unclear, match=r"“03/04/2026” can be day, month, year or month, day, year, and no date"
    ):
        read(AMBIGUOUS)
    assert "2026-04-03 10:00:00" == told(read(AMBIGUOUS, dates="dmy"))[0][0]
    assert "2026-03-04 10:00:00" == told(read(AMBIGUOUS, dates="mdy"))[0][0]


def test_one_date_anywhere_in_the_file_that_fits_one_order_alone_decides_it(read):
    rows = [f"{day:02}/04/2026 10:00;4" for day in range(1, 14)]
    assert "2026-04-01 10:00:00" == told(read("\n".join(["Date;Temp °C", *rows])))[0][0]
    with pytest.raises(Unclear, match="can be"):
        read("\n".join(["Date;Temp °C", *rows[:-1]]))


REFUSED = {
    "declared otherwise than it is": (
        "Date;Temp °C\n25/04/2026 10:00;4\n",
        {"dates": "mdy"},
        "Its dates do not fit what was declared: month, day, year.",
    ),
    "two orders in one file": (
        "Date;Temp °C\n25/04/2026 10:00;4\n04/25/2026 11:00;4\n",
        {},
        "Its dates do not all have the same order.",
    ),
    "no unit": (
        "Time;Value\n2026-11-25 14:05;5,1\n",
        {},
        "The file does not say whether it is °C or °F: say which.",
    ),
    "another unit": (
        "Time;Temp °F\n2026-11-25 14:05;5,1\n",
        {"unit": "C"},
        "The file says °F and this logger was declared to write °C.",
    ),
    "two temperatures": (
        "Time;Ch1 °C;Ch2 °C\n2026-11-25 14:05;9;5,1\n",
        {},
        "Several columns could be the temperature: column 2 (Ch1 °C), column 3 (Ch2 °C). Say which one.",
    ),
    "no such column": (
        "Time;Ch1 °C;Ch2 °C\n2026-11-25 14:05;9;5,1\n",
        {"column": "Ch3"},
        "No one column of numbers is called “Ch3”: column 2 (Ch1 °C), column 3 (Ch2 °C).",
    ),
    "commas for both": (
        "Time,Temp °C\n2026-11-25 14:05,5,1\n",
        {},
        "Its columns are parted by commas and its numbers have commas too",
    ),
    "a line that is none": (
        "Time;Temp °C\n2026-11-25 14:05;4\nrestarted\n2026-11-25 14:15;4\n",
        {},
        "Line 3 is no reading, and readings follow it. Nothing was taken.",
    ),
    "two temperatures at once": (
        "Time;Temp °C\n2026-11-25 14:05;4\n2026-11-25 14:05;5\n",
        {},
        "At 14:05:00 UTC on 25 Nov 2026 there are two temperatures: 4 and 5 °C.",
    ),
    "days without a year": (
        beaver(),
        {},
        "Its days are counted and their year is not given: say which year it is.",
    ),
    "no such day": ("Time;Temp °C\n2026-02-30 14:05;4\n", {}, "“2026-02-30” is no date by year, month, day."),
    "no readings": (
        "Hello\nThis is a letter.\n",
        {},
        "No line was found that has a date, a time and a temperature.",
    ),
    "nothing": ("", {}, "No line was found that has a date, a time and a temperature."),
    "no text": (bytes(range(256)) * 9, {}, "This is no file of text, or a damaged one."),
    "an interval of what": (
        "Start 2026-11-25 14:05\nInterval 10\n°C\n5.1\n",
        {},
        "The interval between readings stands",
    ),
    "some with a zone": (
        "Time;Temp °C\n2026-11-25T14:05:00Z;4\n2026-11-25T14:15:00;4\n",
        {},
        "Some of its times have a zone and some have none.",
    ),
    "only what cannot be": (
        "Time;Temp °C\n2026-11-25 14:05;-127\n",
        {},
        "None of its readings has a temperature",
    ),
}


@pytest.mark.parametrize("why", REFUSED)
def test_what_can_be_read_in_two_ways_or_in_none_is_refused_and_nothing_taken(read, why):
    text, declared, sentence = REFUSED[why]
    with pytest.raises(Unclear) as refused:
        read(text, **declared)
    assert sentence in str(refused.value)


def test_rows_that_stand_twice_count_once_and_those_without_a_temperature_are_counted(read):
    row = "2026-11-25 14:05;4\n"
    found = read(
        f"Time;Temp °C\n{row}{row}2026-11-25 14:15;ERR\n2026-11-25 14:25;\n2026-11-25 14:35;-127\n{row}"
    )
    assert (6, 2, 3, 1) == (found.rows, found.repeated, found.without_value, len(found.series.times))


def at_each(stamps):
    return "\n".join(["Time;Temp °C", *(f"{stamp};4" for stamp in stamps)])


def test_the_hour_that_comes_twice_in_autumn_is_told_by_the_order_of_the_rows(read):
    stamps = [f"2026-10-25 {clock}" for clock in ("01:30", "02:00", "02:30", "02:00", "02:30", "03:00")]
    found = read(at_each(stamps), BERLIN)
    assert 6 == len(found.series.times)
    assert {1800} == set(np.diff(found.series.times).tolist())


def test_the_hour_that_spring_leaves_out_is_no_gap(read):
    found = read(at_each(["2026-03-29 01:30", "2026-03-29 03:00"]), BERLIN)
    assert [("2026-03-29 00:30:00", 400), ("2026-03-29 01:00:00", 400)] == told(found)


def test_a_clock_time_that_was_left_out_shows_that_the_logger_keeps_its_own_time(read):
    stamps = ["2026-03-29 01:30", "2026-03-29 02:30", "2026-03-29 03:30"]
    with pytest.raises(Unclear, match=r"02:30 on 29 Mar 2026 was left out when the clocks went forward"):
        read(at_each(stamps), BERLIN)
    assert {3600} == set(np.diff(read(at_each(stamps), BERLIN, clock="+01:00").series.times).tolist())


@given(
    st.lists(
        st.tuples(st.integers(0, 500_000), st.integers(-9_000, 9_000)), min_size=1, unique_by=lambda x: x[0]
    )
)
def test_what_is_written_in_the_sites_own_time_is_read_back(tmp_path_factory, pairs):
    """Over both changes of the clocks of a year, minute by minute, for any readings."""
    begin = datetime(2026, 3, 1, tzinfo=UTC)
    readings = sorted((begin + timedelta(minutes=minute), centi_c) for minute, centi_c in pairs)
    rows = [f"{at.astimezone(LONDON):%Y-%m-%d %H:%M};{centi_c / 100:.2f}" for at, centi_c in readings]
    path = tmp_path_factory.mktemp("logger") / "file.csv"
    path.write_text("\n".join(["Time;Temp °C", *rows]))
    folds = [at for at, _ in readings if at.astimezone(LONDON).fold]
    if folds:  # alone in the hour that comes twice, a reading cannot tell which one it is
        return
    assert [int(at.timestamp()) for at, _ in readings] == read_file(
        path, Declared(), LONDON
    ).series.times.tolist()


def test_13_1_a_year_in_fahrenheit_with_its_one_missing_hour(read):
    """Figures made again by numpy over the file itself; hundredths of a degree are kept."""
    text = seattle()
    with pytest.raises(Unclear, match="say which"):
        read(text)
    with pytest.raises(Unclear, match=r"02:00 on 14 Mar 2010 was left out"):
        read(text, ZoneInfo("America/Los_Angeles"), unit="F")
    found = read(text, unit="F", clock="-08:00")
    fahrenheit = np.array([float(line.split(",")[1]) for line in text.split()[1:] if "," in line])
    celsius = (fahrenheit - 32) * 5 / 9
    assert 8759 == found.rows == len(found.series.times)
    assert (37.5, 75.9) == (fahrenheit.min(), fahrenheit.max())
    assert 11.126682 == pytest.approx(celsius.mean(), abs=1e-6)
    assert celsius.mean() == pytest.approx(found.series.centi_c.mean() / 100, abs=1e-4)
    gap = silences([found.series], timedelta(minutes=90))
    assert [timedelta(hours=2)] == [end - start for start, end in gap]
    assert datetime(2010, 3, 14, 12, tzinfo=UTC) == gap[0][1]  # 04:00 of a clock 8 h behind
    assert 12.887188 == pytest.approx(mean_kinetic_c(celsius.tolist()), abs=1e-6)
    assert 12.887188 == pytest.approx(kinetic_c(found.series, timedelta(hours=1)), abs=1e-3)
    warm = found.series.centi_c > 1500
    assert (2177, 162) == (int(warm.sum()), int((np.diff(warm.astype(int)) == 1).sum() + int(warm[0])))


def test_13_3_clock_times_in_figures_alone_over_midnight_and_the_reading_that_is_missing(read):
    found = read(beaver(), year=1990)
    assert 114 == found.rows
    assert {600: 112, 1200: 1} == dict(
        zip(*np.unique(np.diff(found.series.times), return_counts=True), strict=True)
    )
    assert 36.862193 == pytest.approx(found.series.centi_c.mean() / 100, abs=1e-6)
    assert 17 == int((found.series.centi_c > 3700).sum())


def test_what_cannot_be_declared_is_told():
    wrong = Declared(dates="ydm", unit="K", clock="CET", year=12)
    assert 4 == len(list(why_not_declared(wrong)))
    assert [] == list(why_not_declared(Declared(dates="dmy", unit="F", clock="-08:00", year=1990)))
