"""How each kind of value is typed and written: the same on a page and in a terminal. Nothing is ever guessed."""

import re
import types
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, is_dataclass
from dataclasses import fields as dataclass_fields
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any, Union, get_args, get_origin, get_type_hints
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from buffycoat.calculator.labels import LABELS
from buffycoat.shell.measures import HOW_MOMENT, Unreadable, read_moment, read_number

_PLACES = 18  # more than a float holds, so that nothing typed is cut


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Where and when it is asked: a clock time is read in a zone, and without its day it is of today."""

    zone: ZoneInfo
    today: date


@dataclass(frozen=True, kw_only=True)
class Kind:
    """`write` gives what `reads` reads."""

    reads: Callable[[str, Asked], Any]
    write: Callable[[Any], str] = str
    lines: bool = False
    many: bool = False
    hint: str = ""

    def read(self, typed: str, asked: Asked) -> Any:
        """The value of what was typed. Raises: ValueError with a sentence that says what to type instead."""
        try:
            return self.reads(typed, asked)
        except OverflowError:
            raise Unreadable(f"“{typed[:20]}” is too far out to compute with. Look at it again.") from None


def plain(value: float) -> str:
    """A number as people type it: twelve figures at most, and no exponent.

    >>> plain(450.0), plain(0.00005), plain(1e7)
    ('450', '0.00005', '10000000')
    """
    text = format(Decimal(f"{value:.12g}"), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def number(unit: str = "", example: str = "12.5") -> Kind:
    def read(typed: str, asked: Asked) -> float:
        units = {unit.lower(): unit} if unit else {}
        return read_number(typed, units=units, places=_PLACES, example=example) / 10**_PLACES

    return Kind(reads=read, write=plain)


def share() -> Kind:
    def read(typed: str, asked: Asked) -> float:
        steps = read_number(typed, units={"%": "%"}, places=_PLACES, example="0.45, or 45 %")
        return steps / (10**_PLACES * (100 if typed.strip().endswith("%") else 1))

    return Kind(reads=read, write=plain, hint="Between 0 and 1, like 0.45, or in per cent, like 45 %.")


def whole(unit: str = "") -> Kind:
    units = {unit.lower(): unit} if unit else {}
    return Kind(reads=lambda typed, asked: read_number(typed, units=units, places=0, example="12"))


MOMENT = Kind(
    reads=lambda typed, asked: read_moment(typed, zone=asked.zone, today=asked.today),
    write=lambda at: f"{at.astimezone(UTC):%Y-%m-%d %H:%M} +00:00",
    hint=HOW_MOMENT,
)
# The clock on the wall, whether or not it ever showed that time.
WALL_CLOCK = Kind(
    reads=lambda typed, asked: read_moment(typed, zone=ZoneInfo("UTC"), today=asked.today).replace(
        tzinfo=None
    ),
    write=lambda at: f"{at:%Y-%m-%d %H:%M}",
    hint=HOW_MOMENT,
)
WORDS = Kind(reads=lambda typed, asked: typed.strip())


def _hours(typed: str, asked: Asked) -> timedelta:
    return timedelta(hours=number("h").read(typed, asked))


HOURS = Kind(reads=_hours, write=lambda span: plain(span.total_seconds() / 3600))


def _zone(typed: str, asked: Asked) -> ZoneInfo:
    try:
        return ZoneInfo(typed.strip())
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise Unreadable(f"“{typed}” is no time zone known here. For example: Europe/London.") from None


ZONE = Kind(reads=_zone)


def several(each: Kind, *, lines: bool = False, count: int = 0) -> Kind:
    """Values of one kind, parted by blanks or, where one may hold blanks, each on its own line; so many, if `count`."""
    parting = r"[\n;]" if lines else r"[\s;]+"

    def read(typed: str, asked: Asked) -> tuple[Any, ...]:
        parts = [part.strip() for part in re.split(parting, typed) if part.strip()]
        if count and len(parts) != count:
            raise Unreadable(f"“{typed}” holds {len(parts)}; {count} are asked here, with blanks between.")
        return tuple(each.read(part, asked) for part in parts)

    return Kind(
        reads=read,
        write=lambda values: ("\n" if lines else " ").join(each.write(value) for value in values),
        lines=lines,
        many=True,
        hint=f"One on each line. {each.hint}" if lines else f"{count or 'Several'}, with blanks between.",
    )


def record(type_: type) -> Kind:
    """Something of several parts on one line, like `A 610` or `A=610`; only the first may hold blanks."""
    hints = get_type_hints(type_)
    names = names_of(type_)
    kinds = [kind_of(name, hints[name]) for name in names]
    like = " = ".join(_said(name) for name in names)

    def read(typed: str, asked: Asked) -> Any:
        parts = typed.replace("=", " ").rsplit(maxsplit=len(names) - 1)
        if len(parts) != len(names):
            raise Unreadable(f"“{typed}” is not complete: each line is {like}.")
        return type_(
            **{name: kind.read(part, asked) for name, kind, part in zip(names, kinds, parts, strict=True)}
        )

    def write(value: Any) -> str:
        return " = ".join(kind.write(getattr(value, name)) for name, kind in zip(names, kinds, strict=True))

    return Kind(reads=read, write=write, hint=f"Each is {like}.")


def _said(name: str) -> str:
    label, unit = LABELS.get(name) or label_of(name), unit_of(name)
    return f"{label[:1].lower()}{label[1:]}{f' in {unit}' if unit else ''}"


def names_of(type_: type) -> list[str]:
    return [field.name for field in dataclass_fields(type_)] if is_dataclass(type_) else list(type_._fields)  # type: ignore[attr-defined]


def is_record(annotation: Any) -> bool:
    return isinstance(annotation, type) and (is_dataclass(annotation) or hasattr(annotation, "_fields"))


def kind_of(name: str, annotation: Any) -> Kind:
    """The kind of a parameter, by its annotation and its name."""
    if get_origin(annotation) in (Union, types.UnionType):
        annotation = next(each for each in get_args(annotation) if each is not type(None))
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin in (Sequence, Collection, Iterable, tuple):
        each = kind_of(name, inner[0])
        lines = each.many or is_record(inner[0]) or inner[0] in (datetime, str)
        return several(each, lines=lines, count=len(inner) if origin is tuple and ... not in inner else 0)
    if is_record(annotation):
        return record(annotation)
    simple = {
        str: WORDS,
        ZoneInfo: ZONE,
        timedelta: HOURS,
        datetime: WALL_CLOCK if name == "local" else MOMENT,
    }
    if annotation in simple:
        return simple[annotation]
    if annotation is int:
        return whole(unit_of(name))
    if annotation is float:
        return share() if _is_share(name) else number(unit_of(name))
    raise TypeError(f"No kind is known for {name}: {annotation}.")


_SHARES = ("haematocrit", "share", "chance", "confidence", "coverage", "significance")


def _is_share(name: str) -> bool:
    return any(word in name for word in _SHARES)


_UNITS = {  # the longest ending first
    "ml_per_kg_h": "mL/kg/h",
    "ml_per_kg": "mL/kg",
    "ml_per_kg_range": "mL/kg",
    "ml_per_h": "mL/h",
    "drops_per_ml": "drops/mL",
    "g_per_ml": "g/mL",
    "g_per_dl": "g/dL",
    "mmol_per_l": "mmol/L",
    "um_per_s": "µm/s",
    "mpa_s": "mPa·s",
    "g_seconds": "g·s",
    "over_gas_k": "K",
    "percent": "%",
    "hours": "h",
    "rpm": "rpm",
    "rcf": "× g",
    "days": "days",
    "months": "months",
    "years": "years",
    "rise": "points",
    "min": "min",
    "fl": "fL",
    "ml": "mL",
    "mm": "mm",
    "kg": "kg",
    "g": "g",
    "c": "°C",
    "h": "h",
    "s": "s",
}
_WHOLE_NAMES = {"rpm", "rcf", "days", "months", "years", "rise", "hours", "g_seconds"}


def unit_of(name: str) -> str:
    """The unit, which stands last in a name; a PCV is in per cent.

    >>> unit_of("start_ml_per_kg_h"), unit_of("radius_mm"), unit_of("pcv_now"), unit_of("places")
    ('mL/kg/h', 'mm', '%', '')
    """
    if name.startswith("pcv"):
        return "%"
    return next((unit for end, unit in _UNITS.items() if name == end or name.endswith(f"_{end}")), "")


def label_of(name: str) -> str:
    """The words of a name without its unit.

    >>> label_of("speed_up_s"), label_of("new_rpm"), label_of("ml_per_kg"), label_of("haematocrit")
    ('Speed up', 'New rpm', 'Ml per kg', 'Haematocrit')
    """
    ends = () if name in _UNITS else _UNITS
    end = next((end for end in ends if end not in _WHOLE_NAMES and name.endswith(f"_{end}")), None)
    words = (name.removesuffix(f"_{end}") if end else name).replace("_", " ").replace("pcv", "PCV")
    return words[:1].upper() + words[1:]
