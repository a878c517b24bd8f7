"""The form of a calculator, made from its inputs. Sent by GET, so that a calculation has an address."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from buffycoat.calculator.calculator import Calculator, Input
from buffycoat.calculator.kinds import Asked
from buffycoat.shell.fields import Field


class TypedField(Field):
    """Reads what its input reads; an empty one that has a default stands for it."""

    def __init__(self, given: Input, asked: Asked) -> None:
        self.given, self.asked, self.unit = given, asked, given.unit
        rows = 6 if given.kind.lines else 2
        widget = forms.Textarea(attrs={"rows": rows}) if given.kind.many else forms.TextInput
        hint = f"{given.kind.hint} Usual: {given.usual}." if given.usual else given.kind.hint
        super().__init__(label=given.label, required=given.required, hint=hint.strip(), widget=widget)

    def how_to_give(self) -> str:
        return self.given.kind.hint or super().how_to_give()

    def to_python(self, value: Any) -> Any:
        if not str(value or "").strip():
            return None
        try:
            return self.given.kind.read(str(value), self.asked)
        except ValueError as fault:
            raise ValidationError(str(fault)) from None


class CalculatorForm(forms.Form):
    """Nothing typed is lost: what cannot be read comes back with its sentence beside it."""

    template_name = "shell/_form.html"
    use_required_attribute = False

    def __init__(self, calculator: Calculator, data: Mapping[str, str] | None, asked: Asked) -> None:
        super().__init__(data)
        self.calculator = calculator
        within = calculator.asked_in(data or {}, asked)
        for each in calculator.inputs:
            self.fields[each.name] = TypedField(each, within)

    def values(self) -> dict[str, Any]:
        """What was typed; what was left empty is left to its default."""
        return {name: value for name, value in self.cleaned_data.items() if value is not None}

    @property
    def open_fields(self) -> list[forms.BoundField]:
        return [self[each.name] for each in self.calculator.inputs if not each.folded]

    @property
    def folded_fields(self) -> list[forms.BoundField]:
        return [self[each.name] for each in self.calculator.inputs if each.folded]

    @property
    def unfolded(self) -> bool:
        """Whether the folded part holds anything to be seen at once."""
        return self.is_bound and any(each.errors or each.value() for each in self.folded_fields)
