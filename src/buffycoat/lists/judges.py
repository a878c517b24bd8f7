"""Each kind of list, row by row: what a row asks of the book, what is here already, what stands against it."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import Protocol
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from buffycoat.donors.models import DonorRow
from buffycoat.donors.registering import as_read
from buffycoat.donors.rules import BringInDonation, BringInDonor, Donor
from buffycoat.earlier.models import OldNumberRow
from buffycoat.journal.facts import Command, Look
from buffycoat.lists import values
from buffycoat.lists.rows import Cells
from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import BadCode, read_code, show_code
from buffycoat.science.shelf_life import local_to_utc
from buffycoat.shell.words import day, kilograms, permille_as_percent
from buffycoat.shell.words import millilitres as words_of_ml

NOON = time(12)  # of a day whose clock time the list does not say
LONGEST_CAUTIONS, LONGEST_PHONE, LONGEST_EMAIL = 1_000, 40, 254


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What a row asks for, and in `words` how it was understood.

    `at` is None for now; `contact` is kept beside the book; `same` finds doubles in one list.
    """

    command: Command
    words: str
    at: datetime | None = None
    contact: dict[str, str] = field(default_factory=dict)
    same: frozenset[str] = frozenset()


@dataclass(frozen=True, kw_only=True)
class Here:
    """What the row tells is in the book."""

    words: str
    code: str


class Judge(Protocol):
    def __init__(self, look: Look, zone: ZoneInfo, source: str, now: datetime) -> None: ...

    def who(self, cells: Cells) -> str:
        """The row in a word or two."""
        ...

    def here(self, cells: Cells) -> Here | None: ...

    def wanted(self, cells: Cells) -> Wanted | None:
        """None if there are reasons against the row; they stand in `cells`."""
        ...


def alike(number: str) -> str:
    """Numbers that differ only by case and blanks are one."""
    return "".join(number.split()).casefold()


def known_as(kind: str) -> dict[str, str]:
    """Our numbers of that kind by those that they had in lists."""
    rows = OldNumberRow.objects.filter(number__startswith=kind)
    return {alike(row.old_number): row.number for row in rows}


class KnownDonors:
    """The donors of the book by all that a list may call them."""

    def __init__(self, look: Look) -> None:
        self.look = look
        self.by_old = known_as("D")
        self.by_chip: dict[str, str] = {}
        self.by_name: dict[str, list[DonorRow]] = defaultdict(list)
        for row in DonorRow.objects.all():
            self.by_name[row.name.casefold()].append(row)
            if row.chip:
                self.by_chip[row.chip] = row.donor

    def same(self, cells: Cells) -> str:
        """The number of the donor that a row of a list of donors tells; empty if it is a new one."""
        old, chip = alike(cells.text("old_number")), as_read(cells.text("chip"))
        if found := self.by_old.get(old) or self.by_chip.get(chip) or self._ours(cells.text("old_number")):
            return found
        told = Cells(sheet=cells.sheet, row=cells.row, kind=cells.kind, choices=cells.choices)
        born_on, species = told.day("born_on"), _species(told)
        for row in self.by_name[cells.text("name").casefold()]:
            another = (chip and row.chip) or (old and row.donor in self.by_old.values())
            if (row.species, row.born_on) == (species, born_on) and not another:
                return row.donor
        return ""

    def named(self, said: str) -> Iterator[str]:
        """Every donor that may be meant."""
        found = self.by_old.get(alike(said)) or self.by_chip.get(as_read(said)) or self._ours(said)
        if found:
            yield found
        else:
            yield from (row.donor for row in self.by_name.get(said.casefold(), ()))

    def _ours(self, said: str) -> str:
        """The number itself, if a donor of this book has it."""
        try:
            code = read_code(said, "D").text
        except BadCode:
            return ""
        return code if self.look(Donor, code).registered else ""

    def one(self, cells: Cells, key: str) -> str:
        """The donor that a cell names; else the reason stands in `cells`."""
        said = cells.text(key)
        title = cells.kind.title_of(key)
        if not said:
            cells.needed(key)
            return ""
        found = list(self.named(said))
        if not found:
            cells.reasons.append(
                f"{title}: no donor here is called “{said}”: bring in the list of donors first."
            )
        elif len(found) > 1:
            cells.reasons.append(
                f"{title}: {len(found)} donors are called {said}: give the number or the chip."
            )
        return found[0] if len(found) == 1 else ""


def _species(cells: Cells) -> str:
    return cells.read("species", values.species) or cells.choices.species


class Donors:
    def __init__(self, look: Look, zone: ZoneInfo, source: str, now: datetime) -> None:
        self.known, self.source = KnownDonors(look), source

    def who(self, cells: Cells) -> str:
        return cells.text("name") or cells.text("old_number")

    def here(self, cells: Cells) -> Here | None:
        number = self.known.same(cells)
        return Here(words=f"it is {show_code(number)}", code=number) if number else None

    def wanted(self, cells: Cells) -> Wanted | None:
        species, sex, born_on = _species(cells), cells.read("sex", values.sex), cells.day("born_on")
        name, old_number, chip = cells.text("name"), cells.text("old_number"), cells.text("chip")
        if not name:
            cells.needed("name")
        if not species:
            cells.needed("species")
        if not sex:
            cells.needed("sex")
        if not born_on:
            cells.needed("born_on")
        blood_type = (
            cells.read("blood_type", lambda said: values.blood_type(said, species)) if species else ""
        )
        breed, cautions = cells.text("breed"), cells.text("cautions", LONGEST_CAUTIONS)
        weight_g, pcv_permille = cells.grams("weight"), cells.permille("pcv")
        measured_on = cells.day("measured_on")
        contact = _contact(cells)
        if cells.reasons or not (born_on and sex):
            return None
        return Wanted(
            command=BringInDonor(
                name=name,
                species=species,
                sex=sex,
                born_on=born_on,
                row=f"row {cells.row.number} of {self.source}",
                old_number=old_number,
                chip=chip,
                blood_type=blood_type or "",
                breed=breed,
                cautions=cautions,
                weight_g=weight_g,
                pcv_permille=pcv_permille,
                measured_on=measured_on,
            ),
            words=joined(
                name,
                species,
                sex,
                f"born {day(born_on)}",
                breed,
                f"chip {chip}" if chip else "",
                blood_type,
                _measured(weight_g, pcv_permille),
                f"weighed on {day(measured_on)}" if measured_on else "",
                cautions,
                "owner" if contact else "",
            ),
            contact=contact,
            same=frozenset(_marks(name, species, born_on, chip, old_number)),
        )


def joined(*parts: str | None) -> str:
    return ", ".join(filter(None, parts))


def _measured(weight_g: int | None, pcv_permille: int | None) -> str:
    weight = kilograms(weight_g) if weight_g is not None else ""
    return joined(weight, f"PCV {permille_as_percent(pcv_permille)}" if pcv_permille is not None else "")


def _marks(name: str, species: str, born_on: date, chip: str, old_number: str) -> Iterator[str]:
    """By which two rows of one list are known to tell the same animal."""
    if chip:
        yield f"chip {as_read(chip)}"
    if old_number:
        yield f"number {alike(old_number)}"
    if not (chip or old_number):
        yield f"name {name.casefold()} {species} {born_on}"


def _contact(cells: Cells) -> dict[str, str]:
    email = cells.text("owner_email", LONGEST_EMAIL)
    if email:
        try:
            validate_email(email)
        except ValidationError:
            cells.reasons.append(f"Owner's e-mail: “{email}” is no address: correct it, or leave it empty.")
    said = {
        "name": cells.text("owner_name"),
        "phone": cells.text("owner_phone", LONGEST_PHONE),
        "email": email,
    }
    return said if any(said.values()) else {}


def moment_of(cells: Cells, key: str, zone: ZoneInfo) -> datetime | None:
    """The time of a day in a list; else the reason stands in `cells`."""
    said = cells.day_and_time(key)
    if said is None:
        cells.needed(key)
        return None
    try:
        return local_to_utc(datetime.combine(said[0], said[1] or NOON), zone)
    except OutOfRange:  # the clock was changed in that hour
        return local_to_utc(datetime.combine(said[0], NOON), zone)


class Donations:
    def __init__(self, look: Look, zone: ZoneInfo, source: str, now: datetime) -> None:
        self.look, self.zone, self.source = look, zone, source
        self.known = KnownDonors(look)

    def who(self, cells: Cells) -> str:
        return " ".join(filter(None, (cells.text("donor"), cells.text("gave_on"))))

    def here(self, cells: Cells) -> Here | None:
        quiet = Cells(sheet=cells.sheet, row=cells.row, kind=cells.kind, choices=cells.choices)
        donor, at = self.known.one(quiet, "donor"), moment_of(quiet, "gave_on", self.zone)
        if donor and at and at.astimezone(self.zone).date() in self._days(donor):
            return Here(words=f"{show_code(donor)} gave on that day", code=donor)
        return None

    def _days(self, donor: str) -> set[date]:
        return {each.at.astimezone(self.zone).date() for each in self.look(Donor, donor).all_gave}

    def wanted(self, cells: Cells) -> Wanted | None:
        donor, at = self.known.one(cells, "donor"), moment_of(cells, "gave_on", self.zone)
        old_number, volume_ml = cells.text("old_number"), cells.millilitres("volume")
        weight_g, pcv_permille = cells.grams("weight"), cells.permille("pcv")
        if cells.reasons or at is None:
            return None
        command = BringInDonation(
            donor=donor,
            row=f"row {cells.row.number} of {self.source}",
            old_number=old_number,
            volume_ml=volume_ml,
            weight_g=weight_g,
            pcv_permille=pcv_permille,
        )
        words = joined(
            show_code(donor),
            f"gave on {day(at.astimezone(self.zone).date())}",
            words_of_ml(volume_ml) if volume_ml is not None else "",
            _measured(weight_g, pcv_permille),
        )
        return Wanted(
            command=command,
            words=words,
            at=at,
            same=frozenset({f"{donor} {at.astimezone(self.zone).date()}"}),
        )
