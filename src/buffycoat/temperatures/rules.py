"""Temperatures: read by hand, alarms opened and acknowledged, units that were inside decided, days sealed."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import count

from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.labels.products import FREEZER, PRODUCTS
from buffycoat.labels.rules import Labelling, UnitDiscarded, UnitName
from buffycoat.problems.rules import (
    DISCARDED,
    NOTHING_WRONG,
    OTHER,
    OfDonation,
    ProblemReported,
    ProblemSettled,
)
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import limits
from buffycoat.storage.places import Place
from buffycoat.temperatures.alarms import Alarm, Stays, temperatures
from buffycoat.temperatures.bands import CAUSES, WARM
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
from buffycoat.temperatures.judging import DISCARD, VERDICTS, Advice, Exposure, advice

COLDEST_CENTI_C, WARMEST_CENTI_C = -10_000, 6_000


def stream_of(place: str) -> str:
    return f"temperatures/{place}"


def _why_no_place(look: Look, place: str) -> Iterator[str]:
    if look(Place, place).opened is None:
        yield f"No place has the number {show_code(place)}: scan the card on the door."


@dataclass(frozen=True, kw_only=True)
class ReadTemperature(Command):
    """Reads a thermometer at a door by hand: now, and its least and most since the last time."""

    place: str
    now_centi_c: int
    least_centi_c: int
    most_centi_c: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_no_place(look, self.place)
        for centi_c in (self.now_centi_c, self.least_centi_c, self.most_centi_c):
            if not COLDEST_CENTI_C <= centi_c <= WARMEST_CENTI_C:
                yield f"{centi_c / 100:g} °C cannot be: read it again."
        if not self.least_centi_c <= self.now_centi_c <= self.most_centi_c:
            yield "Now lies between least and most: read all three again, and set the thermometer back afterwards."
        if any(read_at >= at for read_at, _ in temperatures(look, self.place).read):
            yield "It was read after that already: give the time of this reading."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            stream_of(self.place),
            TemperatureRead(
                place=self.place,
                now_centi_c=self.now_centi_c,
                least_centi_c=self.least_centi_c,
                most_centi_c=self.most_centi_c,
            ),
        )


@dataclass(frozen=True, kw_only=True)
class OpenAlarm(Command):
    """Opens an alarm, or says that its place left its range again. `units` are those inside: they wait from now on."""

    place: str
    cause: str
    since: datetime
    ended_at: datetime | None = None
    extreme_centi_c: int | None = None
    units: tuple[str, ...] = ()

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_no_place(look, self.place)
        if self.cause not in CAUSES:
            yield f"An alarm is one of {', '.join(CAUSES)}."
        if self.since > at:
            yield "It cannot have begun later than now."
        if self.ended_at and self.ended_at < self.since:
            yield "It cannot end before it began."
        before = temperatures(look, self.place).open(self.cause)
        if before and before.ended_at is None and self.ended_at is None:
            yield f"Alarm {before.number} is open for this already."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        before = temperatures(look, self.place).open(self.cause)
        number = before.number if before else look.serial
        known = set(before.units) if before else set()
        units = tuple(unit for unit in dict.fromkeys(self.units) if unit not in known)
        opened = AlarmOpened(
            alarm=number,
            place=self.place,
            cause=self.cause,
            since=self.since,
            ended_at=self.ended_at,
            extreme_centi_c=self.extreme_centi_c,
            units=units,
        )
        yield stream_of(self.place), opened
        yield from _held(look, units, number, self.place, self.cause)


def _held(
    look: Look, units: tuple[str, ...], alarm: int, place: str, cause: str
) -> Iterator[tuple[str, Fact]]:
    """Each unit learns that it was exposed, and a problem holds it until somebody has decided."""
    numbers = count(look.serial + 1)  # behind the entry of the alarm itself
    opened = look(Place, place).opened
    for unit in units:
        named = look(UnitName, unit).named
        if named is None:
            continue
        exposed, problem = next(numbers), next(numbers)
        assert exposed < problem
        stream = f"donation/{named.donation}"
        words = f"{CAUSES[cause]} in {opened.name if opened else place}, alarm {alarm}"
        yield (
            stream,
            UnitExposed(alarm=alarm, part=named.part, unit=unit, place=place, cause=cause, problem=problem),
        )
        yield (
            stream,
            ProblemReported(
                problem=problem,
                about=unit,
                part=named.part,
                what="warm" if cause == WARM else OTHER,
                words=words,
            ),
        )


def _why_no_alarm(look: Look, place: str, number: int) -> Iterator[str]:
    alarm = temperatures(look, place).alarms.get(number)
    if alarm is None:
        yield f"{show_code(place)} has no alarm {number}."
    elif alarm.closed_at:
        yield f"Alarm {number} is closed."


@dataclass(frozen=True, kw_only=True)
class EndAlarm(Command):
    """Says that a place is back in its range, or heard of again."""

    place: str
    alarm: int
    ended_at: datetime
    extreme_centi_c: int | None = None
    units: tuple[str, ...] = ()

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_no_alarm(look, self.place, self.alarm)
        alarm = temperatures(look, self.place).alarms.get(self.alarm)
        if alarm and alarm.ended_at:
            yield f"Alarm {self.alarm} is over already."
        elif alarm and self.ended_at < alarm.spans[-1][0]:
            yield "It cannot end before it began."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        alarm = temperatures(look, self.place).alarms[self.alarm]
        units = tuple(unit for unit in dict.fromkeys(self.units) if unit not in alarm.units)
        ended = AlarmEnded(
            alarm=self.alarm, ended_at=self.ended_at, extreme_centi_c=self.extreme_centi_c, units=units
        )
        yield stream_of(self.place), ended
        yield from _held(look, units, self.alarm, self.place, alarm.cause)


@dataclass(frozen=True, kw_only=True)
class AcknowledgeAlarm(Command):
    """Takes an alarm: says who looks after it and what was found."""

    place: str
    alarm: int
    note: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_no_alarm(look, self.place, self.alarm)
        alarm = temperatures(look, self.place).alarms.get(self.alarm)
        if alarm and alarm.acknowledged:
            yield f"{alarm.acknowledged_by} has taken this alarm already: {alarm.acknowledged.note}"
        if not self.note.strip():
            yield "Say what you found and what you do about it."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.place), AlarmAcknowledged(alarm=self.alarm, note=self.note.strip())


@dataclass(frozen=True, kw_only=True)
class TellAlarm(Command):
    """Says that an alarm went out by e-mail, to how many people."""

    place: str
    alarm: int
    people: int

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_no_alarm(look, self.place, self.alarm)
        if self.people < 1:
            yield "Nobody was told."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield stream_of(self.place), AlarmTold(alarm=self.alarm, people=self.people)


@dataclass(frozen=True, kw_only=True)
class Verdict:
    unit: str
    verdict: str


def exposure_of(look: Look, unit: str, alarm: Alarm) -> Exposure | None:
    named = look(UnitName, unit).named
    if named is None:
        return None
    stays, labels = look(Stays, named.donation), look(Labelling, named.donation)
    label, place = labels.printed.get(named.part), look(Place, alarm.place).opened
    others = {each.alarm for each in stays.exposed if each.unit == unit} - {alarm.number}
    assert alarm.extreme_centi_c is not None
    return Exposure(
        kept_in=PRODUCTS[label.product].kept_in if label else place.appliance if place else FREEZER,
        cause=alarm.cause,
        extreme_centi_c=alarm.extreme_centi_c,
        minutes=stays.minutes(unit, alarm),
        before=len(others),
    )


def advice_for(look: Look, unit: str, alarm: Alarm) -> Advice | None:
    exposed = exposure_of(look, unit, alarm)
    return advice(exposed, limits(look)) if exposed else None


@dataclass(frozen=True, kw_only=True)
class JudgeExposed(Command):
    """Decides what is to be done with units that were inside: keep, use first or discard."""

    place: str
    alarm: int
    verdicts: tuple[Verdict, ...]
    judged_by: str
    why: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_no_alarm(look, self.place, self.alarm)
        alarm = temperatures(look, self.place).alarms.get(self.alarm)
        if alarm is None:
            return
        if alarm.ended_at is None:
            yield "The place is not back in its range yet: move what is in it, and decide when it is over."
        if not self.judged_by.strip():
            yield "Say who decides."
        if not self.verdicts:
            yield "Decide for at least one unit."
        for each in self.verdicts:
            yield from self._why_not_unit(look, alarm, each)

    def _why_not_unit(self, look: Look, alarm: Alarm, each: Verdict) -> Iterator[str]:
        shown = show_code(each.unit)
        if each.unit not in alarm.units:
            yield f"{shown} was not in there during alarm {alarm.number}."
            return
        if each.unit in alarm.judged:
            yield f"{alarm.judged[each.unit].judged_by} has decided on {shown} already."
        if each.verdict not in VERDICTS:
            yield f"{shown}: choose {', '.join(VERDICTS.values()).lower()}."
            return
        rule = advice_for(look, each.unit, alarm)
        if rule and rule.verdict == DISCARD != each.verdict and not self.why.strip():
            yield (
                f"The site's rule says discard for {shown}, for {rule.because}. "
                "To keep it, say why and on whose word."
            )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        alarm = temperatures(look, self.place).alarms[self.alarm]
        for each in self.verdicts:
            rule, named = advice_for(look, each.unit, alarm), look(UnitName, each.unit).named
            assert rule and named
            judged = ExposureJudged(
                alarm=self.alarm,
                unit=each.unit,
                minutes=look(Stays, named.donation).minutes(each.unit, alarm),
                verdict=each.verdict,
                rule=rule.verdict,
                because=rule.because,
                why=self.why.strip(),
                judged_by=self.judged_by.strip(),
            )
            yield stream_of(self.place), judged
            yield from self._to_the_unit(look, named.donation, judged)

    def _to_the_unit(self, look: Look, donation: str, judged: ExposureJudged) -> Iterator[tuple[str, Fact]]:
        stays, problems = look(Stays, donation), look(OfDonation, donation)
        exposed = next(each for each in stays.exposed if (each.unit, each.alarm) == (judged.unit, self.alarm))
        told = f"{VERDICTS[judged.verdict]} after alarm {self.alarm}: {judged.because}. {judged.why}".strip()
        discard = judged.verdict == DISCARD
        if discard and exposed.part not in stays.gone:
            yield (
                f"donation/{donation}",
                UnitDiscarded(part=exposed.part, unit=judged.unit, reason=f"Out of its range. {told}"),
            )
        if problems.known[exposed.problem].settled is None:
            settled = ProblemSettled(
                problem=exposed.problem,
                outcome=DISCARDED if discard else NOTHING_WRONG,
                why=told,
                settled_by=judged.judged_by,
                alone=False,
            )
            yield f"donation/{donation}", settled


@dataclass(frozen=True, kw_only=True)
class SealedDay:
    """What one day's readings come to."""

    day: date
    readings: int
    least_centi_c: int
    most_centi_c: int
    kinetic_centi_c: int | None
    silences: int
    excursions: int
    sha256: str


@dataclass(frozen=True, kw_only=True)
class SealTemperatures(Command):
    """Seals the readings of whole days into the book."""

    place: str
    days: tuple[SealedDay, ...]

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from _why_no_place(look, self.place)
        sealed = temperatures(look, self.place).sealed
        for each in self.days:
            before = sealed.get(each.day)
            if each.day >= at.date():
                yield f"{each.day:%d %b %Y} is not over yet in UTC."
            if before and each.readings < before.readings:
                yield (
                    f"{each.day:%d %b %Y} was sealed with {before.readings} readings and now has {each.readings}: "
                    "some were taken away. Look at a copy of the bank."
                )

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        for each in self.days:
            values = {name: getattr(each, name) for name in each.__dataclass_fields__}
            yield stream_of(self.place), TemperaturesSealed(place=self.place, **values)
