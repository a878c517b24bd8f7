"""What the site decides for itself. A limit is a fact like any other, so the book tells which one held when."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import ClassVar, Self
from zoneinfo import ZoneInfo, available_timezones

from buffycoat.journal.facts import Command, Fact, Line, Look, State
from buffycoat.science.numbering import SITE_LETTERS
from buffycoat.site.limits import LIMITS
from buffycoat.site.people_limits import OFF

STREAM = "site/limits"
PRACTICE_LETTERS = "PRAC"  # of the practice book: no other book ever takes its codes


@dataclass(frozen=True, kw_only=True)
class LimitSet(Fact, kind="limit-set"):
    key: str
    value: int | str
    reason: str
    checked_by: str = ""  # who typed the same, blind


@dataclass(frozen=True, kw_only=True)
class Limits(State):
    """Every limit as it stands: what the site set, else the default."""

    stream: ClassVar[str] = "site"
    set_here: dict[str, int | str] = field(default_factory=dict)

    def evolve(self, line: Line) -> Self:
        if isinstance(line.fact, LimitSet):
            return replace(self, set_here={**self.set_here, line.fact.key: line.fact.value})
        return self

    def whole(self, key: str) -> int:
        value = self.set_here.get(key, LIMITS[key].default)
        assert isinstance(value, int)
        return value

    def text(self, key: str) -> str:
        return str(self.set_here.get(key, LIMITS[key].default))

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.text("time_zone"))


def limits(look: Look) -> Limits:
    return look(Limits, "limits")


def why_no_second_person(look: Look, set_by: str, checked_by: str) -> Iterator[str]:
    """Where the site asks for it, a second person types a changed rule or recipe too, blind."""
    if limits(look).text("second_person_for_rules") == OFF:
        return
    if not checked_by.strip():
        yield "A rule is changed by two here: a second person types it too, and signs for it."
    elif checked_by.strip().casefold() == set_by.strip().casefold():
        yield "Whoever changes a rule does not check it too: a second person types it and signs."


@dataclass(frozen=True, kw_only=True)
class SetLimit(Command):
    key: str
    value: int | str
    reason: str
    set_by: str = ""
    checked_by: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        limit = LIMITS.get(self.key)
        if limit is None:
            yield f"There is no setting called {self.key}."
            return
        if not self.reason.strip():
            yield "Say why, and on whose word: the reason stays beside the setting."
        if self.key == "site_code" and self.value == PRACTICE_LETTERS and look.serial > 1:
            yield f"{PRACTICE_LETTERS} are the letters of the practice book: choose others."
        yield from why_not_value(self.key, self.value)
        yield from why_no_second_person(look, self.set_by, self.checked_by)

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        yield (
            STREAM,
            LimitSet(
                key=self.key, value=self.value, reason=self.reason.strip(), checked_by=self.checked_by.strip()
            ),
        )


def why_not_value(key: str, value: int | str) -> Iterator[str]:
    limit = LIMITS[key]
    if isinstance(limit.default, int):
        if not isinstance(value, int):
            yield f"{limit.title} is a whole number of {limit.unit}."
        elif not limit.least <= value <= limit.most:
            yield f"{limit.title}: {value} {limit.unit} is outside {limit.least} to {limit.most} {limit.unit}."
    elif not str(value).strip():
        yield f"{limit.title} must not be empty."
    elif limit.choices and value not in limit.choices:
        yield f"{limit.title}: choose {', '.join(limit.choices)}."
    elif key == "site_code" and not (len(str(value)) == 4 and set(str(value)) <= set(SITE_LETTERS)):
        yield f"The site's code is four letters from {' '.join(SITE_LETTERS)}."
    elif key == "time_zone" and value not in available_timezones():
        yield f"{value} is no time zone: write a name such as Europe/Lisbon."
