"""What the book is told of temperatures. Readings themselves stand beside it, sealed into it day by day."""

from dataclasses import dataclass
from datetime import date, datetime

from buffycoat.journal.facts import Fact
from buffycoat.labels.rules import UnitPutAway


@dataclass(frozen=True, kw_only=True)
class TemperatureRead(Fact, kind="temperature-read"):
    """Read by hand: now, and the least and the most since it was read before."""

    place: str
    now_centi_c: int
    least_centi_c: int
    most_centi_c: int


@dataclass(frozen=True, kw_only=True)
class AlarmOpened(Fact, kind="temperature-alarm-opened"):
    """`units` were inside, and wait from now on. With the number of an alarm that is open: once more outside.

    `ended_at` is there if it was over before anybody knew, as when a logger is read out.
    """

    alarm: int
    place: str
    cause: str
    since: datetime
    ended_at: datetime | None
    extreme_centi_c: int | None
    units: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class AlarmFact:
    """Stands on the alarm that it names."""

    alarm: int

    def stands_on(self, earlier: Fact) -> bool:
        return isinstance(earlier, AlarmOpened | AlarmEnded) and earlier.alarm == self.alarm


@dataclass(frozen=True, kw_only=True)
class AlarmEnded(AlarmFact, Fact, kind="temperature-alarm-ended", builds_on=(AlarmOpened,)):
    """Back in its band, or heard of again. `units` were put in meanwhile."""

    ended_at: datetime
    extreme_centi_c: int | None
    units: tuple[str, ...]

    def stands_on(self, earlier: Fact) -> bool:
        return isinstance(earlier, AlarmOpened) and earlier.alarm == self.alarm


@dataclass(frozen=True, kw_only=True)
class AlarmAcknowledged(AlarmFact, Fact, kind="temperature-alarm-acknowledged", builds_on=(AlarmOpened,)):
    note: str


@dataclass(frozen=True, kw_only=True)
class AlarmTold(AlarmFact, Fact, kind="temperature-alarm-told", builds_on=(AlarmOpened,)):
    """It went out by e-mail; the addresses stay out of the book."""

    people: int


@dataclass(frozen=True, kw_only=True)
class UnitExposed(Fact, kind="unit-exposed", builds_on=(UnitPutAway,)):
    """In the donation's own stream. `problem` is what holds it until somebody has decided."""

    alarm: int
    part: str
    unit: str
    place: str
    cause: str
    problem: int


@dataclass(frozen=True, kw_only=True)
class ExposureJudged(AlarmFact, Fact, kind="exposure-judged", builds_on=(AlarmOpened, AlarmEnded)):
    """`rule` is what the site's rule said, with its reason; `why` is what the person adds."""

    unit: str
    minutes: int
    verdict: str
    rule: str
    because: str
    why: str
    judged_by: str


@dataclass(frozen=True, kw_only=True)
class TemperaturesSealed(Fact, kind="temperatures-sealed"):
    """All readings of a place on a day in UTC. A day that got more of them later is sealed again."""

    place: str
    day: date
    readings: int
    least_centi_c: int
    most_centi_c: int
    kinetic_centi_c: int | None
    silences: int
    excursions: int
    sha256: str
