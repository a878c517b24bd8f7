"""A count of a place: what stands there is scanned, and each difference from the book becomes a problem to settle."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from buffycoat.draws.rules import stream_of
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.labels.rules import UnitName
from buffycoat.problems.rules import MISPLACED, MISSING, OfDonation, ProblemReported
from buffycoat.science.numbering import show_code
from buffycoat.storage.places import Place, PlaceCounted
from buffycoat.storage.shelf import Shelf

MOST_SCANNED = 500


def stands_in(look: Look, unit: str, place: str) -> bool:
    """Whether the book has this unit in this place now."""
    named = look(UnitName, unit).named
    if named is None:
        return False
    shelf = look(Shelf, named.donation)
    put_away = shelf.put_away.get(named.part)
    return put_away is not None and put_away.place == place and not shelf.gone(named.part)


@dataclass(frozen=True, kw_only=True)
class CountPlace(Command):
    """`found` was scanned there. `expected` is what the book has there, as the page was drawn."""

    place: str
    found: tuple[str, ...]
    expected: tuple[str, ...]

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if look(Place, self.place).opened is None:
            yield f"No place has the number {show_code(self.place)}: scan the card on the door."
        if len(self.found) > MOST_SCANNED:
            yield f"At most {MOST_SCANNED} units are counted at once: count shelf by shelf."
        for unit in dict.fromkeys(self.found):
            if self.found.count(unit) > 1:
                yield f"{show_code(unit)} was scanned twice: count it once."
            if look(UnitName, unit).named is None:
                yield f"No unit has the number {show_code(unit)}: scan its label again, or report it."
        for unit in self.expected:
            if not stands_in(look, unit, self.place):
                yield f"{show_code(unit)} was moved while you counted: open the count again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        missing = tuple(unit for unit in self.expected if unit not in self.found)
        misplaced = tuple(unit for unit in self.found if not stands_in(look, unit, self.place))
        yield (
            f"{Place.stream}/{self.place}",
            PlaceCounted(found=self.found, missing=missing, misplaced=misplaced),
        )
        opened = look(Place, self.place).opened
        assert opened
        told = [(unit, MISSING, f"not found when {opened.name} was counted") for unit in missing]
        told += [(unit, MISPLACED, f"found when {opened.name} was counted") for unit in misplaced]
        number = look.serial
        for unit, what, words in told:
            named = look(UnitName, unit).named
            assert named
            if any(
                each.reported.what == what for each in look(OfDonation, named.donation).holding(named.part)
            ):
                continue  # it is waiting for this already
            number += 1
            yield (
                stream_of(named.donation),
                ProblemReported(problem=number, about=unit, part=named.part, what=what, words=words),
            )
