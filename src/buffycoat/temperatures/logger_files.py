"""A logger's file becomes readings in UTC, all of them or a refusal that names the line.

Dates, clock times and temperatures repeat, so each text is read once and then looked up.
"""

import csv
import re
from array import array
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import islice
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from buffycoat.temperatures.formats import (
    DAY_FIRST,
    MONTH_FIRST,
    SITE_CLOCK,
    YEAR_FIRST,
    Declared,
    Format,
    Unclear,
    find_format,
)
from buffycoat.temperatures.local_time import to_utc
from buffycoat.temperatures.series import COLDEST_CENTI_C, WARMEST_CENTI_C, Conflict, Series, in_order

LOOKED_AT = 400  # lines in which the format must show itself
NO_VALUE = -32_768
DAY_S = 86_400
MONTHS = "jan feb mar apr may jun jul aug sep oct nov dec".split()
ORDERS = {DAY_FIRST: "day, month, year", MONTH_FIRST: "month, day, year", YEAR_FIRST: "year, month, day"}
_CLOCK = re.compile(
    r"(\d{1,2})[:.h](\d{2})(?:[:.](\d{2}))?(?:[.,]\d+)?(?: ?([AaPp])\.?[Mm]\.?)?(Z|[+-]\d{2}:?\d{2})?"
)


@dataclass(frozen=True, kw_only=True)
class FileRead:
    """`repeated` rows stood there twice and count once; `without_value` had no temperature that can be."""

    series: Series
    rows: int
    repeated: int
    without_value: int


def read_file(path: Path, declared: Declared, zone: ZoneInfo) -> FileRead:
    """Raises: Unclear, with every reason; nothing of the file counts then."""
    encoding = encoding_of(path)
    try:
        with path.open(encoding=encoding, newline="") as file:
            form = find_format([line.strip("\r\n") for line in islice(file, LOOKED_AT)], declared)
        with path.open(encoding=encoding, newline="") as file:
            for _ in range(form.first_line):
                file.readline()
            rows = _Rows(form)
            rows.read(csv.reader(file, delimiter=form.delimiter, skipinitialspace=True))
    except (UnicodeDecodeError, csv.Error):
        raise Unclear("This is no file of text, or a damaged one.") from None
    return rows.told(declared, zone)


def encoding_of(path: Path) -> str:
    with path.open("rb") as file:
        if file.read(2) in (b"\xff\xfe", b"\xfe\xff"):
            return "utf-16"
    try:
        with path.open(encoding="utf-8-sig") as text:
            while text.read(1 << 20):
                pass
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"


class _Temperatures(dict[str, int]):
    """The text of a temperature to hundredths of a degree Celsius."""

    def __init__(self, fahrenheit: bool) -> None:
        super().__init__()
        self._fahrenheit = fahrenheit

    def __missing__(self, text: str) -> int:
        number = text.strip().rstrip("CFcf° ").replace(",", ".").replace("\u2212", "-")
        try:
            value = float(number)
        except ValueError:
            value = float("nan")
        if self._fahrenheit:
            value = (value - 32) * 5 / 9
        fits = COLDEST_CENTI_C <= value * 100 <= WARMEST_CENTI_C
        self[text] = found = round(value * 100) if fits else NO_VALUE
        return found


class _Clocks(dict[str, int]):
    """The text of a clock time to seconds of the day; one with a zone of its own is already in UTC."""

    zoned = plain = False

    def __missing__(self, text: str) -> int:
        found = _CLOCK.fullmatch(text.strip())
        if found:
            hour, minute, second = int(found[1]), int(found[2]), int(found[3] or 0)
        elif re.fullmatch(r"\d{1,4}", text.strip()):
            (hour, minute), second = divmod(int(text), 100), 0
        else:
            raise ValueError(text)
        if found and found[4]:
            if not 1 <= hour <= 12:
                raise ValueError(text)
            hour = hour % 12 + 12 * (found[4] in "Pp")
        seconds = hour * 3600 + minute * 60 + second
        if minute > 59 or second > 59 or seconds > DAY_S:
            raise ValueError(text)
        zone = found[5] if found else None
        self.zoned, self.plain = self.zoned or bool(zone), self.plain or not zone
        if zone and zone != "Z":
            sign = -1 if zone[0] == "-" else 1
            seconds -= sign * (int(zone[1:3]) * 3600 + int(zone[-2:]) * 60)
        self[text] = seconds
        return seconds


class _Rows:
    """Row after row into three columns of numbers: which date text, seconds of the day, temperature."""

    def __init__(self, form: Format) -> None:
        self._form = form
        self._dates: dict[str, int] = {}
        self._clocks, self._temperatures = _Clocks(), _Temperatures(form.fahrenheit)
        self._date_of, self._second = array("i"), array("i")
        self._centi_c = array("h")

    def read(self, rows: Any) -> None:
        """`rows` is a reader of the csv module."""
        if not self._form.when:
            return self._count(rows)
        split, dates, clocks = _splitter(self._form), self._dates, self._clocks
        temperatures, column = self._temperatures, self._form.temperature
        add_date, add_second, add_centi_c = self._date_of.append, self._second.append, self._centi_c.append
        left_over = 0
        for row in rows:
            try:
                day, clock = split(row)
                second, centi_c = clocks[clock], temperatures[row[column]]
            except (ValueError, IndexError):
                if any(cell.strip() for cell in row):
                    left_over = left_over or rows.line_num + self._form.first_line
                continue
            if left_over:
                raise Unclear(f"Line {left_over} is no reading, and readings follow it. Nothing was taken.")
            add_date(dates.setdefault(day, len(dates)))
            add_second(second)
            add_centi_c(centi_c)
        return None

    def _count(self, rows: Iterable[list[str]]) -> None:
        """No moments in the rows: they are counted from the start."""
        day, clock = _splitter(self._form)([self._form.start])
        second = self._clocks[clock]
        self._dates[day] = 0
        for number, row in enumerate(row for row in rows if any(cell.strip() for cell in row)):
            self._date_of.append(0)
            self._second.append(second + number * self._form.interval_s)
            self._centi_c.append(self._temperatures[row[0]])

    def told(self, declared: Declared, zone: ZoneInfo) -> FileRead:
        if not self._centi_c:
            raise Unclear("There is no reading in this file.")
        if self._clocks.zoned and self._clocks.plain:
            raise Unclear("Some of its times have a zone and some have none.")
        order = _Order(self._dates, self._form, declared)
        days = np.array([order.day(text) for text in self._dates], np.int64)
        local = days[np.frombuffer(self._date_of, np.int32)] * DAY_S + np.frombuffer(self._second, np.int32)
        centi_c = np.frombuffer(self._centi_c, np.int16)
        if local[0] > local[-1]:  # the newest first
            local, centi_c = local[::-1], centi_c[::-1]
        times = local if self._clocks.zoned else _from_logger_clock(local, declared, zone)
        told = centi_c != NO_VALUE
        try:
            series = in_order(Series(times[told], centi_c[told]))
        except Conflict as conflict:
            raise Unclear(f"{conflict} Was the logger's clock set back? Nothing was taken.") from None
        kept = len(series.times)
        without = int(len(told) - told.sum())
        if not kept:
            raise Unclear("None of its readings has a temperature that can be.")
        return FileRead(
            series=series, rows=len(told), repeated=len(told) - without - kept, without_value=without
        )


def _from_logger_clock(local: NDArray[np.int64], declared: Declared, zone: ZoneInfo) -> NDArray[np.int64]:
    if declared.clock == SITE_CLOCK:
        return to_utc(local, zone)
    sign = -1 if declared.clock[0] == "-" else 1
    return local - sign * (int(declared.clock[1:3]) * 3600 + int(declared.clock[4:]) * 60)


def _splitter(form: Format) -> Callable[[Sequence[str]], tuple[str, str]]:
    """How a row gives the text of its date and of its clock time."""
    if len(form.when) == 3:
        year, day, clock = form.when
        return lambda row: (f"{row[year]} {row[day]}", row[clock])
    if len(form.when) == 2:
        day, clock = form.when
        return lambda row: (row[day], row[clock])
    place = form.when[0] if form.when else 0

    def split(row: Sequence[str]) -> tuple[str, str]:
        day, _, clock = row[place].partition(" ")
        if not clock:
            day, _, clock = day.partition("T")
        elif clock[:1].isalpha():  # 12 Nov 2026 13:00
            month, year, clock = clock.split(" ", 2)
            day = f"{day}-{month}-{year}"
        return day, clock

    return split


class _Order:
    """In which order the numbers of a date stand: shown by the file itself, or declared."""

    def __init__(self, texts: Sequence[str] | dict[str, int], form: Format, declared: Declared) -> None:
        self._form, self._declared = form, declared
        self._numbers = {text: _numbers_of(text) for text in texts}
        if form.by_day_of_year and len(form.when) == 2 and not declared.year:
            raise Unclear("Its days are counted and their year is not given: say which year it is.")
        self._order = "" if form.by_day_of_year else self._find()

    def day(self, text: str) -> int:
        """Days since 1970."""
        try:
            return (self._date(text) - date(1970, 1, 1)).days
        except (ValueError, KeyError, OverflowError):
            raise Unclear(f"“{text}” is no date by {ORDERS.get(self._order, 'year and day')}.") from None

    def _date(self, text: str) -> date:
        numbers = self._numbers[text]
        if self._form.by_day_of_year:
            year = numbers[0] if len(numbers) == 2 else self._declared.year
            found = date(year, 1, 1) + timedelta(days=numbers[-1] - 1)
            if found.year != year:
                raise ValueError(text)
            return found
        by = dict(zip(self._order, numbers, strict=True))
        return date(by["y"] + (2000 if by["y"] < 100 else 0), by["m"], by["d"])

    def _find(self) -> str:
        if any(len(numbers) != 3 for numbers in self._numbers.values()):
            raise Unclear("Its dates cannot be read.")
        fitting = [order for order in ORDERS if all(map(self._fits(order), self._numbers.values()))]
        if declared := self._declared.dates:
            if declared not in fitting:
                raise Unclear(f"Its dates do not fit what was declared: {ORDERS[declared]}.")
            return declared
        if len(fitting) == 1:
            return fitting[0]
        if not fitting:
            raise Unclear("Its dates do not all have the same order.")
        first = next(iter(self._numbers))
        ways = " or ".join(ORDERS[order] for order in fitting)
        raise Unclear(
            f"“{first}” can be {ways}, and no date in the file tells which. Say how it writes dates."
        )

    @staticmethod
    def _fits(order: str) -> Callable[[Sequence[int]], bool]:
        y, m, d = (order.index(letter) for letter in "ymd")

        def fits(numbers: Sequence[int]) -> bool:
            if any(number > 999 for place, number in enumerate(numbers) if place != y):
                return False
            year = numbers[y]
            return 1 <= numbers[m] <= 12 and 1 <= numbers[d] <= 31 and (year > 999 or year < 100)

        return fits


def _numbers_of(text: str) -> tuple[int, ...]:
    """Its numbers as they stand; a month by name says its own place, so it is put where no order can be wrong."""
    text = text.strip()
    if named := re.fullmatch(r"(\d{1,2})-([A-Za-z]{3})-(\d{4})", text):
        month = MONTHS.index(named[2].lower()) + 1 if named[2].lower() in MONTHS else 0
        return (int(named[3]), month, int(named[1]))
    if re.fullmatch(r"\d{8}", text):
        return (int(text[:4]), int(text[4:6]), int(text[6:]))
    return tuple(int(part) for part in re.split(r"[-/. ]+", text) if part.isdecimal())
