"""Equipment: what weighs, spins, seals, cools and warms; when it is due for its check, and what is out of use."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import ClassVar, Self

from buffycoat.journal.facts import Command, Fact, Line, Look, State, replace
from buffycoat.science.numbering import make_code
from buffycoat.site.people_limits import REFUSE
from buffycoat.site.rules import Limits, limits

SCALE, SEALER = "scale", "sealer"
SORTS = {
    SCALE: "Scale",
    "centrifuge": "Centrifuge",
    SEALER: "Tube sealer",
    "store": "Fridge or freezer",
    "thermometer": "Thermometer or logger",
    "bath": "Thawing bath",
    "other": "Something else",
}
# What a piece of equipment serves in the book: a centrifuge its rotor, a fridge its place. A bench names its own.
SERVED = {"T": "rotor", "P": "place"}
LONGEST_ROUND_DAYS = 3_660


@dataclass(frozen=True, kw_only=True)
class EquipmentRegistered(Fact, kind="equipment-registered"):
    """`checked_how` says against what; `serves` is the code of the rotor or place that stops with it, or empty."""

    equipment: str
    name: str
    sort: str
    maker_number: str
    serves: str
    check_every_days: int
    checked_how: str
    due_on: date


@dataclass(frozen=True, kw_only=True)
class EquipmentServes(Fact, kind="equipment-serves"):
    """In the stream of the rotor or place: what it cannot work without."""

    equipment: str


@dataclass(frozen=True, kw_only=True)
class EquipmentChecked(Fact, kind="equipment-checked", builds_on=(EquipmentRegistered,)):
    """One that does not pass is out of use until it passes."""

    passed: bool
    found: str
    due_on: date


@dataclass(frozen=True, kw_only=True)
class TakenOutOfUse(Fact, kind="taken-out-of-use", builds_on=(EquipmentRegistered,)):
    reason: str


@dataclass(frozen=True, kw_only=True)
class PutBackInUse(Fact, kind="put-back-in-use", builds_on=(TakenOutOfUse,)):
    why: str


@dataclass(frozen=True, kw_only=True)
class Equipment(State):
    stream: ClassVar[str] = "equipment"
    registered: EquipmentRegistered | None = None
    due_on: date | None = None
    checked_at: datetime | None = None
    failed: str = ""
    taken_out: str = ""

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case EquipmentRegistered() as fact:
                return replace(self, registered=fact, due_on=fact.due_on)
            case EquipmentChecked() as fact:
                failed = "" if fact.passed else fact.found
                return replace(self, due_on=fact.due_on, checked_at=line.happened_at, failed=failed)
            case TakenOutOfUse(reason=reason):
                return replace(self, taken_out=reason)
            case PutBackInUse():
                return replace(self, taken_out="")
        return self

    @property
    def out_of_use(self) -> str:
        """Why, or empty."""
        failed = f"it did not pass its check ({self.failed.rstrip('.')})" if self.failed else ""
        return "; ".join(filter(None, (failed, self.taken_out.rstrip("."))))


@dataclass(frozen=True, kw_only=True)
class Served(State):
    """What a rotor or a place cannot work without. `exists`: the book tells of the thing itself."""

    equipment: tuple[str, ...] = ()
    exists: bool = False

    def evolve(self, line: Line) -> Self:
        if isinstance(line.fact, EquipmentServes):
            return replace(self, equipment=(*self.equipment, line.fact.equipment))
        return self if self.exists else replace(self, exists=True)


class RotorServed(Served):
    stream: ClassVar[str] = "rotor"


class PlaceServed(Served):
    stream: ClassVar[str] = "place"


SERVED_STATES: dict[str, type[Served]] = {state.stream: state for state in (RotorServed, PlaceServed)}


def overdue(state: Equipment, at: datetime, site: Limits) -> bool:
    """It is used to the end of the day on which it is due."""
    return state.due_on is not None and at.astimezone(site.zone).date() > state.due_on


def why_not_in_use(look: Look, equipment: str, at: datetime) -> Iterator[str]:
    """Why nothing is done with this piece of equipment now; a check that is late counts as the site decided."""
    state, site = look(Equipment, equipment), limits(look)
    if state.registered is None:
        return
    if state.out_of_use:
        yield f"{state.registered.name} is out of use: {state.out_of_use}. Take another."
    if overdue(state, at, site) and site.text("overdue_equipment") == REFUSE:
        yield f"{why_late(state)}. Have it checked first, or take another."


def why_late(state: Equipment) -> str:
    assert state.registered and state.due_on
    return f"{state.registered.name} was due for its check on {state.due_on:%d %b %Y}"


def why_not_served(look: Look, stream: str, number: str, at: datetime) -> Iterator[str]:
    """Why a rotor or a place cannot be used now: what it stands on is out of use."""
    for equipment in look(SERVED_STATES[stream], number).equipment:
        yield from why_not_in_use(look, equipment, at)


@dataclass(frozen=True, kw_only=True)
class RegisterEquipment(Command):
    name: str
    sort: str
    maker_number: str
    check_every_days: int
    checked_how: str
    due_on: date
    serves: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if not self.name.strip() or not self.maker_number.strip():
            yield "Give its name and the number that its maker gave it."
        if self.sort not in SORTS:
            yield f"Say what it is: {', '.join(SORTS.values()).lower()}."
        if not 1 <= self.check_every_days <= LONGEST_ROUND_DAYS:
            yield f"It is checked every 1 to {LONGEST_ROUND_DAYS} days: see its maker's manual."
        if not self.checked_how.strip():
            yield "Say how it is checked, and against what: test masses, a reference thermometer, a service."
        stream = SERVED.get(self.serves[:1], "")
        if self.serves and not (stream and look(SERVED_STATES[stream], self.serves).exists):
            yield f"{self.serves} is no rotor or place of this book: scan its card again."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        equipment = make_code("E", limits(look).text("site_code"), look.serial)
        yield (
            f"{Equipment.stream}/{equipment}",
            EquipmentRegistered(
                equipment=equipment,
                name=self.name.strip(),
                sort=self.sort,
                maker_number=self.maker_number.strip(),
                serves=self.serves,
                check_every_days=self.check_every_days,
                checked_how=self.checked_how.strip(),
                due_on=self.due_on,
            ),
        )
        if self.serves:
            yield f"{SERVED[self.serves[0]]}/{self.serves}", EquipmentServes(equipment=equipment)


def _why_unknown(look: Look, equipment: str) -> Iterator[str]:
    if look(Equipment, equipment).registered is None:
        yield f"No piece of equipment has the number {equipment}: scan its card again."


@dataclass(frozen=True, kw_only=True)
class CheckEquipment(Command):
    """Records a calibration or service; the next is due after the registered number of days."""

    equipment: str
    passed: bool
    found: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_unknown(look, self.equipment)
        if not self.found.strip():
            yield "Write down what was read, against what, and who checked it: “100 g read 100 g, 500 g read 501 g”."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        registered, site = look(Equipment, self.equipment).registered, limits(look)
        assert registered
        due_on = at.astimezone(site.zone).date() + timedelta(days=registered.check_every_days)
        fact = EquipmentChecked(passed=self.passed, found=self.found.strip(), due_on=due_on)
        yield f"{Equipment.stream}/{self.equipment}", fact


@dataclass(frozen=True, kw_only=True)
class TakeOutOfUse(Command):
    equipment: str
    reason: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_unknown(look, self.equipment)
        if out := look(Equipment, self.equipment).taken_out:
            yield f"It is out of use already: {out}"
        if not self.reason.strip():
            yield "Say what is wrong with it."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield f"{Equipment.stream}/{self.equipment}", TakenOutOfUse(reason=self.reason.strip())


@dataclass(frozen=True, kw_only=True)
class PutBack(Command):
    """Puts back what was taken out of use. One that did not pass its check comes back by passing one."""

    equipment: str
    why: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_unknown(look, self.equipment)
        state = look(Equipment, self.equipment)
        if state.failed and not state.taken_out:
            yield "It did not pass its check: record a check that it passes, and it is in use again."
        elif state.registered and not state.taken_out:
            yield f"{state.registered.name} is in use."
        if not self.why.strip():
            yield "Say what was done, and how it was seen that it works."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield f"{Equipment.stream}/{self.equipment}", PutBackInUse(why=self.why.strip())
