"""Codes of our own for every thing that carries a label: kind, site, serial and two check digits.

A code is fourteen characters, `K SSSS NNNNNNN CC`: one letter for the kind of thing, four for the site,
a serial of seven digits and two check digits by ISO/IEC 7064 MOD 97-10, where A counts as 10 and Z as 35.
Every single wrong character and every swap of two neighbours is found; of wilder errors about one in 97 is not.
The letters B, I, L, O, S, Y and Z are left out of site names because they are misread.
"""

import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from stdnum.iso7064 import mod_97_10

from buffycoat.science.errors import OutOfRange

KINDS: Final[dict[str, str]] = {
    "D": "donor",
    "G": "donation",
    "U": "unit",
    "P": "place",
    "R": "spin run",
    "L": "bag set lot",
    "T": "rotor",
    "E": "piece of equipment",
    "A": "patient",
    "Q": "request",
    "H": "person",
    "C": "command card",
    "J": "sticker of satellite bag 1",
    "K": "sticker of satellite bag 2",
    "M": "sticker of satellite bag 3",
    "V": "tube's sticker",
    "N": "sticker for paper",
}
SITE_LETTERS: Final = "ACDEFGHJKMNPQRTUVWX"
LARGEST_SERIAL: Final = 9_999_999
LENGTH: Final = 14

_READER_PREFIX = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_SPACING = re.compile(r"[\s\-\u00ad\u2010-\u2015\u2212]")
_SHAPE = re.compile(rf"([A-Z])([{SITE_LETTERS}]{{4}})([0-9]{{7}})([0-9]{{2}})")


class BadCode(ValueError):
    """What was scanned or typed is not one of our codes, or is a code of another kind."""


@dataclass(frozen=True)
class Code:
    """A code that was read and found right."""

    kind: str
    site: str
    serial: int
    text: str

    @property
    def noun(self) -> str:
        """The plain noun for what the code is stuck to."""
        return KINDS[self.kind]

    def __str__(self) -> str:
        return show_code(self.text)


def make_code(kind: str, site: str, serial: int) -> str:
    """Make the fourteen characters of a code.

    Check digits: 98 − (100 n mod 97), 02 to 98, n the kind, site and serial as one number with A = 10 … Z = 35.

    Arguments: kind, one letter of ACDEGHJKLMNPQRTUV; site, four of ACDEFGHJKMNPQRTUVWX; serial, 1 to 9 999 999.
    Raises: OutOfRange for any other kind, site or serial.
    Range: every single wrong character and every swap of neighbours is found.
    Source: ISO/IEC 7064:2003 MOD 97-10; its example is `794` with check digits `44`.

    >>> mod_97_10.calc_check_digits("794")
    '44'
    >>> make_code("U", "KTRA", 4217)
    'UKTRA000421717'
    """
    if kind not in KINDS:
        raise OutOfRange(
            f"There is no kind of thing with the letter {kind!r}; the letters are {' '.join(KINDS)}."
        )
    if len(site) != 4 or not set(site) <= set(SITE_LETTERS):
        raise OutOfRange(f"A site is four letters out of {SITE_LETTERS}; {site!r} is not.")
    if not isinstance(serial, int) or isinstance(serial, bool) or not 1 <= serial <= LARGEST_SERIAL:
        raise OutOfRange(f"A serial is a whole number from 1 to {LARGEST_SERIAL}; {serial} is not.")
    body = f"{kind}{site}{serial:07d}"
    return body + mod_97_10.calc_check_digits(body)


def show_code(code: str) -> str:
    """Write a code the way people read it, in three groups.

    Kind and site, seven figures, two check figures. Raises: BadCode if the text is not one of our codes.
    Range: a code of fourteen characters.
    Source: our own convention.

    >>> show_code("UKTRA000421717")
    'UKTRA-0004217-17'
    """
    text = read_code(code).text
    return f"{text[:5]}-{text[5:12]}-{text[12:]}"


def read_code(text: str, kinds: Collection[str] | None = None) -> Code:
    """Read a code that was scanned or typed, forgiving spaces, hyphens, case and a reader's symbology prefix.

    Arguments: text as it came; kinds, the letters that are welcome here (left out: any).
    Raises: BadCode with a sentence for the person who scanned.
    Range: nothing is guessed; a letter O in the serial is refused, not taken for a zero.
    Source: ISO/IEC 7064:2003 MOD 97-10; prefixes such as `]C0` and `]d1` by ISO/IEC 15424.

    >>> read_code("]C0uktra 0004217-17")
    Code(kind='U', site='KTRA', serial=4217, text='UKTRA000421717')
    >>> read_code("UKTRA-0004217-71")
    Traceback (most recent call last):
    ...
    buffycoat.science.numbering.BadCode: The last two figures do not fit the rest: a character was misread. \
Scan or type it again.
    >>> read_code("UKTRA-0004217-17", kinds="D")
    Traceback (most recent call last):
    ...
    buffycoat.science.numbering.BadCode: That is a unit, not a donor.
    """
    tidy = _tidy(text)
    match = _SHAPE.fullmatch(tidy)
    if match is None:
        raise BadCode(_why_no_code(tidy))
    kind, site, serial, check = match.groups()
    if mod_97_10.calc_check_digits(tidy[:-2]) != check:
        raise BadCode(
            "The last two figures do not fit the rest: a character was misread. Scan or type it again."
        )
    if kind not in KINDS:
        raise BadCode(f"No kind of thing here begins with the letter {kind}.")
    if int(serial) == 0:
        raise BadCode("The serial is nought: this code was never given out.")
    if kinds is not None and kind not in kinds:
        wanted = " or ".join(f"a {noun}" for letter, noun in KINDS.items() if letter in kinds)
        raise BadCode(f"That is a {KINDS[kind]}, not {wanted or 'wanted here'}.")
    return Code(kind=kind, site=site, serial=int(serial), text=tidy)


def _tidy(text: str) -> str:
    return _SPACING.sub(
        "", _READER_PREFIX.sub("", text.strip(), count=1) if text.strip()[:1] == "]" else text
    ).upper()


def _why_no_code(tidy: str) -> str:
    if not tidy:
        return "Nothing was scanned or typed."
    if len(tidy) > LENGTH and len(tidy) % LENGTH == 0 and _SHAPE.match(tidy):
        return "Two codes were read at once. Scan or type one of them."
    if len(tidy) != LENGTH:
        return (
            f"A code of ours has {LENGTH} letters and figures; this has {len(tidy)}. Scan or type it again."
        )
    site, figures = tidy[1:5], tidy[5:]
    if not ("A" <= tidy[0] <= "Z"):
        return "A code of ours begins with five letters. Scan or type it again."
    for letter in site:
        if letter not in SITE_LETTERS:
            return (
                f"No site has {letter!r} in its letters: it was misread or mistyped. Scan or type it again."
            )
    for letter in figures:
        if letter in "OQD":
            return (
                f"There is the letter {letter} where a figure belongs; it may be a 0. Scan or type it again."
            )
        if letter in "IL":
            return (
                f"There is the letter {letter} where a figure belongs; it may be a 1. Scan or type it again."
            )
    return "A code of ours is five letters and then nine figures. Scan or type it again."
