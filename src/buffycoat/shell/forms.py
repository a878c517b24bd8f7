"""The form that every page uses, and all the fields for it."""

import json
import uuid
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from buffycoat.shell.fields import (
    CelsiusField,
    ChoiceField,
    CodeField,
    DayField,
    DensityField,
    Field,
    GramsField,
    KilogramsField,
    ListField,
    MeasureField,
    MillilitresField,
    MomentField,
    PercentField,
    TickField,
    WholeField,
    WordsField,
    site_zone,
)

__all__ = [
    "BenchForm",
    "CelsiusField",
    "ChoiceField",
    "CodeField",
    "DayField",
    "DensityField",
    "Field",
    "GramsField",
    "KilogramsField",
    "ListField",
    "MeasureField",
    "MillilitresField",
    "MomentField",
    "PercentField",
    "TickField",
    "WholeField",
    "WordsField",
    "site_zone",
]

DAMAGED = "This page came back damaged. Open it afresh."


class SeenField(forms.Field):
    """The versions of the streams a form was drawn from, carried through the page as JSON."""

    widget = forms.HiddenInput

    def prepare_value(self, value: Any) -> Any:
        return json.dumps(value, sort_keys=True) if isinstance(value, dict) else value

    def to_python(self, value: Any) -> dict[str, int]:
        try:
            seen = json.loads(value or "{}") if isinstance(value, str | None) else value
            if all(isinstance(version, int) for version in seen.values()):
                return dict(seen)
        except (ValueError, AttributeError, RecursionError):
            pass
        raise ValidationError(DAMAGED)


class BenchForm(forms.Form):
    """A form that is recorded exactly once: it carries the id of its command and what it was drawn from."""

    template_name = "shell/_form.html"
    use_required_attribute = False  # the server says what is missing, in our words
    command_id = forms.UUIDField(
        widget=forms.HiddenInput,
        error_messages=dict.fromkeys(("required", "invalid"), DAMAGED),
    )
    seen = SeenField(required=False)

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        seen: Mapping[str, int] | None = None,
        initial: Mapping[str, Any] | None = None,
        **kwargs: Any,
    ) -> None:
        """`seen` holds the versions of the streams that this page is drawn from."""
        start = {"command_id": uuid.uuid4(), "seen": dict(seen or {}), **(initial or {})}
        super().__init__(data, initial=start, **kwargs)

    def for_record(self) -> dict[str, Any]:
        """The keyword arguments that `record` takes from a form."""
        return {"command_id": self.cleaned_data["command_id"].hex, "seen": self.cleaned_data["seen"]}

    def refuse(self, reasons: Iterable[str], field: str | None = None) -> None:
        """Shows why the book refused, with everything typed kept."""
        for reason in reasons:
            self.add_error(field, reason)
