"""Results: each number with its label and unit, whole for programs and rounded for people."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from buffycoat.calculator import kinds
from buffycoat.calculator.kinds import label_of, plain, unit_of
from buffycoat.calculator.labels import LABELS
from buffycoat.shell import words

UTC_ZONE = ZoneInfo("UTC")
NEXT_TO_NOTHING = 1e-9
SHORT = 20


@dataclass(frozen=True, kw_only=True)
class Line:
    """One result. `value` is whole, `text` is rounded for people."""

    label: str
    value: Any
    unit: str = ""
    decimals: int = 0
    zone: ZoneInfo | None = None

    @property
    def said_unit(self) -> str:
        """The unit of a number, the zone of a moment; nothing else has one."""
        if isinstance(self.value, datetime):
            return str(self.zone or UTC_ZONE)
        return "" if isinstance(self.value, bool | str | timedelta) else self.unit

    @property
    def short(self) -> bool:
        """Whether it may be shown as a key number."""
        return len(self.text) <= SHORT

    @property
    def text(self) -> str:
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if isinstance(self.value, datetime):
            return words.moment(self.value, self.zone or UTC_ZONE)
        if isinstance(self.value, timedelta):
            return _span(self.value)
        if isinstance(self.value, int | float):
            return rounded(self.value, self.decimals)
        return str(self.value)

    @property
    def machine(self) -> Any:
        """The value for programs: a number in full, a moment in ISO 8601, a span in seconds."""
        if isinstance(self.value, datetime):
            return self.value.astimezone(self.zone or UTC_ZONE).isoformat()
        return self.value.total_seconds() if isinstance(self.value, timedelta) else self.value


def lines_in(
    value: Any, label: str | tuple[str, ...], unit: str, decimals: int, zone: ZoneInfo
) -> Iterator[Line]:
    """Each number that a value holds, named by the labels or by the names of its parts."""
    if isinstance(value, Line):
        yield value if value.zone else replace(value, zone=zone)
    elif kinds.is_record(type(value)):
        for name in kinds.names_of(type(value)):
            part = LABELS.get(name) or label_of(name)
            named = f"{label}: {part[:1].lower()}{part[1:]}" if label else part
            yield from lines_in(getattr(value, name), named, unit_of(name) or unit, decimals, zone)
    elif isinstance(value, tuple | list):
        labels = (
            [f"{label} {place}" for place in range(1, len(value) + 1)] if isinstance(label, str) else label
        )
        for each, named in zip(value, labels, strict=True):
            yield from lines_in(each, named, unit, decimals, zone)
    else:
        yield Line(label=str(label), value=value, unit=unit, decimals=decimals, zone=zone)


def rounded(value: float, decimals: int) -> str:
    """A number for people: figures in threes, no trailing noughts, and nought only for next to nothing.

    >>> rounded(4930.2, 0).replace(words.THIN, " "), rounded(0.5886, 3), rounded(0.0000123, 2)
    ('4 930', '0.589', '0.0000123')
    """
    if value in (float("inf"), float("-inf")):
        return "none"
    steps = round(value * 10**decimals)
    if steps == 0 and abs(value) > NEXT_TO_NOTHING:
        return plain(float(f"{value:.3g}")).replace("-", words.MINUS)
    return words.scaled(steps, decimals)


def _span(span: timedelta) -> str:
    sign = words.MINUS if span < timedelta(0) else ""
    minutes = round(abs(span.total_seconds()) / 60)
    return f"{sign}{minutes // 60} h {minutes % 60:02d} min"
