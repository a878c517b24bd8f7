"""What the book says of one place's temperatures, and which units were in which place when."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import ClassVar, Self

from buffycoat.journal.facts import Line, Look, State, replace
from buffycoat.labels.facts import UnitDiscarded, UnitDivided, UnitPutAway, UnitTakenOut
from buffycoat.temperatures.bands import COLD
from buffycoat.temperatures.facts import (
    AlarmAcknowledged,
    AlarmEnded,
    AlarmOpened,
    AlarmTold,
    ExposureJudged,
    TemperatureRead,
    TemperaturesSealed,
    UnitExposed,
)

Span = tuple[datetime, datetime | None]


@dataclass(frozen=True, kw_only=True)
class Alarm:
    """`spans` are the times outside; the last has no end while it goes on."""

    number: int
    place: str
    cause: str
    opened_at: datetime
    spans: tuple[Span, ...]
    extreme_centi_c: int | None
    units: tuple[str, ...]
    acknowledged: AlarmAcknowledged | None = None
    acknowledged_at: datetime | None = None
    acknowledged_by: str = ""
    told_at: datetime | None = None
    people: int = 0
    judged: dict[str, ExposureJudged] = field(default_factory=dict)
    closed_at: datetime | None = None

    @property
    def since(self) -> datetime:
        return min(start for start, _ in self.spans)

    @property
    def ended_at(self) -> datetime | None:
        return self.spans[-1][1]

    @property
    def to_judge(self) -> list[str]:
        return [unit for unit in self.units if unit not in self.judged]

    @property
    def done(self) -> bool:
        """Over, seen by a person, and every unit decided."""
        seen = self.acknowledged is not None or bool(self.judged)
        return self.ended_at is not None and seen and not self.to_judge

    def covers(self, since: datetime, until: datetime) -> bool:
        return any(start <= until and (end is None or since <= end) for start, end in self.spans)


@dataclass(frozen=True, kw_only=True)
class Temperatures(State):
    """Of one place. `read` are those by hand, `sealed` the newest seal of each day."""

    stream: ClassVar[str] = "temperatures"
    alarms: dict[int, Alarm] = field(default_factory=dict)
    read: tuple[tuple[datetime, TemperatureRead], ...] = ()
    sealed: dict[date, TemperaturesSealed] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case TemperatureRead() as fact:
                return replace(self, read=(*self.read, (line.happened_at, fact)))
            case TemperaturesSealed() as fact:
                return replace(self, sealed={**self.sealed, fact.day: fact})
            case AlarmOpened() as fact:
                return self._with(self._opened(fact, line), line)
            case AlarmEnded() | AlarmAcknowledged() | AlarmTold() | ExposureJudged() as fact:
                return self._with(_after(self.alarms[fact.alarm], fact, line), line)
        return self

    def _opened(self, fact: AlarmOpened, line: Line) -> Alarm:
        if before := self.alarms.get(fact.alarm):
            again = _in_order((*before.spans, (fact.since, fact.ended_at)))
            worst = _worst(fact.cause, before.extreme_centi_c, fact.extreme_centi_c)
            units = (*before.units, *fact.units)
            return replace(
                before, spans=again, extreme_centi_c=worst, units=units, acknowledged=None, told_at=None
            )
        return Alarm(
            number=fact.alarm,
            place=fact.place,
            cause=fact.cause,
            opened_at=line.happened_at,
            spans=((fact.since, fact.ended_at),),
            extreme_centi_c=fact.extreme_centi_c,
            units=fact.units,
        )

    def _with(self, alarm: Alarm, line: Line) -> Self:
        if alarm.done and alarm.closed_at is None:
            alarm = replace(alarm, closed_at=line.happened_at)
        return replace(self, alarms={**self.alarms, alarm.number: alarm})

    def open(self, cause: str) -> Alarm | None:
        """The one of that cause that is not closed."""
        return next(
            (each for each in self.alarms.values() if each.cause == cause and each.closed_at is None), None
        )


def _after(
    alarm: Alarm, fact: AlarmEnded | AlarmAcknowledged | AlarmTold | ExposureJudged, line: Line
) -> Alarm:
    match fact:
        case AlarmEnded():
            spans = (*alarm.spans[:-1], (alarm.spans[-1][0], fact.ended_at))
            worst = _worst(alarm.cause, alarm.extreme_centi_c, fact.extreme_centi_c)
            return replace(alarm, spans=spans, extreme_centi_c=worst, units=(*alarm.units, *fact.units))
        case AlarmAcknowledged():
            return replace(
                alarm, acknowledged=fact, acknowledged_at=line.happened_at, acknowledged_by=line.by
            )
        case AlarmTold():
            return replace(alarm, told_at=line.happened_at, people=fact.people)
        case ExposureJudged():
            return replace(alarm, judged={**alarm.judged, fact.unit: fact})


def _in_order(spans: tuple[Span, ...]) -> tuple[Span, ...]:
    """The one that goes on stands last."""
    return tuple(sorted(spans, key=lambda span: (span[1] is None, span[0])))


def _worst(cause: str, *extremes: int | None) -> int | None:
    known = [each for each in extremes if each is not None]
    return (min if cause == COLD else max)(known) if known else None


@dataclass(frozen=True, kw_only=True)
class Stay:
    part: str
    unit: str
    place: str
    since: datetime
    until: datetime | None = None

    def minutes_in(self, spans: tuple[Span, ...]) -> int:
        """How long it stood there during these times, rounded up."""
        seconds = 0.0
        for start, end in spans:
            ends = [each for each in (end, self.until) if each is not None]
            if ends:
                seconds += max((min(ends) - max(start, self.since)).total_seconds(), 0)
        return -int(-seconds // 60)


@dataclass(frozen=True, kw_only=True)
class Stays(State):
    """Of the units of a donation: where each stood from when to when, which are gone, and who was in which alarm."""

    stream: ClassVar[str] = "donation"
    stays: tuple[Stay, ...] = ()
    exposed: tuple[UnitExposed, ...] = ()
    gone: frozenset[str] = frozenset()

    def evolve(self, line: Line) -> Self:
        match line.fact:
            case UnitPutAway(part=part, unit=unit, place=place):
                new = Stay(part=part, unit=unit, place=place, since=line.happened_at)
                return replace(self, stays=(*self._left(part, line.happened_at), new))
            case UnitTakenOut(part=part):
                return replace(self, stays=self._left(part, line.happened_at))
            case UnitDiscarded(part=part) | UnitDivided(part=part):
                return replace(self, stays=self._left(part, line.happened_at), gone=self.gone | {part})
            case UnitExposed() as fact:
                return replace(self, exposed=(*self.exposed, fact))
        return self

    def _left(self, part: str, at: datetime) -> tuple[Stay, ...]:
        return tuple(
            replace(stay, until=max(at, stay.since)) if stay.part == part and stay.until is None else stay
            for stay in self.stays
        )

    def minutes(self, unit: str, alarm: Alarm) -> int:
        return sum(
            stay.minutes_in(alarm.spans)
            for stay in self.stays
            if (stay.unit, stay.place) == (unit, alarm.place)
        )


def temperatures(look: Look, place: str) -> Temperatures:
    return look(Temperatures, place)


def due_to_tell(alarm: Alarm, after: timedelta, at: datetime) -> bool:
    """Nobody has taken it, and nobody was told."""
    unseen = alarm.acknowledged is None and not alarm.judged and alarm.told_at is None
    return unseen and alarm.closed_at is None and at - alarm.opened_at >= after
