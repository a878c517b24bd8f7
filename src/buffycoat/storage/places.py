"""Places: fridges and freezers, or shelves in them, each with its own card to scan."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State
from buffycoat.labels.products import FREEZER, FRIDGE
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import limits

MOST_UNITS = 2_000


@dataclass(frozen=True, kw_only=True)
class PlaceOpened(Fact, kind="place-opened"):
    """`room` is where it stands; `capacity` how many units it holds, 0: not told. A quarantine takes what waits."""

    place: str
    name: str
    appliance: str
    room: str = ""
    capacity: int = 0
    quarantine: bool = False


@dataclass(frozen=True, kw_only=True)
class PlaceCounted(Fact, kind="place-counted", builds_on=(PlaceOpened,)):
    """`missing` should have stood there, `misplaced` stood there and should not have."""

    found: tuple[str, ...]
    missing: tuple[str, ...]
    misplaced: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Place(State):
    stream: ClassVar[str] = "place"
    opened: PlaceOpened | None = None

    def evolve(self, line: Line) -> Self:
        return replace(self, opened=line.fact) if isinstance(line.fact, PlaceOpened) else self


@dataclass(frozen=True, kw_only=True)
class OpenPlace(Command):
    name: str
    appliance: str
    room: str = ""
    capacity: int = 0
    quarantine: bool = False

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.name.strip():
            yield "Give the place a name, as it stands on its door."
        if self.appliance not in (FRIDGE, FREEZER):
            yield "Choose fridge or freezer."
        if not 0 <= self.capacity <= MOST_UNITS:
            yield f"A place holds 1 to {MOST_UNITS} units, or 0 if nobody has counted."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        place = make_code("P", limits(look).text("site_code"), look.serial)
        yield (
            f"{Place.stream}/{place}",
            PlaceOpened(
                place=place,
                name=self.name.strip(),
                appliance=self.appliance,
                room=self.room.strip(),
                capacity=self.capacity,
                quarantine=self.quarantine,
            ),
        )
