"""One calculator: a function of the science with a title, its inputs taken from the signature, its results named."""

import inspect
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, dataclass, field, fields, is_dataclass, replace
from functools import cached_property
from typing import Any, get_type_hints
from zoneinfo import ZoneInfo

from buffycoat.calculator import kinds
from buffycoat.calculator.docstrings import Explained, explained, first_call
from buffycoat.calculator.kinds import ZONE, Asked, Kind, label_of, unit_of
from buffycoat.calculator.labels import LABELS
from buffycoat.calculator.results import Line, lines_in
from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import BadCode
from buffycoat.shell.pictures.picture import Picture

ZONE_INPUT = "zone"


@dataclass(frozen=True, kw_only=True)
class Input:
    """One thing to type. Without a default it must be given; `folded`: the function does without it."""

    name: str
    label: str
    kind: Kind
    unit: str = ""
    default: Any = MISSING
    folded: bool = False

    @property
    def required(self) -> bool:
        return self.default is MISSING

    @property
    def usual(self) -> str:
        """The default, as it would be typed."""
        return "" if self.default in (MISSING, None, ()) else self.kind.write(self.default)


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What came out, and what it came from, both in full."""

    given: dict[str, Any]
    value: Any
    lines: tuple[Line, ...]
    picture: Picture | None


@dataclass(frozen=True, kw_only=True)
class Parameter:
    """A parameter of the function; a record is typed as its fields."""

    name: str
    inputs: tuple[Input, ...]
    record: type | None = None

    def value(self, values: Mapping[str, Any]) -> Any:
        if self.record is None:
            return values[self.name]
        return self.record(**{part: values[each.name] for part, each in self._parts()})

    def typed(self, value: Any) -> dict[str, str]:
        if self.record is None:
            return {self.name: self.inputs[0].kind.write(value)}
        written = {each: each.kind.write(getattr(value, part)) for part, each in self._parts()}
        return {each.name: text for each, text in written.items() if text != each.usual}

    def _parts(self) -> Iterator[tuple[str, Input]]:
        assert self.record is not None
        return zip(kinds.names_of(self.record), self.inputs, strict=True)


@dataclass(frozen=True, kw_only=True)
class Calculator:
    """`then` turns the function's value into lines, if its own parts are not what a reader asks for; the first `large`
    lines are key numbers. `say` and `hints` are labels and hints of inputs, by name; `asks` are inputs that are shown
    although they may stay empty."""

    name: str
    title: str
    function: Callable[..., Any]
    label: str | tuple[str, ...] = "Result"
    unit: str = ""
    decimals: int = 1
    then: Callable[[Any], Any] | None = None
    picture: Callable[[Any, Mapping[str, Any]], Picture | None] | None = None
    large: int = 4
    say: Mapping[str, str] = field(default_factory=dict)
    hints: Mapping[str, str] = field(default_factory=dict)
    asks: tuple[str, ...] = ()
    example_typed: Mapping[str, str] = field(default_factory=dict)

    @property
    def explained(self) -> Explained:
        return explained(self.function)

    @cached_property
    def parameters(self) -> tuple[Parameter, ...]:
        hints = get_type_hints(self.function)
        return tuple(
            self._parameter(each, hints[each.name])
            for each in inspect.signature(self.function).parameters.values()
        )

    @cached_property
    def _names(self) -> frozenset[str]:
        return frozenset(inspect.signature(self.function).parameters)

    def _parameter(self, each: inspect.Parameter, hint: Any) -> Parameter:
        default = MISSING if each.default is inspect.Parameter.empty else each.default
        if each.kind is inspect.Parameter.VAR_POSITIONAL:
            kind = kinds.several(kinds.kind_of(each.name, hint), lines=True)
            return Parameter(name=each.name, inputs=(self._input(each.name, kind),))
        if isinstance(hint, type) and is_dataclass(hint):
            parts = get_type_hints(hint)
            folded = default is not MISSING
            made = tuple(
                self._input(
                    # A part that is called like another parameter says whose it is.
                    f"{each.name}_{part.name}" if part.name in self._names else part.name,
                    kinds.kind_of(part.name, parts[part.name]),
                    part.default,
                    folded=folded,
                )
                for part in fields(hint)
            )
            return Parameter(name=each.name, inputs=made, record=hint)
        kind = kinds.kind_of(each.name, hint)
        folded = default is not MISSING and each.name not in self.asks
        made = (self._input(each.name, kind, default, folded=folded),)
        return Parameter(name=each.name, inputs=made)

    def _input(self, name: str, kind: Kind, default: Any = MISSING, *, folded: bool = False) -> Input:
        if hint := self.hints.get(name):
            kind = replace(kind, hint=hint)
        label = self.say.get(name) or LABELS.get(name) or label_of(name)
        return Input(name=name, label=label, kind=kind, unit=unit_of(name), default=default, folded=folded)

    @cached_property
    def inputs(self) -> tuple[Input, ...]:
        """Everything to type; where a moment is asked or told, its zone, too."""
        made = [each for parameter in self.parameters for each in parameter.inputs]
        others = [each for each in made if each.name != ZONE_INPUT]
        told = str(get_type_hints(self.function).values())
        if len(others) < len(made) or "datetime.datetime" in told or "Reading" in told:
            others.append(self._input(ZONE_INPUT, ZONE, None, folded=True))
        return tuple(others)

    def input(self, name: str) -> Input:
        return next(each for each in self.inputs if each.name == name)

    @cached_property
    def example(self) -> dict[str, str]:
        """What to type for the example of the docstring."""
        if self.example_typed:
            return dict(self.example_typed)
        called = first_call(self.function)
        typed: dict[str, str] = {}
        for parameter in self.parameters:
            if parameter.name in called:
                typed |= parameter.typed(called[parameter.name])
        return typed

    def compute(self, values: Mapping[str, Any], asked: Asked) -> Answer:
        """Call the function. What it refuses is a ValueError with a sentence."""
        known = {each.name: None if each.required else each.default for each in self.inputs} | dict(values)
        if known.get(ZONE_INPUT) is None and ZONE_INPUT in known:
            known[ZONE_INPUT] = asked.zone
        parameters = {each.name: each.value(known) for each in self.parameters}
        bound = inspect.BoundArguments(inspect.signature(self.function), parameters)
        try:
            value = self.function(*bound.args, **bound.kwargs)
            lines = self.lines_of(value, known.get(ZONE_INPUT) or asked.zone)
            picture = self.picture(value, parameters) if self.picture else None
        except (OutOfRange, BadCode):
            raise
        except (ArithmeticError, ValueError):
            raise OutOfRange("These values are too large or too small to compute with.") from None
        return Answer(
            given={each.name: known[each.name] for each in self.inputs},
            value=value,
            lines=lines,
            picture=picture,
        )

    def lines_of(self, value: Any, zone: ZoneInfo) -> tuple[Line, ...]:
        shown = self.then(value) if self.then else value
        lines = tuple(lines_in(shown, self.label, self.unit, self.decimals, zone))
        for line in lines:
            line.text  # noqa: B018  what cannot be written is refused here, not halfway down a page
        return lines

    def read(self, typed: Mapping[str, str], asked: Asked) -> tuple[dict[str, Any], dict[str, str]]:
        """The values of what was typed, and a sentence for each input that cannot be read."""
        values: dict[str, Any] = {}
        faults: dict[str, str] = {}
        asked = self.asked_in(typed, asked)
        for each in self.inputs:
            text = typed.get(each.name, "")
            try:
                if text.strip():
                    values[each.name] = each.kind.read(text, asked)
                elif each.required:
                    faults[each.name] = f"{each.label} is missing. {each.kind.hint}".strip()
            except ValueError as fault:
                faults[each.name] = str(fault)
        return values, faults

    def asked_in(self, typed: Mapping[str, str], asked: Asked) -> Asked:
        """The same question in the zone that was typed, if it is one; if not, its own input says so."""
        try:
            return Asked(zone=ZONE.read(typed.get(ZONE_INPUT, ""), asked), today=asked.today)
        except ValueError:
            return asked


def calc(
    name: str,
    title: str,
    function: Callable[..., Any],
    label: str | tuple[str, ...] = "Result",
    unit: str = "",
    decimals: int = 1,
    **more: Any,
) -> Calculator:
    """A calculator on one line of the catalogue."""
    return Calculator(
        name=name, title=title, function=function, label=label, unit=unit, decimals=decimals, **more
    )
