"""The fields of every page. Whole numbers of the smallest step come out; what was typed stays."""

from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from buffycoat.science.numbering import KINDS, BadCode, read_code
from buffycoat.shell import words
from buffycoat.shell.measures import HOW_DAY, HOW_MOMENT, Unreadable, read_day, read_moment, read_number


class Field(forms.Field):
    """A field with a unit beside it, a hint below it and a template of ours. Its label is the question in few words."""

    template_name = "shell/_field.html"
    unit = ""
    big = False

    def __init__(self, *, label: str, hint: str = "", big: bool | None = None, **kwargs: Any) -> None:
        super().__init__(label=label, help_text=hint, **kwargs)
        self.big = self.big if big is None else big
        self.error_messages["required"] = f"{label} is missing. {self.how_to_give()}"

    def how_to_give(self) -> str:
        return f"Type it in {self.unit}." if self.unit else "Type it."

    def widget_attrs(self, widget: forms.Widget) -> dict[str, str]:
        return {"autocomplete": "off", "spellcheck": "false"}


class MeasureField(Field):
    """A number with a unit, kept as a whole number of 1/10**places of that unit.

    `least` and `most` are in those steps: what lies outside is a slip of scale, hand or eye, not a rule of the trade.
    `usual`, a pair in the same steps, is shown as a hint and refuses nothing.
    """

    places = 0
    units: Mapping[str, str] = {}
    example = 231
    big = True

    def __init__(
        self,
        *,
        label: str,
        hint: str = "",
        least: int = 0,
        most: int | None = None,
        usual: tuple[int, int] | None = None,
        **kwargs: Any,
    ) -> None:
        self.least, self.most = least, most
        if usual:
            hint = f"{hint} Usual here: {self.show(usual[0])} to {self.with_unit(usual[1])}.".strip()
        super().__init__(label=label, hint=hint, **kwargs)

    def show(self, steps: int) -> str:
        return words.scaled(steps, self.places)

    def with_unit(self, steps: int) -> str:
        return words.with_unit(self.show(steps), self.unit)

    def prepare_value(self, value: Any) -> Any:
        return self.show(value).replace(words.THIN, "") if isinstance(value, int) else value

    def to_python(self, value: Any) -> int | None:
        if value in self.empty_values or not str(value).strip():
            return None
        try:
            steps = read_number(
                str(value), units=self.units, places=self.places, example=self.show(self.example)
            )
        except Unreadable as trouble:
            raise ValidationError(str(trouble)) from None
        if steps < self.least:
            raise ValidationError(
                f"{self.with_unit(steps)} is less than can be right here. {self._between()}"
            )
        if self.most is not None and steps > self.most:
            raise ValidationError(
                f"{self.with_unit(steps)} is more than can be right here. {self._between()}"
            )
        return steps

    def _between(self) -> str:
        if self.most is None:
            return f"The least is {self.with_unit(self.least)}: look again and type what you read."
        span = f"{self.show(self.least)} and {self.with_unit(self.most)}"
        return f"It lies between {span}: look again and type what you read."

    def widget_attrs(self, widget: forms.Widget) -> dict[str, str]:
        return super().widget_attrs(widget) | {"inputmode": "decimal" if self.places else "numeric"}


class GramsField(MeasureField):
    unit, units = "g", {"g": "g", "gram": "g", "grams": "g"}


class MillilitresField(MeasureField):
    unit, units = "mL", {"ml": "mL"}


class KilogramsField(MeasureField):
    """Typed in kg, kept in g."""

    unit, units, places, example = "kg", {"kg": "kg"}, 3, 23_400


class PercentField(MeasureField):
    """Typed in %, kept in permille."""

    unit, units, places, example = "%", {"%": "%"}, 1, 445


class DensityField(MeasureField):
    """Typed in g/mL, kept in mg/mL."""

    unit, units, places, example = "g/mL", {"g/ml": "g/mL"}, 3, 1_053


class CelsiusField(MeasureField):
    unit, units, example = "°C", {"°c": "°C", "c": "°C"}, 4

    def __init__(self, *, least: int = -100, most: int | None = 60, **kwargs: Any) -> None:
        super().__init__(least=least, most=most, **kwargs)


class WholeField(MeasureField):
    """A whole number of anything: `unit` is the word written beside it."""

    example = 12
    big = False

    def __init__(self, *, unit: str = "", **kwargs: Any) -> None:
        self.unit, self.units = unit, {unit.lower(): unit} if unit else {}
        super().__init__(**kwargs)


class MomentField(Field):
    """A clock time of the site, typed as text, kept in UTC. Empty and not required means now."""

    def __init__(self, *, hint: str = HOW_MOMENT, **kwargs: Any) -> None:
        super().__init__(hint=hint, **kwargs)

    def how_to_give(self) -> str:
        return HOW_MOMENT

    def prepare_value(self, value: Any) -> Any:
        return words.moment(value, site_zone()) if isinstance(value, datetime) else value

    def to_python(self, value: Any) -> datetime | None:
        if value in self.empty_values or not str(value).strip():
            return None
        zone = site_zone()
        try:
            return read_moment(str(value), zone=zone, today=timezone.now().astimezone(zone).date())
        except Unreadable as trouble:
            raise ValidationError(str(trouble)) from None


class DayField(Field):
    """A calendar day, typed as text."""

    def __init__(self, *, hint: str = HOW_DAY, **kwargs: Any) -> None:
        super().__init__(hint=hint, **kwargs)

    def how_to_give(self) -> str:
        return HOW_DAY

    def prepare_value(self, value: Any) -> Any:
        return words.day(value) if isinstance(value, date) else value

    def to_python(self, value: Any) -> date | None:
        if value in self.empty_values or not str(value).strip():
            return None
        try:
            return read_day(str(value))
        except Unreadable as trouble:
            raise ValidationError(str(trouble)) from None


class CodeField(Field):
    """One of our codes, scanned or typed; kept as its fourteen characters. `kinds` are the letters that are welcome.

    `noun` is what is to be scanned, where that is not simply a thing of that kind.
    """

    def __init__(self, *, kinds: Collection[str], noun: str = "", **kwargs: Any) -> None:
        self.kinds, self.noun = tuple(kinds), noun
        self.nouns = noun or " or ".join(KINDS[kind] for kind in self.kinds)
        super().__init__(**kwargs)

    def how_to_give(self) -> str:
        return f"Scan the {self.nouns}, or type its code."

    def prepare_value(self, value: Any) -> Any:
        try:
            return str(read_code(value)) if value else value
        except BadCode:
            return value

    def to_python(self, value: Any) -> str | None:
        if value in self.empty_values or not str(value).strip():
            return None
        try:
            if self.noun and (other := read_code(str(value))).kind not in self.kinds:
                raise ValidationError(f"That is a {other.noun}. Scan the {self.noun}.")
            return read_code(str(value), self.kinds).text
        except BadCode as trouble:
            raise ValidationError(str(trouble)) from None

    def widget_attrs(self, widget: forms.Widget) -> dict[str, str]:
        scan = {"data-scan-field": "", "data-kinds": " ".join(self.kinds), "autocapitalize": "characters"}
        return super().widget_attrs(widget) | scan | ({"data-noun": self.noun} if self.noun else {})


class WordsField(Field):
    """Free text of one line, or of several with `lines=3`."""

    def __init__(self, *, lines: int = 1, most: int = 200, **kwargs: Any) -> None:
        self.most = most
        widget = forms.Textarea(attrs={"rows": lines}) if lines > 1 else forms.TextInput
        super().__init__(widget=widget, **kwargs)

    def to_python(self, value: Any) -> str:
        text = "\n".join(" ".join(line.split()) for line in str(value or "").strip().splitlines())
        if len(text) > self.most:
            raise ValidationError(
                f"This is {len(text)} characters long; at most {self.most} fit. Shorten it."
            )
        return text

    def widget_attrs(self, widget: forms.Widget) -> dict[str, str]:
        return {"autocomplete": "off"}


class ChoiceField(forms.ChoiceField):
    """One of a few, as large tiles. `notes` maps a value to the line below its word."""

    template_name = "shell/_field.html"
    widget: type[forms.Widget] = forms.RadioSelect

    def __init__(
        self,
        *,
        label: str,
        choices: Iterable[tuple[str, str]],
        hint: str = "",
        notes: Mapping[str, str] | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(label=label, choices=list(choices), help_text=hint, **kwargs)
        self.notes = dict(notes or {})
        self.error_messages |= {
            "required": f"{label}: choose one.",
            "invalid_choice": f"{label}: choose one of those shown.",
        }


class ListField(ChoiceField):
    """One of many, as a list that opens; nothing is chosen beforehand."""

    widget = forms.Select

    def __init__(self, *, choices: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        offered = list(choices)
        if "" not in dict(offered):
            offered.insert(0, ("", "Choose …"))
        super().__init__(choices=offered, **kwargs)


class TickField(forms.BooleanField):
    """A statement to tick. Required unless said otherwise: a tick is a promise, not a setting."""

    template_name = "shell/_field.html"

    def __init__(self, *, label: str, hint: str = "", **kwargs: Any) -> None:
        super().__init__(label=label, help_text=hint, **kwargs)
        self.error_messages["required"] = f"Tick this first: {label}"


def site_zone() -> ZoneInfo:
    """The zone of this request, set by `shell.zone`; UTC outside of one."""
    zone = timezone.get_current_timezone()
    return zone if isinstance(zone, ZoneInfo) else ZoneInfo("UTC")
