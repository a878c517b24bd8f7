"""A list of the bags that stand on the shelf when this book begins."""

import re
from datetime import datetime
from zoneinfo import ZoneInfo

from buffycoat.donors.rules import Donor
from buffycoat.draws.bag_sets import ANTICOAGULANTS
from buffycoat.journal.facts import Look
from buffycoat.labels.bringing_in import BringInUnit
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import PRODUCTS
from buffycoat.lists import values
from buffycoat.lists.judges import Here, KnownDonors, Wanted, alike, joined, known_as, moment_of
from buffycoat.lists.rows import Cells
from buffycoat.lists.values import Unclear
from buffycoat.science.numbering import BadCode, read_code, show_code
from buffycoat.science.shelf_life import last_moment_of_day
from buffycoat.shell.words import day, millilitres, moment

SHORT = {
    "ffp": "fresh-frozen-plasma",
    "fp": "frozen-plasma",
    "wb": "whole-blood",
    "fwb": "whole-blood",
    "fresh whole blood": "whole-blood",
    "rbc": "red-cells",
    "prbc": "red-cells",
    "packed red cells": "red-cells",
    "packed red blood cells": "red-cells",
    "red blood cells": "red-cells",
    "cryo": "cryoprecipitate",
}


def product(said: str) -> str:
    """Its key. A word that may be two products is not guessed at.

    >>> product("FFP"), product("Red cells in additive")
    ('fresh-frozen-plasma', 'red-cells-additive')
    """
    word = " ".join(re.sub(r"[^\w]", " ", said.casefold()).split())
    named = {each.name.casefold(): each.key for each in PRODUCTS.values()}
    found = named.get(word) or SHORT.get(word) or word.replace(" ", "-")
    if found not in PRODUCTS:
        names = ", ".join(each.name for each in PRODUCTS.values())
        raise Unclear(f"“{said}” is no product here: write {names}.")
    return found


def anticoagulant(said: str) -> str:
    found = next((each for each in ANTICOAGULANTS if alike(each) == alike(said)), "")
    if not found:
        raise Unclear(f"“{said}” is not known here: write {', '.join(ANTICOAGULANTS)}, or leave it empty.")
    return found


class Stock:
    def __init__(self, look: Look, zone: ZoneInfo, source: str, now: datetime) -> None:
        self.look, self.zone, self.source, self.now = look, zone, source, now
        self.donors, self.units = KnownDonors(look), known_as("G")
        self.ours = set(UnitRow.objects.values_list("unit", flat=True))

    def who(self, cells: Cells) -> str:
        return joined(cells.text("old_number"), cells.text("product"))

    def here(self, cells: Cells) -> Here | None:
        said = cells.text("old_number")
        try:
            ours = read_code(said, "U").text
        except BadCode:
            ours = ""
        if ours not in self.ours and not (ours := self.units.get(alike(said), "")):
            return None
        return Here(words=f"it is {show_code(ours)}", code=ours)

    def wanted(self, cells: Cells) -> Wanted | None:
        old_number, donor = cells.text("old_number"), self.donors.one(cells, "donor")
        registered = self.look(Donor, donor).registered if donor else None
        species = registered.species if registered else ""
        made, volume_ml = cells.read("product", product), cells.millilitres("volume")
        blood_type = cells.read("blood_type", lambda said: values.blood_type(said, species))
        drawn_at, expires_at = moment_of(cells, "drawn_on", self.zone), self._expires(cells)
        bag, place = cells.read("anticoagulant", anticoagulant), cells.text("place")
        given = {"old_number": old_number, "product": made, "blood_type": blood_type, "volume": volume_ml}
        if expires_at and expires_at <= self.now:
            over = day(expires_at.astimezone(self.zone).date())
            cells.reasons.append(f"Expires: its date is over, {over}: discard it, it is not brought in.")
        for key in (key for key, value in given.items() if value in ("", None)):
            cells.needed(key)
        if cells.reasons or not (drawn_at and expires_at and made and blood_type and volume_ml):
            return None
        command = BringInUnit(
            donor=donor,
            product=made,
            blood_type=blood_type,
            volume_ml=volume_ml,
            expires_at=expires_at,
            old_number=old_number,
            row=f"row {cells.row.number} of {self.source}",
            anticoagulant=bag or "",
            place=place,
        )
        name = registered.name if registered else ""
        drawn = f"drawn {day(drawn_at.astimezone(self.zone).date())}"
        until = f"expires {moment(expires_at, self.zone)}"
        words = joined(
            PRODUCTS[made].name, blood_type, millilitres(volume_ml), name, drawn, until, bag, place
        )
        return Wanted(command=command, words=words, at=drawn_at, same=frozenset({alike(old_number)}))

    def _expires(self, cells: Cells) -> datetime | None:
        """The end of that day, where no clock time stands."""
        at = moment_of(cells, "expires", self.zone)
        said = cells.day_and_time("expires")
        return last_moment_of_day(at, 0, self.zone) if at and said and said[1] is None else at
