"""Numbers and times as people type them: read exactly, or refused with one sentence. Nothing is ever guessed."""

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta, timezone
from decimal import Decimal
from zoneinfo import ZoneInfo

_NUMBER = re.compile(r"[0-9]+(\.[0-9]+)?|\.[0-9]+")
_UNIT_AFTER = re.compile(r"(?<=[\d.\s])\s*([^\W\d_]+(?:/[^\W\d_]+)?|%|‰|°C)$")
_MINUSES = str.maketrans("\u2212\u2013", "--")


class Unreadable(ValueError):
    """What was typed cannot be read; the message says what to type instead."""


def read_number(text: str, *, units: Mapping[str, str], places: int, example: str) -> int:
    """The typed number as a whole number of smallest steps: 44.5 with one decimal place is 445.

    `units` maps what may be written behind the number, in lower case, to how we write it; `example` ends each refusal.
    Raises: Unreadable.

    >>> read_number(" 231 g", units={"g": "g"}, places=0, example="231")
    231
    >>> read_number("44.5 %", units={"%": "%"}, places=1, example="44.5")
    445
    """
    typed = text.strip().translate(_MINUSES)
    number = _without_unit(typed, units)
    sign = -1 if number.startswith("-") else 1
    number = number.removeprefix("-").strip()
    if not _NUMBER.fullmatch(number):
        raise Unreadable(f"“{typed}” {_why_no_number(number)} For example: {example}.")
    value = Decimal(number) * 10**places
    if value != value.to_integral_value():
        raise Unreadable(f"“{typed}” has {_too_fine(places)} For example: {example}.")
    return sign * int(value)


def _without_unit(typed: str, units: Mapping[str, str]) -> str:
    found = _UNIT_AFTER.search(typed)
    if found is None or not any(character.isdigit() for character in typed):
        return typed
    if found[1].lower() in units:
        return typed[: found.start()].strip()
    ours = next(iter(units.values()), "")
    if ours and found[1].lower() in _KNOWN_UNITS:
        raise Unreadable(f"“{typed}” is in {found[1]}; this is asked in {ours}. Type the number in {ours}.")
    return typed


# Not the units of one letter that may be a figure misread or a finger slipped: l, s, h.
_KNOWN_UNITS = {"g", "kg", "mg", "ml", "dl", "%", "‰", "°c", "min", "mm", "cm", "rpm", "g/ml"}


def _why_no_number(number: str) -> str:
    if not number:
        return "has no figures in it. Type the number."
    if "," in number:
        return "has a comma. Type thousands without a comma, and decimals with a point."
    if word := next((run for run in re.findall(r"[^\W\d_]+", number) if run.isalpha()), ""):
        return f"has {'the letter' if len(word) == 1 else 'the letters'} {word} in it. Type figures only."
    if number.count(".") > 1:
        return "has more than one decimal point. Type one number."
    if re.search(r"\d\s+[\d.]|\.\s", number):
        return "has a blank inside the number. Type it without."
    if number.endswith("."):
        return "ends with a decimal point: a figure may be missing. Type the whole number."
    return "is not one number. Type figures, with at most one decimal point."


def _too_fine(places: int) -> str:
    if places == 0:
        return "a decimal, and whole numbers are asked here."
    return f"too many decimals: at most {places} {'is' if places == 1 else 'are'} asked here."


_MONTHS = {
    name: i for i, name in enumerate("jan feb mar apr may jun jul aug sep oct nov dec".split(), start=1)
}
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?::00)?\s*([+\-]\d{2}:?\d{2}|Z)?", re.IGNORECASE)
_DAY_FIRST = re.compile(r"(\d{1,2})[\s.\-]+([^\W\d_]{3,9})\.?[\s.\-,]+(\d{4})")
_YEAR_FIRST = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
HOW_DAY = "Type it like 24 Oct 2026."
HOW_MOMENT = "Type it like 24 Oct 2026 14:05, or 14:05 for today."


def read_day(text: str) -> date:
    """A calendar day whose month cannot be taken for its day.

    >>> read_day("24 Oct 2026") == read_day("2026-10-24") == date(2026, 10, 24)
    True
    """
    typed = " ".join(text.split())
    if match := _YEAR_FIRST.fullmatch(typed):
        year, month, number = (int(part) for part in match.groups())
    elif match := _DAY_FIRST.fullmatch(typed):
        number, year = int(match[1]), int(match[3])
        month = _MONTHS.get(match[2][:3].lower(), 0)
    elif re.fullmatch(r"\d{1,4}[/.\-]\d{1,2}[/.\-]\d{1,4}", typed):
        raise Unreadable(f"In “{typed}” the day and the month could be mistaken for each other. {HOW_DAY}")
    else:
        raise Unreadable(f"“{typed}” is not a date. {HOW_DAY}")
    try:
        return date(year, month, number)
    except ValueError:
        raise Unreadable(f"There is no day “{typed}” in the calendar. {HOW_DAY}") from None


def read_moment(text: str, *, zone: ZoneInfo, today: date) -> datetime:
    """A clock time of the site, with or without its day, as UTC.

    A time that the clock change skips or repeats is refused.

    Raises: Unreadable.

    >>> read_moment("24 Oct 2026, 14:05", zone=ZoneInfo("Europe/London"), today=date(2026, 1, 1)).isoformat()
    '2026-10-24T13:05:00+00:00'
    """
    typed = (
        " ".join(text.replace("T", " ").split())
        if re.match(r"\d{4}-\d\d?-\d\d?T", text.strip())
        else text.strip()
    )
    match = re.search(rf"(?:^|[\s,]){_CLOCK.pattern}$", typed, re.IGNORECASE)
    if match is None:
        raise Unreadable(f"“{typed}” has no clock time at its end. {HOW_MOMENT}")
    before = typed[: match.start()].strip(" ,")
    on = read_day(before) if before else today
    hour, minute = int(match[1]), int(match[2])
    if hour > 23 or minute > 59:
        raise Unreadable(
            f"There is no clock time {match[1]}:{match[2]}; the day runs from 00:00 to 23:59. {HOW_MOMENT}"
        )
    local = datetime.combine(on, time(hour, minute))
    return _with_offset(local, match[3]) if match[3] else _in_zone(local, zone)


def _with_offset(local: datetime, offset: str) -> datetime:
    if offset.upper() == "Z":
        return local.replace(tzinfo=UTC)
    hours, minutes = int(offset[1:3]), int(offset[-2:])
    if hours > 14 or minutes > 59:
        raise Unreadable(f"There is no place on earth at {offset} from UTC. Type the time without it.")
    ahead = timedelta(hours=hours, minutes=minutes)
    return local.replace(tzinfo=timezone(-ahead if offset[0] == "-" else ahead)).astimezone(UTC)


def _in_zone(local: datetime, zone: ZoneInfo) -> datetime:
    first, second = (local.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    moment = first.astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) != local:
        raise Unreadable(
            f"The clocks went forward on that day and {local:%H:%M} was skipped. Look at the time again."
        )
    if first.utcoffset() != second.utcoffset():
        ways = " or ".join(
            f"{local:%H:%M} {each.strftime('%z')[:3]}:{each.strftime('%z')[3:]}" for each in (first, second)
        )
        raise Unreadable(f"The clocks went back on that day and {local:%H:%M} came twice. Type {ways}.")
    return moment
