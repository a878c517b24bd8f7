"""What a cell says, in the book's own terms. What can be read in two ways is refused until somebody says which."""

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from fractions import Fraction

DAY_FIRST, MONTH_FIRST = "day first", "month first"
GRAMS = {
    "kg": Fraction(1000),
    "lb": Fraction(45359237, 100000),
    "g": Fraction(1),
}  # international pound, exact
MONTHS = {
    name: i for i, name in enumerate("jan feb mar apr may jun jul aug sep oct nov dec".split(), start=1)
}
SEX_WORDS = {
    "female": "female f fn fs sf spayed bitch queen w weiblich",
    "male": "male m mn mc cm nm castrated dog tom männlich",
}
SPECIES_WORDS = {"dog": "dog dogs canine k9 c hund", "cat": "cat cats feline f katze"}
SIGNS = {
    "+": "positive",
    "pos": "positive",
    "positive": "positive",
    "-": "negative",
    "neg": "negative",
    "negative": "negative",
}
_FIGURES = re.compile(r"([-+]?)(\d[\d.,' ]*)\s*([a-zA-Zµ%/]*)\.?")
_THREE = re.compile(r"(\d{1,4})[/.\-](\d{1,2})[/.\-](\d{1,4})")
_WORDED = re.compile(r"(\d{1,2})[\s.\-/]+([a-z]{3,9})[\s.,\-/]+(\d{2}|\d{4})")
_MONTH_WORDED = re.compile(r"([a-z]{3,9})[\s.]+(\d{1,2})(?:st|nd|rd|th)?[\s.,]+(\d{4})")
_CLOCK = re.compile(r"[\sT]+(\d{1,2}):(\d{2})(?::\d{2}(?:\.\d+)?)?$")


class Unclear(Exception):
    """Why a cell cannot be taken, as a sentence."""


def number(text: str) -> tuple[Fraction, str]:
    """A number with point or comma, and the unit behind it in small letters.

    >>> number("24,5 kg")
    (Fraction(49, 2), 'kg')
    """
    match = _FIGURES.fullmatch(text.strip())
    if match is None:
        raise Unclear(f"“{text}” is no number.")
    figures = match[2].replace(" ", "").replace("'", "")
    marks = [mark for mark in figures if mark in ".,"]
    if len(set(marks)) == 2:
        if marks.count(marks[-1]) > 1:
            raise Unclear(f"“{text}” is no number.")
        figures = figures.replace(marks[0], "").replace(marks[-1], ".")
    elif len(marks) > 1:
        figures = figures.replace(marks[0], "")
    elif marks and re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", figures) and marks[0] == ",":
        raise Unclear(
            f"“{text}” may be thousands or decimals: write decimals with a point, and thousands without a mark."
        )
    try:
        value = Fraction(figures.replace(",", ".").rstrip("."))
    except ValueError:
        raise Unclear(f"“{text}” is no number.") from None
    return (-value if match[1] == "-" else value), match[3].lower()


def grams(text: str, unit: str) -> int:
    """A body's weight; the unit in the cell goes before that of the heading or of the whole list."""
    value, said = number(text)
    unit = {"kgs": "kg", "lbs": "lb", "pounds": "lb"}.get(said, said) or unit
    if unit not in GRAMS:
        raise Unclear(f"“{text}”: kg or lb? Say it for the whole list, or write it in the heading.")
    return round(value * GRAMS[unit])


def millilitres(text: str, unit: str) -> int:
    value, said = number(text)
    unit = said or unit or "ml"
    if unit not in ("ml", "cc", "l"):
        raise Unclear(f"“{text}” is not in mL.")
    return round(value * (1000 if unit == "l" else 1))


def permille(text: str) -> int:
    """In per cent, or as a share below 1."""
    value, said = number(text)
    if said not in ("", "%", "l/l"):
        raise Unclear(f"“{text}” is not in per cent.")
    return round(value * (1000 if value < 1 and said != "%" else 10))


def day(text: str, order: str) -> date:
    return day_and_time(text, order)[0]


def day_and_time(text: str, order: str) -> tuple[date, time | None]:
    """The day, and the clock time if one stands behind it.

    >>> day_and_time("25/04/2026 14:30", "")
    (datetime.date(2026, 4, 25), datetime.time(14, 30))
    """
    words = " ".join(text.casefold().split()).replace("t0", " 0").replace("t1", " 1").replace("t2", " 2")
    clock = None
    if match := _CLOCK.search(words):
        words = words[: match.start()]
        try:
            clock = time(int(match[1]), int(match[2]))
        except ValueError:
            raise Unclear(f"“{text}” has no clock time that there is.") from None
    year, month, number_of_day = _parts(words, text, order)
    if not 1900 < year < 2100:
        raise Unclear(f"“{text}”: there is no year {year} in the life of a donor.")
    try:
        found = date(year, month, number_of_day)
    except ValueError:
        raise Unclear(f"“{text}”: there is no such day in the calendar.") from None
    return found, None if clock == time() else clock


def _parts(words: str, text: str, order: str) -> tuple[int, int, int]:
    if match := _WORDED.fullmatch(words):
        return _year(match[3]), MONTHS.get(match[2][:3], 0), int(match[1])
    if match := _MONTH_WORDED.fullmatch(words):
        return int(match[3]), MONTHS.get(match[1][:3], 0), int(match[2])
    match = _THREE.fullmatch(words)
    if match is None:
        raise Unclear(f"“{text}” is no day: write it like 2026-04-03 or 3 Apr 2026.")
    first, second, third = (int(each) for each in match.groups())
    if len(match[1]) == 4:
        return first, second, third
    if len(match[1]) == 3 or len(match[3]) not in (2, 4):
        raise Unclear(f"“{text}” is no day: write it like 2026-04-03 or 3 Apr 2026.")
    year = _year(match[3])
    if order == MONTH_FIRST:
        return year, first, second
    if order == DAY_FIRST or first > 12 or first == second:
        return year, second, first
    if second > 12:
        return year, first, second
    raise Unclear(f"“{text}” may be {_both(year, first, second)}: say which comes first.")


def _year(figures: str) -> int:
    return int(figures) + (2000 if len(figures) == 2 else 0)


def _both(year: int, first: int, second: int) -> str:
    return f"{datetime(year, second, first):%d %b %Y} or {datetime(year, first, second):%d %b %Y}"  # noqa: DTZ001


def _one_of(words: Mapping[str, str], text: str, choose: str) -> str:
    said = re.split(r"[\s,/()-]+", text.casefold().strip())[0]
    found = next((value for value, known in words.items() if said in known.split()), "")
    if not found:
        raise Unclear(f"“{text}”: {choose}")
    return found


def sex(text: str) -> str:
    return _one_of(SEX_WORDS, text, "write female or male.")


def species(text: str) -> str:
    return _one_of(SPECIES_WORDS, text, "write dog or cat.")


def blood_type(text: str, species: str) -> str:
    """The type as it is written here.

    DEA 1.1 is an old name: what was positive then is DEA 1 positive now, but what was negative may still have been
    DEA 1.2, which is DEA 1 positive too (from memory: one antigen of graded strength).
    """
    words = " ".join(re.sub(r"([+-])", r" \1 ", text.casefold().replace("−", "-")).split())
    if species == "cat":
        told = words.removeprefix("type ").removeprefix("ab system ").upper()
        return {"MIK +": "Mik positive", "MIK -": "Mik negative"}.get(told, told)
    match = re.fullmatch(r"(dea ?1(?:[.,][12])?|dal|kai ?[12]|dea ?[3457])?\s*(\+|-|pos\w*|neg\w*)", words)
    if match is None:
        return text.strip()
    system = (match[1] or "dea 1").replace(" ", "").replace(",", ".")
    sign = SIGNS.get(match[2]) or SIGNS[match[2][:3]]
    if system.startswith("dea1."):
        if sign == "negative":
            raise Unclear(
                f"“{text}” need not be DEA 1 negative, for it may be DEA 1.2: leave it out and type the donor anew."
            )
        system = "dea1"
    named = {"dal": "Dal", "kai1": "Kai 1", "kai2": "Kai 2"}.get(system) or f"DEA {system[3:]}"
    return f"{named} {sign}"
