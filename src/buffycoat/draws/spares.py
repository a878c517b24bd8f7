"""Spare numbers: given out beforehand, printed on paper sheets, used when the program cannot be reached."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State
from buffycoat.science.numbering import KINDS, make_code, show_code
from buffycoat.site.rules import limits

MOST_SHEETS = 20
UNITS_A_SHEET = 2  # red cells and plasma


@dataclass(frozen=True, kw_only=True)
class SpareNumberGiven(Fact, kind="spare-number-given"):
    """`sheet` is the donation number of the paper sheet on which the number is printed."""

    spare: str
    sheet: str


@dataclass(frozen=True, kw_only=True)
class Spare(State):
    stream: ClassVar[str] = "spare"
    given: SpareNumberGiven | None = None

    def evolve(self, line: Line) -> Self:
        return replace(self, given=line.fact) if isinstance(line.fact, SpareNumberGiven) else self


@dataclass(frozen=True, kw_only=True)
class GiveSpareNumbers(Command):
    """A donation's number and two units' numbers for each sheet."""

    sheets: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not 1 <= self.sheets <= MOST_SHEETS:
            yield f"Print 1 to {MOST_SHEETS} sheets at a time: {self.sheets} is not."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        site, serial = limits(look).text("site_code"), look.serial
        for _ in range(self.sheets):
            sheet = make_code("G", site, serial)
            for kind in "G" + "U" * UNITS_A_SHEET:
                spare = make_code(kind, site, serial)
                yield f"{Spare.stream}/{spare}", SpareNumberGiven(spare=spare, sheet=sheet)
                serial += 1


def why_not_spare(look: Look, number: str, kind: str, *, used: bool) -> Iterator[str]:
    """Why a number may not be taken for something new; nothing when it is a spare that is still free."""
    if number[0] != kind:
        yield f"{show_code(number)} is the number of a {KINDS[number[0]]}: scan that of the {KINDS[kind]}."
    elif look(Spare, number).given is None:
        yield f"{show_code(number)} is not a spare number of this book: scan it from a printed paper sheet."
    elif used:
        yield f"{show_code(number)} is in the book already: this sheet was entered."
