"""Numbers, times and names as people read them. Pure: every page, picture and printed sheet says them the same way."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

NO_BREAK = "\u00a0"
THIN = "\u202f"
MINUS = "\u2212"


def grouped(value: int) -> str:
    """A whole number with its figures in threes.

    >>> grouped(451), grouped(12500).replace(THIN, " "), grouped(-5)
    ('451', '12 500', '−5')
    """
    text = f"{abs(value):,}".replace(",", THIN)
    return f"{MINUS}{text}" if value < 0 else text


def scaled(value: int, places: int) -> str:
    """A whole number of smallest steps, written with up to `places` decimals and no trailing noughts.

    >>> scaled(445, 1), scaled(440, 1), scaled(23400, 3), scaled(50, 3)
    ('44.5', '44', '23.4', '0.05')
    """
    whole, rest = divmod(abs(value), 10**places)
    decimals = f"{rest:0{places}d}".rstrip("0") if places else ""
    text = f"{grouped(whole)}.{decimals}" if decimals else grouped(whole)
    return f"{MINUS}{text}" if value < 0 else text


def with_unit(number: str, unit: str) -> str:
    return f"{number}{NO_BREAK}{unit}" if unit else number


def grams(mass_g: int) -> str:
    return with_unit(grouped(mass_g), "g")


def millilitres(volume_ml: int) -> str:
    return with_unit(grouped(volume_ml), "mL")


def kilograms(mass_g: int) -> str:
    return with_unit(scaled(mass_g, 3), "kg")


def permille_as_percent(permille: int) -> str:
    return with_unit(scaled(permille, 1), "%")


def density(mg_per_ml: int) -> str:
    return with_unit(f"{mg_per_ml // 1000}.{mg_per_ml % 1000:03d}", "g/mL")


def celsius(temperature_c: int) -> str:
    return with_unit(grouped(temperature_c), "°C")


def duration(seconds: int) -> str:
    """
    >>> duration(45), duration(720), duration(3900), duration(90000)
    ('45\\xa0s', '12\\xa0min', '1\\xa0h 05\\xa0min', '1\\xa0d 1\\xa0h')
    """
    minutes, hours, days = seconds // 60, seconds // 3600, seconds // 86400
    if seconds < 60:
        return with_unit(str(seconds), "s")
    if hours < 1:
        return with_unit(str(minutes), "min")
    if days < 1:
        return f"{with_unit(str(hours), 'h')} {with_unit(f'{minutes % 60:02d}', 'min')}"
    return f"{with_unit(str(days), 'd')} {with_unit(str(hours % 24), 'h')}"


def day(on: date) -> str:
    """
    >>> day(date(2026, 10, 4))
    '4 Oct 2026'
    """
    return f"{on.day} {on:%b %Y}"


def clock(moment: datetime, zone: ZoneInfo) -> str:
    return f"{moment.astimezone(zone):%H:%M}"


def moment(at: datetime, zone: ZoneInfo) -> str:
    """
    >>> from datetime import UTC
    >>> moment(datetime(2026, 10, 24, 13, 5, tzinfo=UTC), ZoneInfo("Europe/London"))
    '24 Oct 2026, 14:05'
    """
    local = at.astimezone(zone)
    return f"{day(local)}, {local:%H:%M}"


def clock_or_moment(at: datetime, zone: ZoneInfo, now: datetime) -> str:
    """The time of day; with its day if that is not today.

    >>> from datetime import UTC
    >>> noon, utc = datetime(2026, 10, 24, 12, 0, tzinfo=UTC), ZoneInfo("UTC")
    >>> clock_or_moment(noon, utc, noon), clock_or_moment(noon, utc, datetime(2026, 10, 25, 0, 0, tzinfo=UTC))
    ('12:00', '24 Oct 2026, 12:00')
    """
    same_day = at.astimezone(zone).date() == now.astimezone(zone).date()
    return clock(at, zone) if same_day else moment(at, zone)


def age(born_on: date, on: date) -> str:
    """Age in whole years, and in months for the young.

    >>> age(date(2020, 5, 3), date(2026, 5, 2)), age(date(2026, 1, 31), date(2026, 11, 25))
    ('5 years', '9 months')
    """
    months = (on.year - born_on.year) * 12 + on.month - born_on.month - (on.day < born_on.day)
    if months < 24:
        return f"{months} month{'s' * (months != 1)}"
    return f"{months // 12} years"


_SMALL = (
    "nought one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
    "seventeen eighteen nineteen"
).split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()


def number_in_words(value: int) -> str:
    """A whole number below a million, in words, to be read back beside the figures.

    >>> number_in_words(451), number_in_words(20_045)
    ('four hundred fifty-one', 'twenty thousand forty-five')
    """
    if value < 0:
        return f"minus {number_in_words(-value)}"
    if value >= 1_000_000:
        return grouped(value)
    if value < 20:
        return _SMALL[value]
    if value < 100:
        tens, ones = divmod(value, 10)
        return _TENS[tens - 2] + (f"-{_SMALL[ones]}" if ones else "")
    size, word = (1000, "thousand") if value >= 1000 else (100, "hundred")
    many, rest = divmod(value, size)
    return f"{number_in_words(many)} {word}" + (f" {number_in_words(rest)}" if rest else "")
