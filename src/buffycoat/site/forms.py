"""A limit as people type and read it: kilograms for the weight of an animal, per cent for a PCV."""

from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.core.exceptions import ValidationError

from buffycoat.shell.forms import (
    BenchForm,
    CelsiusField,
    DensityField,
    KilogramsField,
    ListField,
    MeasureField,
    PercentField,
    WholeField,
    WordsField,
)
from buffycoat.site.limits import Limit

ANY = 1_000_000  # the limit's own range decides, not a slip of the hand
FINER = {"‰": PercentField, "mg/mL": DensityField, "°C": CelsiusField}
FROM_KILOGRAMS_G = 1_000


def field_of(limit: Limit) -> forms.Field:
    """The box that this limit is typed in."""
    if limit.key == "time_zone":
        return ListField(label=limit.title, choices=[(name, name) for name in sorted(available_timezones())])
    if limit.choices:
        return ListField(label=limit.title, choices=[(each, each) for each in limit.choices])
    if isinstance(limit.default, str):
        return WordsField(label=limit.title, most=100)
    return _measure(limit)


def _measure(limit: Limit) -> MeasureField:
    if limit.unit in FINER:
        return FINER[limit.unit](label=limit.title, least=-ANY, most=ANY)
    if limit.unit == "g" and limit.least >= FROM_KILOGRAMS_G:
        return KilogramsField(label=limit.title, least=-ANY, most=ANY)
    return WholeField(label=limit.title, unit=limit.unit, least=-ANY, most=ANY)


def shown(limit: Limit, value: int | str) -> str:
    if isinstance(value, str):
        return value
    words = _measure(limit).with_unit(value)
    return words.removesuffix("s") if value == 1 else words


def shown_range(limit: Limit) -> str:
    if limit.choices:
        return ", ".join(limit.choices)
    if isinstance(limit.default, str):
        return ""
    box = _measure(limit)
    return f"{box.show(limit.least)} to {box.with_unit(limit.most)}"


class LimitForm(BenchForm):
    reason = WordsField(
        label="Why, and on whose word",
        lines=2,
        most=300,
        hint="Name who decided and the source. It stays beside the limit.",
    )
    field_order = ["value", "reason"]

    def __init__(self, limit: Limit, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.limit = limit
        self.fields["value"] = field_of(limit)
        self.order_fields(self.field_order)

    def clean_value(self) -> int | str:
        value: int | str = self.cleaned_data["value"]
        if isinstance(value, int) and not self.limit.least <= value <= self.limit.most:
            raise ValidationError(
                f"{shown(self.limit, value)} is outside what this limit may be, {shown_range(self.limit)}."
            )
        return value.upper() if self.limit.key == "site_code" and isinstance(value, str) else value
