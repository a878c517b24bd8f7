"""Patients: who receives blood, and what must be known before any is chosen."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import ClassVar, Self

from buffycoat.donors.blood_types import ON_THE_LABEL, SYSTEMS, Reading, Resolved, resolved, system_of
from buffycoat.donors.registering import SEXES, SPECIES, why_no_type, why_not_read_again
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.matching.compatibility import UNKNOWN
from buffycoat.matching.crossmatch import BEFORE, NEVER_BEFORE, NOT_KNOWN
from buffycoat.science.numbering import make_code, show_code
from buffycoat.site.rules import limits

HISTORIES = (NEVER_BEFORE, BEFORE, NOT_KNOWN)
LIGHTEST_G, HEAVIEST_G = 100, 120_000


@dataclass(frozen=True, kw_only=True)
class PatientRegistered(Fact, kind="patient-registered"):
    """`where` is the ward or the practice that it lies in; no person stands in the book."""

    patient: str
    name: str
    species: str
    sex: str
    where: str
    needs: str


@dataclass(frozen=True, kw_only=True)
class PatientWeighed(Fact, kind="patient-weighed", builds_on=(PatientRegistered,)):
    weight_g: int


@dataclass(frozen=True, kw_only=True)
class PatientTyped(Fact, kind="patient-typed", builds_on=(PatientRegistered,)):
    blood_type: str
    method: str


@dataclass(frozen=True, kw_only=True)
class PatientHistoryTold(Fact, kind="patient-history-told", builds_on=(PatientRegistered,)):
    """`first_on`: the first time that it had blood, as far as anybody knows."""

    transfused: str
    first_on: date | None
    had_reaction: bool
    was_pregnant: bool


@dataclass(frozen=True, kw_only=True)
class AntibodyFound(Fact, kind="antibody-found", builds_on=(PatientRegistered,)):
    system: str
    method: str


@dataclass(frozen=True, kw_only=True)
class Patient(State):
    stream: ClassVar[str] = "patient"
    registered: PatientRegistered | None = None
    weight_g: int | None = None
    readings: dict[str, tuple[Reading, ...]] = field(default_factory=dict)
    history: PatientHistoryTold | None = None
    antibodies: tuple[str, ...] = ()

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case PatientRegistered() as fact:
                return replace(self, registered=fact)
            case PatientWeighed(weight_g=weight_g):
                return replace(self, weight_g=weight_g)
            case PatientTyped() as fact:
                return self._read(fact, line)
            case PatientHistoryTold() as fact:
                return replace(self, history=fact)
            case AntibodyFound(system=system):
                return replace(self, antibodies=tuple(dict.fromkeys((*self.antibodies, system))))
        return self

    def _read(self, fact: PatientTyped, line: Line) -> Self:
        reading = Reading(blood_type=fact.blood_type, method=fact.method, by=line.by, at=line.happened_at)
        system = system_of(self.registered.species, fact.blood_type) if self.registered else ""
        return replace(self, readings={**self.readings, system: (*self.readings.get(system, ()), reading)})

    def type_in(self, system: str) -> Resolved:
        return resolved(self.readings.get(system, ()))

    @property
    def blood_type(self) -> str:
        """The type that decides what fits; not known while nothing was read or readings contradict each other."""
        if self.registered is None:
            return UNKNOWN
        return self.type_in(ON_THE_LABEL[self.registered.species]).blood_type or UNKNOWN


def stream_of(patient: str) -> str:
    return f"{Patient.stream}/{patient}"


def _why_unknown(look: Look, patient: str) -> Iterator[str]:
    if look(Patient, patient).registered is None:
        yield f"No patient has the number {show_code(patient)}: scan its band again, or register it."


@dataclass(frozen=True, kw_only=True)
class RegisterPatient(Command):
    name: str
    species: str
    sex: str
    weight_g: int
    where: str = ""
    needs: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.name.strip():
            yield "Give the patient's name."
        if self.species not in SPECIES:
            yield f"{self.species or 'Nothing'} is no species that blood is here for: choose dog or cat."
        if self.sex not in SEXES:
            yield "Choose female or male."
        yield from _why_no_weight(self.weight_g)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        patient = make_code("A", limits(look).text("site_code"), look.serial)
        yield (
            stream_of(patient),
            PatientRegistered(
                patient=patient,
                name=self.name.strip(),
                species=self.species,
                sex=self.sex,
                where=self.where.strip(),
                needs=self.needs.strip(),
            ),
        )
        yield stream_of(patient), PatientWeighed(weight_g=self.weight_g)


def _why_no_weight(weight_g: int) -> Iterator[str]:
    if not LIGHTEST_G <= weight_g <= HEAVIEST_G:
        yield f"{weight_g / 1000:g} kg is no weight of a dog or cat: 0.1 to 120 kg. Weigh it again."


@dataclass(frozen=True, kw_only=True)
class WeighPatient(Command):
    patient: str
    weight_g: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_unknown(look, self.patient)
        yield from _why_no_weight(self.weight_g)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.patient), PatientWeighed(weight_g=self.weight_g)


@dataclass(frozen=True, kw_only=True)
class TypePatient(Command):
    """One reading of one test. `reader` is who reads: the second reading is another person's."""

    patient: str
    blood_type: str
    method: str = ""
    reader: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_unknown(look, self.patient)
        patient = look(Patient, self.patient)
        if patient.registered is None:
            return
        system = system_of(patient.registered.species, self.blood_type)
        yield from why_no_type(patient.registered.species, self.blood_type)
        if system:
            after_min = limits(look).whole("second_reading_alone_after_min")
            yield from why_not_read_again(patient.readings.get(system, ()), self.reader, at, after_min)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.patient), PatientTyped(blood_type=self.blood_type, method=self.method.strip())


@dataclass(frozen=True, kw_only=True)
class TellHistory(Command):
    """What the patient had before; told again, the newest counts."""

    patient: str
    transfused: str
    first_on: date | None = None
    had_reaction: bool = False
    was_pregnant: bool = False

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_unknown(look, self.patient)
        if self.transfused not in HISTORIES:
            yield f"Say whether it had blood before: {', '.join(HISTORIES)}."
        if self.first_on and self.transfused != BEFORE:
            yield "A day of the first time belongs to a patient that had blood before."
        if self.first_on and self.first_on > at.astimezone(limits(look).zone).date():
            yield f"{self.first_on:%d %b %Y} is still to come: give the day on which it first had blood."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        fact = PatientHistoryTold(
            transfused=self.transfused,
            first_on=self.first_on,
            had_reaction=self.had_reaction,
            was_pregnant=self.was_pregnant,
        )
        yield stream_of(self.patient), fact


@dataclass(frozen=True, kw_only=True)
class FindAntibody(Command):
    """Writes down that the patient's serum reacts with cells that carry this blood group."""

    patient: str
    system: str
    method: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_unknown(look, self.patient)
        patient = look(Patient, self.patient)
        systems = SYSTEMS[patient.registered.species] if patient.registered else {}
        if patient.registered and self.system not in systems:
            yield f"A {patient.registered.species} has no blood group called {self.system or '…'}."
        if self.system in patient.antibodies:
            yield f"An antibody against {self.system} is written down already."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.patient), AntibodyFound(system=self.system, method=self.method.strip())
