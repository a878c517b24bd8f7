"""A laboratory's results as a CSV file: read with care, row by row. Pure; what the file says is data, never more."""

import csv
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from io import StringIO

from buffycoat.donors.donor import Donor
from buffycoat.donors.panel import METHODS, POSITIVE, RESULTS
from buffycoat.donors.registering import CHIP_TYPES
from buffycoat.donors.results import STANDS_ALREADY, LabResult, panel_names, why_not_each
from buffycoat.journal.facts import Look
from buffycoat.science.numbering import BadCode, read_code

COLUMNS = ("donor", "agent", "method", "result", "sampled")
OPTIONAL = ("laboratory",)
MOST_BYTES, MOST_ROWS = 200_000, 1_000
EXAMPLE = """donor,agent,method,result,sampled,laboratory
900000000000001,Babesia gibsoni,PCR,negative,2026-03-04,Invented laboratory"""


class NoList(ValueError):
    """Why a file cannot be read at all, in words."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """As the file has it; `number` counts from the headings, which are row 1."""

    number: int
    donor: str
    agent: str
    method: str
    result: str
    sampled: str
    laboratory: str = ""


@dataclass(frozen=True, kw_only=True)
class Judged:
    """A row with what it would be recorded as, or every reason why not."""

    row: Row
    name: str = ""
    result: LabResult | None = None
    reasons: tuple[str, ...] = ()

    @property
    def why(self) -> str:
        return " ".join(self.reasons)

    @property
    def positive(self) -> bool:
        return self.row.result.casefold() == POSITIVE

    @property
    def caution(self) -> str:
        by_hand = "Find the donor and write it down by hand now, so that what it gave waits."
        return f"Row {self.row.number} is positive and will not be recorded. {self.why} {by_hand}"

    @property
    def lost_positive(self) -> bool:
        """A positive result that would not be recorded, and is not in the book."""
        return self.positive and bool(self.reasons) and STANDS_ALREADY not in self.reasons


def read_rows(sent: bytes) -> list[Row]:
    if len(sent) > MOST_BYTES:
        raise NoList(f"This file has {len(sent) / 1000:.0f} kB; at most {MOST_BYTES // 1000} kB are taken.")
    try:
        text = sent.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:
        raise NoList("This is no text in UTF-8. Save the sheet as “CSV, UTF-8” and choose that file.")
    first = text.lstrip().partition("\n")[0]
    separator = max(",;\t", key=first.count)
    try:
        lines = list(csv.reader(StringIO(text.lstrip(), newline=""), delimiter=separator, strict=True))
    except csv.Error as trouble:
        raise NoList(f"This file is no CSV that can be read: {trouble}.") from None
    return list(_rows(lines))


def _rows(lines: Sequence[Sequence[str]]) -> Iterator[Row]:
    headings = [each.strip().casefold() for each in lines[0]] if lines else []
    if missing := [each for each in COLUMNS if headings.count(each) != 1]:
        raise NoList(f"The first row must name these columns, each once; missing: {', '.join(missing)}.")
    if len(lines) - 1 > MOST_ROWS:
        raise NoList(f"This file has {len(lines) - 1} rows; at most {MOST_ROWS} are taken at a time.")
    for number, cells in enumerate(lines[1:], 2):
        if any(cell.strip() for cell in cells):
            said = dict(zip(headings, (" ".join(cell.split()) for cell in cells), strict=False))
            yield Row(number=number, **{each: said.get(each, "") for each in (*COLUMNS, *OPTIONAL)})


def judged(
    rows: Iterable[Row], look: Look, at: datetime, donors_by_chip: Mapping[str, Sequence[str]]
) -> list[Judged]:
    """What each row would become."""
    read = [_read(row, look, donors_by_chip) for row in rows]
    whole = [each for each in read if each.result]
    reasons = iter(why_not_each([each.result for each in whole if each.result], look, at))
    return [_with(each, tuple(next(reasons))) if each.result else each for each in read]


def _with(each: Judged, reasons: tuple[str, ...]) -> Judged:
    return Judged(row=each.row, name=each.name, result=None if reasons else each.result, reasons=reasons)


def _read(row: Row, look: Look, donors_by_chip: Mapping[str, Sequence[str]]) -> Judged:
    """Every reason of the row's own at once."""
    number, why = _donor(row.donor, donors_by_chip)
    donor = look(Donor, number) if number else None
    reasons = [why] if why else []
    registered = donor.registered if donor else None
    if number and registered is None:
        reasons.append(f"No donor has the number {row.donor}.")
    agent = row.agent
    if registered:
        agent, why = _one_of(row.agent, panel_names(look, registered.species), "agent")
        reasons += [why] if why else []
    method, why = _one_of(row.method, METHODS, "method")
    reasons += [why] if why else []
    result, why = _one_of(row.result, RESULTS, "result")
    reasons += [why] if why else []
    taken_on = _day(row.sampled)
    if taken_on is None:
        reasons.append(f"“{row.sampled}” is no day by year, month and day: write it like 2026-03-04.")
    name = registered.name if registered else ""
    if reasons or taken_on is None:
        return Judged(row=row, name=name, reasons=tuple(reasons))
    found = LabResult(
        donor=number,
        agent=agent,
        method=method,
        result=result,
        taken_on=taken_on,
        laboratory=row.laboratory[:100],
    )
    return Judged(row=row, name=name, result=found)


def _donor(said: str, donors_by_chip: Mapping[str, Sequence[str]]) -> tuple[str, str]:
    """The donor's number, or why there is none: by its own code, or by its chip."""
    chip = "".join(said.split()).replace("-", "").upper()
    found = donors_by_chip.get(chip, ()) if chip else ()
    if len(found) == 1:
        return found[0], ""
    if found:
        return "", f"{len(found)} donors have the chip {chip}: give the donor's number instead."
    try:
        return read_code(said, "D").text, ""
    except BadCode as wrong:
        if len(chip) in CHIP_TYPES and chip.isascii() and chip.isalnum():
            return "", f"No donor has the chip {chip}."
        return (
            "",
            f"{wrong} Or give the chip." if said else "The donor is missing: give its number or its chip.",
        )


def _one_of(said: str, known: Sequence[str], noun: str) -> tuple[str, str]:
    """The word as we write it, or what is wrong with it."""
    by_case = {each.casefold(): each for each in known}
    if said.casefold() in by_case:
        return by_case[said.casefold()], ""
    if not said:
        return "", f"The {noun} is missing."
    near = get_close_matches(said.casefold(), list(by_case), n=1)
    meant = f"Did you mean “{by_case[near[0]]}”?" if near else f"Known here: {', '.join(known)}."
    return "", f"“{said}” is no {noun} that is known here. {meant}"


def _day(said: str) -> date | None:
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", said):
        return None
    try:
        return date.fromisoformat(said)
    except ValueError:
        return None
