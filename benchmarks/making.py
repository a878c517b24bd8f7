"""A large book in little time: true lines of a few donors, written down again and again under other numbers.

The lines of the pattern are recorded through the commands. Every copy gets codes, command ids, numbers and seals of its
own, so the chain holds and the registers can be made from it. Its times are those of the pattern.
"""

import random
import re
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import timedelta
from itertools import islice
from typing import Any

from django.conf import settings
from django.db import connection

from buffycoat.donors.rules import ExamineDonor
from buffycoat.journal.chain import seal
from buffycoat.journal.models import Entry, Head
from buffycoat.science.numbering import make_code
from buffycoat.storage.rules import DiscardUnit
from tests.walk import OF_TODAY, START, Walk

DONORS, DONATIONS = 6, 5  # of the pattern, and of each donor
AT_ONCE = 50_000
NAMES = re.compile(r'"number":\d+|"command_id":"[0-9a-f]{32}"|[DGRU][A-Z]{4}[0-9]{9}')
COLUMNS = (
    "number",
    "stream",
    "version",
    "kind",
    "happened_at",
    "recorded_at",
    "by",
    "command_id",
    "line",
    "hash",
)

Row = tuple[Any, ...]


def a_donor_and_its_blood(walk: Walk, species: str) -> range:
    """Everything of one donor, from its registration to the end of its last unit; the numbers of these entries."""
    first, walk.at = Head.objects.get(id=1).number + 1, START + timedelta(days=1)
    donor = walk.a_donor(species, examined=False)
    for _ in range(DONATIONS):
        walk.do(ExamineDonor(donor=donor, **OF_TODAY[species]))
        donation = walk.on_the_shelf(species, donor=donor)
        walk.wait(days=2)
        for unit in walk.units(donation).values():
            walk.do(DiscardUnit(unit=unit, reason="Given to a patient."))
        walk.wait(days=70)
    return range(first, Head.objects.get(id=1).number + 1)


class Pattern:
    """The lines of one donor, with a gap for each name that a copy has of its own."""

    def __init__(self, numbers: range) -> None:
        entries = Entry.objects.filter(number__in=numbers).order_by("number")
        self.lines = [self._with_gaps(each.line) for each in entries]
        self.rows = [
            (
                self._with_gaps(each.stream),
                each.version,
                each.kind,
                _text(each.happened_at),
                _text(each.recorded_at),
                each.by,
                each.command_id,
            )
            for each in entries
        ]
        named = {name for each in entries for name in NAMES.findall(each.line + each.stream)}
        self.codes = sorted(name for name in named if not name.startswith('"'))
        self.commands = sorted({each.command_id for each in entries})

    @staticmethod
    def _with_gaps(text: str) -> str:
        def gap(found: re.Match[str]) -> str:
            name = found.group()
            if name.startswith('"number"'):
                return '"number":%(number)d'
            return f'"command_id":"%({name[14:-1]})s"' if name.startswith('"') else f"%({name})s"

        return NAMES.sub(gap, text.replace("%", "%%"))

    def copy(
        self, serials: Iterator[int], chance: random.Random
    ) -> Iterator[tuple[str, Row, dict[str, Any]]]:
        names: dict[str, Any] = {code: make_code(code[0], code[1:5], next(serials)) for code in self.codes}
        names |= {each: f"{chance.getrandbits(128):032x}" for each in self.commands}
        for line, row in zip(self.lines, self.rows, strict=True):
            yield line, row, names


def _text(moment: Any) -> str:
    return str(moment)[: -len("+00:00")]


def make(entries: int, seed: int) -> None:
    """Fills the empty bank of this process up to so many entries; registers are left to the rebuild."""
    walk = Walk()
    for species in OF_TODAY:
        walk.on_the_shelf(species)  # the lots, the rotor and the places, which all copies share
    patterns = [
        Pattern(a_donor_and_its_blood(walk, "cat" if number % 3 == 0 else "dog")) for number in range(DONORS)
    ]
    head = Head.objects.get(id=1)
    connection.close()
    with closing(sqlite3.connect(settings.DATABASES["default"]["NAME"], isolation_level=None)) as file:
        file.executescript("PRAGMA synchronous=OFF; PRAGMA journal_mode=OFF; PRAGMA cache_size=-3000000;")
        rows = islice(_rows(head, patterns, random.Random(seed)), entries - head.number)
        while several := list(islice(rows, AT_ONCE)):
            file.execute("BEGIN")
            file.executemany(
                f"INSERT INTO journal_entry ({_quoted(COLUMNS)}) VALUES ({_marks(COLUMNS)})", several
            )
            file.execute("UPDATE journal_head SET number = ?, hash = ?", (several[-1][0], several[-1][-1]))
            file.execute("COMMIT")
        file.execute("PRAGMA journal_mode=WAL")


def _rows(head: Head, patterns: Sequence[Pattern], chance: random.Random) -> Iterator[Row]:
    number, previous, serials = head.number, head.hash, iter(range(head.number + 1, 10_000_000))
    while True:
        for gapped, row, names in chance.choice(patterns).copy(serials, chance):
            stream, version, kind, happened_at, recorded_at, by, command = row
            number += 1
            names["number"] = number
            line = gapped % names
            previous = seal(previous, line)
            yield (
                number,
                stream % names,
                version,
                kind,
                happened_at,
                recorded_at,
                by,
                names[command],
                line,
                previous,
            )


def _quoted(columns: Sequence[str]) -> str:
    return ", ".join(f'"{each}"' for each in columns)


def _marks(columns: Sequence[str]) -> str:
    return ", ".join("?" * len(columns))
