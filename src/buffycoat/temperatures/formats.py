"""How a logger's file is written: found by looking at its first lines, and never guessed where two answers fit.

What the file leaves open (is 03/04 a day in April or in March? °C or °F?) must be declared for that logger, once.
"""

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

DAY_FIRST, MONTH_FIRST, YEAR_FIRST = "dmy", "mdy", "ymd"
CELSIUS, FAHRENHEIT = "C", "F"
SITE_CLOCK = "site"

_DATE = re.compile(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}|\d{1,2}[- ][A-Za-z]{3}[- ]\d{4}|\d{8}")
_CLOCK = re.compile(r"\d{1,2}[:.h]\d{2}([:.]\d{2})?([.,]\d+)?( ?[AaPp]\.?[Mm]\.?)?(Z|[+-]\d{2}:?\d{2})?")
_HHMM = re.compile(r"\d{1,4}")
_NUMBER = re.compile(r"[-+\u2212]?\d{1,3}([.,]\d+)? ?(°? ?[CF])?")
_TEMPERATURE = re.compile(r"temp|°\s*[cf]\b|cels|celc|fahr|\bdeg\.?\s*[cf]\b|\bch(annel)?\W*\d", re.I)
_OTHER = re.compile(r"hum|%|\brh\b|dew|volt|batt|press", re.I)
_C = re.compile(r"°\s*C\b|\bcels|\bcelc|[(\[]\s*C\s*[)\]]|\bdeg\.?\s*C\b|\bC$", re.I)
_F = re.compile(r"°\s*F\b|\bfahr|[(\[]\s*F\s*[)\]]|\bdeg\.?\s*F\b|\bF$", re.I)
_START = re.compile(r"start[^\d]*(.*\d)", re.I)
_INTERVAL = re.compile(r"interval[^\d]*(\d+)(?::(\d+):(\d+))?\s*(s|min|h)?", re.I)


class Unclear(ValueError):
    """The file can be read in two ways, or in none. `reasons` say what to declare or to look at."""

    def __init__(self, *reasons: str) -> None:
        super().__init__(" ".join(reasons))
        self.reasons = reasons


@dataclass(frozen=True, kw_only=True)
class Declared:
    """What a person said of a logger's files. Empty: let the file say it itself, or refuse it.

    `clock`: the site's own clocks, or the logger's distance from UTC, such as +01:00.
    """

    dates: str = ""
    unit: str = ""
    column: str = ""
    clock: str = SITE_CLOCK
    year: int = 0


@dataclass(frozen=True, kw_only=True)
class Format:
    """`when` are the columns of the moment: stamp; date and clock; year, day of year and clock; or none at all.

    Without any, readings are counted from `start`, each `interval_s` after the one before.
    """

    delimiter: str
    first_line: int
    when: tuple[int, ...]
    by_day_of_year: bool
    temperature: int
    fahrenheit: bool
    start: str = ""
    interval_s: int = 0


def find_format(lines: Sequence[str], declared: Declared) -> Format:
    """The format of a file of which these are the first lines. Raises: Unclear."""
    best = max((_shape(lines, delimiter) for delimiter in ";\t,|"), key=lambda shape: shape.score)
    if not best.score:
        return _without_moments(lines, declared)
    header = _header(lines, best)
    temperature = _temperature_column(best, header, declared)
    return Format(
        delimiter=best.delimiter,
        first_line=best.first_line,
        when=best.when,
        by_day_of_year=best.by_day_of_year,
        temperature=temperature,
        fahrenheit=_fahrenheit(lines[: best.first_line], header, best.row, temperature, declared),
    )


@dataclass(frozen=True, kw_only=True)
class _Shape:
    """The rows that look alike if columns are parted by this character; `row` is the first of them."""

    delimiter: str
    score: int = 0
    first_line: int = 0
    row: tuple[str, ...] = ()
    when: tuple[int, ...] = ()
    by_day_of_year: bool = False


def _shape(lines: Sequence[str], delimiter: str) -> _Shape:
    rows = [
        tuple(cell.strip() for cell in row)
        for row in csv.reader(lines, delimiter=delimiter, skipinitialspace=True)
    ]
    for number, row in enumerate(rows):
        when, by_day_of_year = _moment_columns(row, rows[:number])
        if when and any(_numbers(row, when)):
            alike = [each for each in rows[number:] if len(each) == len(row)]
            return _Shape(
                delimiter=delimiter,
                score=len(alike) * 10 + len(row),
                first_line=number,
                row=row,
                when=when,
                by_day_of_year=by_day_of_year,
            )
    return _Shape(delimiter=delimiter)


def _moment_columns(row: Sequence[str], above: Sequence[Sequence[str]]) -> tuple[tuple[int, ...], bool]:
    for place, cell in enumerate(row):
        date, _, clock = cell.replace("T", " ").partition(" ")
        if _DATE.fullmatch(date) and _CLOCK.fullmatch(clock.strip()):
            return (place,), False
        if re.match(r"\d{1,2} [A-Za-z]{3} \d{4} \d", cell):
            return (place,), False
        if _DATE.fullmatch(cell) and place + 1 < len(row) and _CLOCK.fullmatch(row[place + 1]):
            return (place, place + 1), False
    return _day_of_year(row, above)


def _day_of_year(row: Sequence[str], above: Sequence[Sequence[str]]) -> tuple[tuple[int, ...], bool]:
    """Year, day of the year and HHMM, or only the last two: known by the names above them."""
    names = [name.lower() for name in above[-1]] if above else []
    if len(names) != len(row):
        return (), False
    year, day, clock = (
        next((place for place, name in enumerate(names) if re.search(words, name)), None)
        for words in ("year", r"\bday|doy|julian", r"time|hhmm|hour")
    )
    if day is None or clock is None or not (_HHMM.fullmatch(row[day]) and _HHMM.fullmatch(row[clock])):
        return (), False
    return ((day, clock) if year is None else (year, day, clock)), True


def _numbers(row: Sequence[str], when: Sequence[int]) -> Iterator[int]:
    return (place for place, cell in enumerate(row) if place not in when and _NUMBER.fullmatch(cell))


def _header(lines: Sequence[str], shape: _Shape) -> tuple[str, ...]:
    """The names above the columns; none if the line above is none."""
    if not shape.first_line:
        return ()
    above = next(csv.reader([lines[shape.first_line - 1]], delimiter=shape.delimiter, skipinitialspace=True))
    names = [name.strip() for name in above]
    width = len(shape.row)
    if len(names) > 1 and len(names) == width - 1 and shape.delimiter == "," and shape.row[-1] != "":
        raise Unclear(
            "Its columns are parted by commas and its numbers have commas too: each reading has one column more than "
            "the names above. Write the file again with points, or parted by semicolons."
        )
    return tuple(names[:width]) if len(names) >= width - 1 and len(names) > 1 else ()


def _temperature_column(shape: _Shape, header: Sequence[str], declared: Declared) -> int:
    numbers = list(_numbers(shape.row, shape.when))
    if declared.column:
        named = [place for place in numbers if place < len(header) and header[place] == declared.column]
        if declared.column.isdecimal() and int(declared.column) - 1 in numbers:
            named = named or [int(declared.column) - 1]
        if len(named) == 1:
            return named[0]
        raise Unclear(f"No one column of numbers is called “{declared.column}”: {_columns(numbers, header)}.")
    by_name = [place for place in numbers if place < len(header) and _TEMPERATURE.search(header[place])]
    by_name = [place for place in by_name if not _OTHER.search(header[place])]
    found = by_name or [
        place for place in numbers if place >= len(header) or not _OTHER.search(header[place])
    ]
    if len(found) != 1:
        raise Unclear(f"Several columns could be the temperature: {_columns(found, header)}. Say which one.")
    return found[0]


def _columns(places: Sequence[int], header: Sequence[str]) -> str:
    return ", ".join(
        f"column {place + 1}" + (f" ({header[place]})" if place < len(header) else "") for place in places
    )


def _fahrenheit(
    above: Sequence[str], header: Sequence[str], row: Sequence[str], column: int, declared: Declared
) -> bool:
    """The nearest word counts: in the cell, over the column, in the lines above."""
    said = declared.unit
    named = header[column] if column < len(header) else ""
    for text in (row[column], named, *reversed(above)):
        celsius, fahrenheit = bool(_C.search(text)), bool(_F.search(text))
        if celsius != fahrenheit:
            found = FAHRENHEIT if fahrenheit else CELSIUS
            if said and said != found:
                raise Unclear(f"The file says °{found} and this logger was declared to write °{said}.")
            said = found
            break
    if not said:
        raise Unclear("The file does not say whether it is °C or °F: say which.")
    return said == FAHRENHEIT


def _without_moments(lines: Sequence[str], declared: Declared) -> Format:
    """A start and an interval, given once, and then one number after the other."""
    starts = [found[1].strip(' "') for line in lines if (found := _START.search(line))]
    intervals = [found for line in lines if (found := _INTERVAL.search(line))]
    first = next((n for n, line in enumerate(lines) if _NUMBER.fullmatch(line.strip().strip('"'))), None)
    if first is None or len(starts) != 1 or len(intervals) != 1:
        raise Unclear(
            "No line was found that has a date, a time and a temperature. Export the readings as text, one a line."
        )
    many, minutes, seconds, unit = intervals[0].groups()
    interval_s = int(many) * {"s": 1, "min": 60, "h": 3600, None: 1}[unit and unit.lower()]
    if minutes is not None:
        interval_s = int(many) * 3600 + int(minutes) * 60 + int(seconds)
    elif unit is None:
        raise Unclear("The interval between readings stands there without s, min or h.")
    return Format(
        delimiter="\t",
        first_line=first,
        when=(),
        by_day_of_year=False,
        temperature=0,
        fahrenheit=_fahrenheit(lines[:first], (), (lines[first].strip(),), 0, declared),
        start=starts[0],
        interval_s=interval_s,
    )


def why_not_declared(declared: Declared) -> Iterator[str]:
    if declared.dates not in ("", DAY_FIRST, MONTH_FIRST, YEAR_FIRST):
        yield "The order of dates is dmy, mdy or ymd."
    if declared.unit not in ("", CELSIUS, FAHRENHEIT):
        yield "The unit is C or F."
    if declared.clock != SITE_CLOCK and not re.fullmatch(r"[+-]\d{2}:\d{2}", declared.clock):
        yield "The clock is “site”, or how far it is from UTC, such as +01:00."
    if declared.year and not 1970 <= declared.year <= 9999:
        yield "The year is one such as 2026."
