"""One row of a list, read by the columns that were chosen: what it asks of the book, or every reason against it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, time
from typing import TypeVar

from buffycoat.lists import values
from buffycoat.lists.columns import Kind, unit_in
from buffycoat.lists.sheet import Row, Sheet
from buffycoat.lists.values import Unclear

NOTHING = {
    "",
    "-",
    "--",
    "–",
    "?",
    "n/a",
    "na",
    "none",
    "unknown",
    "unk",
    "not known",
    "not typed",
    "unbekannt",
}
LONGEST = 100  # what a register has room for
HARMLESS = ("'=", "'+", "'-", "'@")  # how cells are written that a spreadsheet would take for formulas

Value = TypeVar("Value")


@dataclass(frozen=True, kw_only=True)
class Choices:
    """What was said of a whole list: the heading of each column, and what its cells leave open."""

    columns: Mapping[str, str]
    date_order: str = ""
    weight_unit: str = ""
    species: str = ""

    def as_text(self) -> dict[str, object]:
        return {
            "columns": dict(self.columns),
            "date_order": self.date_order,
            "weight_unit": self.weight_unit,
            "species": self.species,
        }


@dataclass
class Cells:
    """The cells of one row. What cannot be read leaves its reason in `reasons` and gives None."""

    sheet: Sheet
    row: Row
    kind: Kind
    choices: Choices
    reasons: list[str] = field(default_factory=list)

    def text(self, key: str, longest: int = LONGEST) -> str:
        heading = self.choices.columns.get(key, "")
        place = self.sheet.headings.index(heading) if heading in self.sheet.headings else None
        said = self.row.cells[place] if place is not None and place < len(self.row.cells) else ""
        title = self.kind.title_of(key)
        if said.startswith("="):
            self.reasons.append(
                f"{title}: the cell holds a formula, and none is worked out here: paste its value."
            )
            return ""
        if said.startswith("#") and said.rstrip("!?").isupper():
            self.reasons.append(f"{title}: the cell holds the error {said}: correct it.")
            return ""
        said = said[1:] if said.startswith(HARMLESS) else said
        if len(said) > longest:
            self.reasons.append(f"{title}: {len(said)} characters, and at most {longest} fit: shorten it.")
            return ""
        if "\0" in said or any("\ud800" <= character <= "\udfff" for character in said):
            self.reasons.append(f"{title}: it holds a character that cannot be kept: type it again.")
            return ""
        return "" if said.casefold() in NOTHING else said

    def read(self, key: str, reads: Callable[[str], Value]) -> Value | None:
        """What the cell says, None if it is empty or cannot be read."""
        said = self.text(key)
        if not said:
            return None
        try:
            return reads(said)
        except Unclear as unclear:
            self.reasons.append(f"{self.kind.title_of(key)}: {unclear}")
            return None

    def day(self, key: str) -> date | None:
        return self.read(key, lambda said: values.day(said, self.choices.date_order))

    def day_and_time(self, key: str) -> tuple[date, time | None] | None:
        return self.read(key, lambda said: values.day_and_time(said, self.choices.date_order))

    def grams(self, key: str) -> int | None:
        unit = unit_in(self.choices.columns.get(key, "")) or self.choices.weight_unit
        return self.read(key, lambda said: values.grams(said, unit))

    def millilitres(self, key: str) -> int | None:
        unit = unit_in(self.choices.columns.get(key, ""))
        return self.read(key, lambda said: values.millilitres(said, unit))

    def permille(self, key: str) -> int | None:
        return self.read(key, values.permille)

    def needed(self, key: str) -> None:
        """Says that the cell is empty, unless something was said of it already."""
        title = self.kind.title_of(key)
        if not any(reason.startswith(f"{title}:") for reason in self.reasons):
            self.reasons.append(f"{title}: the cell is empty.")
