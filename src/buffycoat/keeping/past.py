"""The shelf at a past moment, from the lines of the book. Pure: no clock, no database.

Two questions have two answers. As it was: what we know today of that moment, late entries and strikes counted.
As the book said then: what anyone who looked at that moment was told.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from buffycoat.donors.rules import Donor
from buffycoat.draws.rules import Draw
from buffycoat.journal.facts import EntryStruck, Line, Look, StateT
from buffycoat.labels.products import PRODUCTS
from buffycoat.labels.rules import Labelling
from buffycoat.problems.rules import why_held
from buffycoat.science.shelf_life import days_left
from buffycoat.site.rules import limits
from buffycoat.storage.places import Place
from buffycoat.storage.rules import Shelf, status


class Past:
    """A book that holds only some lines; `look(State, number)` folds them."""

    def __init__(self, lines: Iterable[Line]) -> None:
        self.serial = 1
        self._streams: dict[str, list[Line]] = {}
        for line in lines:
            self.serial = max(self.serial, line.number + 1)
            self._streams.setdefault(line.stream, []).append(line)

    def __call__(self, state: type[StateT], number: str) -> StateT:
        return state.fold(number, self._streams.get(f"{state.stream}/{number}", []))

    def numbers(self, kind: str) -> list[str]:
        """The numbers of all streams of a kind."""
        return [stream.partition("/")[2] for stream in self._streams if stream.startswith(f"{kind}/")]


def as_it_was(lines: Sequence[Line], at: datetime) -> Past:
    """What stands today of all that happened up to the moment, in the order of the book."""
    return Past(line for line in _standing(lines) if line.happened_at <= at)


def as_told_then(lines: Sequence[Line], at: datetime) -> Past:
    """The book as it stood at the moment: up to the last entry recorded by then. What came later, it cannot know."""
    last = max((line.number for line in lines if line.recorded_at <= at), default=0)
    return Past(_standing([line for line in lines if line.number <= last]))


def _standing(lines: Sequence[Line]) -> list[Line]:
    struck = {line.fact.struck_number for line in lines if isinstance(line.fact, EntryStruck)}
    return [line for line in lines if line.number not in struck and not isinstance(line.fact, EntryStruck)]


@dataclass(frozen=True, kw_only=True)
class UnitThen:
    unit: str
    donation: str
    product: str
    species: str
    blood_type: str
    volume_ml: int
    place: str
    expires_at: datetime
    days_left: int
    status: str


def shelf(look: Look, donations: Iterable[str], at: datetime) -> list[UnitThen]:
    """Every unit of these donations that stood in a place at the moment; the first to expire comes first."""
    units = (unit for donation in donations for unit in _units(look, donation, at))
    return sorted(units, key=lambda unit: (unit.expires_at, unit.unit))


def _units(look: Look, donation: str, at: datetime) -> Iterable[UnitThen]:
    site, draw = limits(look), look(Draw, donation)
    stands, labels = look(Shelf, donation), look(Labelling, donation)
    for part, label in labels.printed.items():
        stood, outings = stands.put_away.get(part), stands.out_of(part)
        gone = bool(stands.gone(part)) or bool(draw.discarded)
        if (stood is None and outings.since is None) or gone or draw.started is None:
            continue
        place = look(Place, stood.place).opened if stood else None
        yield UnitThen(
            unit=label.unit,
            donation=donation,
            product=PRODUCTS[label.product].name,
            species=draw.started.species,
            blood_type=label.blood_type,
            volume_ml=label.volume_ml,
            place=place.name if place else "",
            expires_at=label.expires_at,
            days_left=days_left(label.expires_at, at, site.zone),
            status=status(
                labelled=part in labels.labelled_at,
                put_away=stood is not None,
                gone=gone,
                label_true=part not in labels.untrue,
                out=outings.since is not None,
                warm=outings.warm(at, site),
                wrong_type=label.blood_type != look(Donor, draw.started.donor).blood_type,
                held=any(why_held(look, donation, part)),
                expires_at=label.expires_at,
                at=at,
                site=site,
            ),
        )


@dataclass(frozen=True, kw_only=True)
class Compared:
    """A unit by both answers; None where it was not on the shelf."""

    was: UnitThen | None
    told: UnitThen | None

    @property
    def either(self) -> UnitThen:
        unit = self.was or self.told
        assert unit
        return unit

    @property
    def same(self) -> bool:
        return self.was == self.told


def compare(was: Sequence[UnitThen], told: Sequence[UnitThen]) -> list[Compared]:
    """Every unit of either answer, the first to expire first."""
    by_unit = {unit.unit: unit for unit in told}
    rows = [Compared(was=unit, told=by_unit.pop(unit.unit, None)) for unit in was]
    rows += [Compared(was=None, told=unit) for unit in by_unit.values()]
    return sorted(rows, key=lambda row: (row.either.expires_at, row.either.unit))
