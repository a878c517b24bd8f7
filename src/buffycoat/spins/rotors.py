"""Rotors and the validated programmes of their centrifuge. A programme belongs to one machine and one species."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State
from buffycoat.science.centrifuge import rcf_from_rpm
from buffycoat.science.numbering import make_code
from buffycoat.site.rules import limits, why_no_second_person


@dataclass(frozen=True, kw_only=True)
class RotorRegistered(Fact, kind="rotor-registered"):
    """`radius_mm` is from the axis to the bottom of the bucket; `pair_limit_g` is the maker's, for opposite buckets."""

    rotor: str
    name: str
    centrifuge: str
    places: int
    radius_mm: int
    most_rpm: int
    pair_limit_g: int


@dataclass(frozen=True, kw_only=True)
class Programme:
    name: str
    species: str
    rpm: int
    duration_s: int
    temperature_c: int
    brake: str
    validated: str


@dataclass(frozen=True, kw_only=True)
class ProgrammeWritten(Fact, kind="programme-written", builds_on=(RotorRegistered,)):
    programme: Programme
    checked_by: str = ""  # who typed the same, blind


@dataclass(frozen=True, kw_only=True)
class Rotor(State):
    stream: ClassVar[str] = "rotor"
    registered: RotorRegistered | None = None
    programmes: dict[str, Programme] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case RotorRegistered() as fact:
                return replace(self, registered=fact)
            case ProgrammeWritten(programme=programme):
                return replace(self, programmes={**self.programmes, programme.name: programme})
        return self

    def rcf(self, programme: Programme) -> int:
        """Multiples of g at the bottom of the bucket."""
        assert self.registered
        return round(rcf_from_rpm(rpm=programme.rpm, radius_mm=self.registered.radius_mm))


@dataclass(frozen=True, kw_only=True)
class RegisterRotor(Command):
    name: str
    centrifuge: str
    places: int
    radius_mm: int
    most_rpm: int
    pair_limit_g: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.name.strip() or not self.centrifuge.strip():
            yield "Give the rotor's name and the centrifuge it belongs to."
        if not 2 <= self.places <= 12 or self.places % 2:
            yield "A rotor for bags has 2 to 12 places, an even number, so that each has one opposite."
        if not 50 <= self.radius_mm <= 500:
            yield "The radius from the axis to the bottom of the bucket is 50 to 500 mm: see the maker's manual."
        if not 100 <= self.most_rpm <= 10_000:
            yield "The greatest speed of a rotor for bags is 100 to 10 000 rpm: see the maker's manual."
        if not 0 <= self.pair_limit_g <= 50:
            yield "The limit for opposite buckets is 0 to 50 g: see the maker's manual."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        rotor = make_code("T", limits(look).text("site_code"), look.serial)
        yield (
            f"{Rotor.stream}/{rotor}",
            RotorRegistered(
                rotor=rotor,
                name=self.name.strip(),
                centrifuge=self.centrifuge.strip(),
                places=self.places,
                radius_mm=self.radius_mm,
                most_rpm=self.most_rpm,
                pair_limit_g=self.pair_limit_g,
            ),
        )


@dataclass(frozen=True, kw_only=True)
class WriteProgramme(Command):
    """Writes a programme, or writes it anew under the same name."""

    rotor: str
    name: str
    species: str
    rpm: int
    duration_s: int
    temperature_c: int
    brake: str
    validated: str
    set_by: str = ""
    checked_by: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        registered = look(Rotor, self.rotor).registered
        if registered is None:
            yield f"No rotor has the number {self.rotor}: scan its card again."
        elif not 100 <= self.rpm <= registered.most_rpm:
            yield f"{self.rpm} rpm: this rotor runs from 100 to {registered.most_rpm} rpm."
        if not self.name.strip():
            yield "Give the programme a name, as the centrifuge shows it."
        if self.species not in ("dog", "cat"):
            yield "Choose dog or cat: one programme is for one species."
        if not 60 <= self.duration_s <= 3_600:
            yield "A spin lasts 1 to 60 minutes."
        if not 0 <= self.temperature_c <= 30:
            yield "The temperature of a spin is 0 to 30 °C."
        if not self.brake.strip():
            yield "Give the brake setting, as the centrifuge shows it."
        if not self.validated.strip():
            yield "Say who validated this programme on this machine, and when."
        yield from why_no_second_person(look, self.set_by, self.checked_by)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        programme = Programme(
            name=self.name.strip(),
            species=self.species,
            rpm=self.rpm,
            duration_s=self.duration_s,
            temperature_c=self.temperature_c,
            brake=self.brake.strip(),
            validated=self.validated.strip(),
        )
        yield (
            f"{Rotor.stream}/{self.rotor}",
            ProgrammeWritten(programme=programme, checked_by=self.checked_by.strip()),
        )
