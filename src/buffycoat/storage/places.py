"""Places: fridges and freezers, each with its own card to scan."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State
from buffycoat.labels.products import FREEZER, FRIDGE
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import limits


@dataclass(frozen=True, kw_only=True)
class PlaceOpened(Fact, kind="place-opened"):
    place: str
    name: str
    appliance: str


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

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.name.strip():
            yield "Give the place a name, as it stands on its door."
        if self.appliance not in (FRIDGE, FREEZER):
            yield "Choose fridge or freezer."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        place = make_code("P", limits(look).text("site_code"), look.serial)
        yield (
            f"{Place.stream}/{place}",
            PlaceOpened(place=place, name=self.name.strip(), appliance=self.appliance),
        )
