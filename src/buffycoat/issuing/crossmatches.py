"""The crossmatch of one unit with one patient: which segment was used, what was read, and until when it holds."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import ClassVar, Self

from buffycoat.draws.rules import stream_of as stream_of_donation
from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.labels.facts import LabelScannedBack, lineage
from buffycoat.labels.rules import Labelling, UnitName
from buffycoat.matching.compatibility import KIND_OF_PART, WHOLE_BLOOD
from buffycoat.patients.rules import Patient, PatientRegistered
from buffycoat.patients.rules import stream_of as stream_of_patient
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import SegmentsSealed
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.rules import why_not_unit

STRONGEST = 4
GRADES = {0: "none", 1: "1+", 2: "2+", 3: "3+", 4: "4+"}


@dataclass(frozen=True, kw_only=True)
class SegmentUsed(Fact, kind="segment-used", builds_on=(SegmentsSealed, LabelScannedBack)):
    """One sealed piece of the unit's line was opened, for the crossmatch with that patient."""

    part: str
    unit: str
    patient: str


@dataclass(frozen=True, kw_only=True)
class CrossmatchRead(Fact, kind="crossmatch-read", builds_on=(PatientRegistered,)):
    """Grades of clumping from 0 to 4: the patient's serum with the unit's cells, the unit's plasma with the patient's
    cells, the patient with itself. `because` says what the verdict stands on."""

    unit: str
    major: int
    minor: int
    control: int
    haemolysis: int
    method: str
    reader: str
    compatible: bool
    because: str


@dataclass(frozen=True, kw_only=True)
class Crossmatches(State):
    """The last crossmatch of a patient with each unit."""

    stream: ClassVar[str] = "patient"
    read: dict[str, tuple[CrossmatchRead, datetime]] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case CrossmatchRead(unit=unit) as fact:
                return replace(self, read={**self.read, unit: (fact, line.happened_at)})
        return self


@dataclass(frozen=True, kw_only=True)
class Segments(State):
    """How many segments a donation's unit still has on it. Parts of a divided unit share those of the whole."""

    stream: ClassVar[str] = "donation"
    sealed: int = 0
    used: int = 0

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case SegmentsSealed(segments=segments):
                return replace(self, sealed=segments)
            case SegmentUsed():
                return replace(self, used=self.used + 1)
        return self

    @property
    def left(self) -> int:
        return self.sealed - self.used


def kind_of(part: str) -> str:
    return KIND_OF_PART[lineage(part)[-1]]


def judged(
    *, kind: str, major: int, minor: int, control: int, haemolysis: int, site: Limits
) -> tuple[bool, str]:
    """Whether it is compatible, and what decides that."""
    most = site.whole("most_haemolysis_grade")
    if control:
        return (
            False,
            "the patient's own control clumps: it cannot be read; wash the cells, or use another method",
        )
    if major:
        return False, f"major crossmatch {GRADES[major]}"
    if haemolysis > most:
        return False, f"haemolysis {GRADES[haemolysis]}"
    if minor and kind == WHOLE_BLOOD:
        return False, f"minor crossmatch {GRADES[minor]}, and whole blood brings the donor's plasma"
    return True, f"minor crossmatch {GRADES[minor]}, with little plasma in it" if minor else "no clumping"


def holds_until(read_at: datetime, site: Limits) -> datetime:
    return read_at + timedelta(hours=site.whole("crossmatch_holds_h"))


def spoke_against(look: Look, patient: str, unit: str) -> bool:
    """The last crossmatch of this unit with this patient was not compatible, whether one was due or not."""
    found = look(Crossmatches, patient).read.get(unit)
    return found is not None and not found[0].compatible


def why_not_crossmatched(look: Look, patient: str, unit: str, at: datetime) -> Iterator[str]:
    """Why this unit has no crossmatch with this patient that counts now."""
    site = limits(look)
    found = look(Crossmatches, patient).read.get(unit)
    if found is None:
        yield "it was not crossmatched with this patient"
        return
    fact, read_at = found
    if not fact.compatible:
        yield f"its crossmatch with this patient is incompatible: {fact.because}"
    elif at > holds_until(read_at, site):
        yield f"its crossmatch is older than {site.whole('crossmatch_holds_h')} h: crossmatch again with a fresh sample"


@dataclass(frozen=True, kw_only=True)
class ReadCrossmatch(Command):
    patient: str
    unit: str
    major: int
    minor: int
    control: int
    haemolysis: int
    method: str
    reader: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_unit(look, self.unit, at)
        if look(Patient, self.patient).registered is None:
            yield f"No patient has the number {show_code(self.patient)}: scan its band again, or register it."
        named = look(UnitName, self.unit).named
        if named:
            if named.part not in look(Labelling, named.donation).labelled_at:
                yield "Its label was not scanned back from the bag yet: do that first."
            if look(Segments, named.donation).left < 1:
                yield "It has no segment left to crossmatch with: take another unit."
        for name, grade in self._grades():
            if not 0 <= grade <= STRONGEST:
                yield f"{name}: grades go from 0 to {STRONGEST}."
        if not self.method.strip() or not self.reader.strip():
            yield "Say how it was done, and who read it."

    def _grades(self) -> tuple[tuple[str, int], ...]:
        return (
            ("Major", self.major),
            ("Minor", self.minor),
            ("Own control", self.control),
            ("Haemolysis", self.haemolysis),
        )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        named = look(UnitName, self.unit).named
        assert named
        compatible, because = judged(
            kind=kind_of(named.part),
            major=self.major,
            minor=self.minor,
            control=self.control,
            haemolysis=self.haemolysis,
            site=limits(look),
        )
        used = SegmentUsed(part=named.part, unit=self.unit, patient=self.patient)
        yield stream_of_donation(named.donation), used
        yield (
            stream_of_patient(self.patient),
            CrossmatchRead(
                unit=self.unit,
                major=self.major,
                minor=self.minor,
                control=self.control,
                haemolysis=self.haemolysis,
                method=self.method.strip(),
                reader=self.reader.strip(),
                compatible=compatible,
                because=because,
            ),
        )
