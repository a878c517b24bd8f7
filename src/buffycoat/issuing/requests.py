"""A request for blood: for whom, what, how much, by when, and who asked for it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.matching.compatibility import KINDS
from buffycoat.patients.rules import Patient
from buffycoat.science.numbering import make_code, show_code
from buffycoat.site.rules import limits

AT_ONCE, TODAY, PLANNED = "at once", "today", "planned"
URGENCIES = (AT_ONCE, TODAY, PLANNED)
MOST_ML = 3_000


@dataclass(frozen=True, kw_only=True)
class BloodRequested(Fact, kind="blood-requested"):
    """`read_back`: asked on the telephone, and read back to who asked. `pcv_permille`: the patient's, if measured."""

    request: str
    patient: str
    kind_wanted: str
    volume_ml: int
    urgency: str
    needed_by: datetime | None
    pcv_permille: int | None
    asked_by: str
    by_phone: bool
    read_back: bool
    why: str


@dataclass(frozen=True, kw_only=True)
class RequestServed(Fact, kind="request-served", builds_on=(BloodRequested,)):
    """Written by the issue of a unit."""

    unit: str
    volume_ml: int


@dataclass(frozen=True, kw_only=True)
class ServedUnitReturned(Fact, kind="served-unit-returned", builds_on=(RequestServed,)):
    unit: str


@dataclass(frozen=True, kw_only=True)
class RequestClosed(Fact, kind="request-closed", builds_on=(BloodRequested,)):
    why: str


@dataclass(frozen=True, kw_only=True)
class Request(State):
    stream: ClassVar[str] = "request"
    asked: BloodRequested | None = None
    asked_at: datetime | None = None
    served: dict[str, RequestServed] | None = None
    closed: str = ""

    def evolve(self, line: Line) -> Self:
        served = self.served or {}
        match line.fact:
            case BloodRequested() as fact:
                return replace(self, asked=fact, asked_at=line.happened_at)
            case RequestServed(unit=unit) as fact:
                return replace(self, served={**served, unit: fact})
            case ServedUnitReturned(unit=unit):
                return replace(self, served={key: each for key, each in served.items() if key != unit})
            case RequestClosed(why=why):
                return replace(self, closed=why)
        return self

    @property
    def given_ml(self) -> int:
        return sum(each.volume_ml for each in (self.served or {}).values())


def stream_of(request: str) -> str:
    return f"{Request.stream}/{request}"


def why_not_open(look: Look, request: str) -> Iterator[str]:
    state = look(Request, request)
    if state.asked is None:
        yield f"No request has the number {show_code(request)}: scan it again, or write the request."
    elif state.closed:
        yield f"This request is closed: {state.closed}"


@dataclass(frozen=True, kw_only=True)
class RequestBlood(Command):
    patient: str
    kind_wanted: str
    volume_ml: int
    urgency: str
    asked_by: str
    why: str
    needed_by: datetime | None = None
    pcv_permille: int | None = None
    by_phone: bool = False
    read_back: bool = False

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if look(Patient, self.patient).registered is None:
            yield f"No patient has the number {show_code(self.patient)}: scan its band again, or register it."
        if self.kind_wanted not in KINDS:
            yield f"Say what it needs: {', '.join(KINDS)}."
        if not 1 <= self.volume_ml <= MOST_ML:
            yield f"{self.volume_ml} mL: one request is for 1 to {MOST_ML} mL."
        if self.urgency not in URGENCIES:
            yield f"Say how urgent it is: {', '.join(URGENCIES)}."
        if self.pcv_permille is not None and not 20 <= self.pcv_permille <= 700:
            yield f"A PCV of {self.pcv_permille / 10:g} % is not read in a living patient: 2 to 70 %."
        if not self.asked_by.strip() or not self.why.strip():
            yield "Say who asks for it, and why."
        if self.by_phone and not self.read_back:
            yield "Asked on the telephone: read patient, product and volume back to who asks, and tick it."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        request = make_code("Q", limits(look).text("site_code"), look.serial)
        yield (
            stream_of(request),
            BloodRequested(
                request=request,
                patient=self.patient,
                kind_wanted=self.kind_wanted,
                volume_ml=self.volume_ml,
                urgency=self.urgency,
                needed_by=self.needed_by,
                pcv_permille=self.pcv_permille,
                asked_by=self.asked_by.strip(),
                by_phone=self.by_phone,
                read_back=self.read_back,
                why=self.why.strip(),
            ),
        )


@dataclass(frozen=True, kw_only=True)
class CloseRequest(Command):
    """Nothing more is given for it: enough was given, or it is not needed any more."""

    request: str
    why: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_open(look, self.request)
        if not self.why.strip():
            yield "Say why: enough was given, or why it is not needed any more."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.request), RequestClosed(why=self.why.strip())
