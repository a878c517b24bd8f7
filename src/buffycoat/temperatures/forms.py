"""What is asked of temperatures: read by hand, a logger's file, an alarm taken, exposed units decided."""

from collections.abc import Sequence
from typing import Any

import msgspec
from django import forms

from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    CodeField,
    ListField,
    MeasureField,
    MomentField,
    WholeField,
    WordsField,
)
from buffycoat.temperatures.formats import SITE_CLOCK, Declared, why_not_declared
from buffycoat.temperatures.judging import VERDICTS
from buffycoat.temperatures.models import KINDS, Thermometer
from buffycoat.temperatures.rules import COLDEST_CENTI_C, WARMEST_CENTI_C, Verdict

MOST_BYTES = 60_000_000


class FindPlaceForm(BenchForm):
    place = CodeField(label="Card on the door", kinds="P")


class TemperatureField(MeasureField):
    """Typed in °C, kept in hundredths."""

    unit, units, places, example = "°C", {"°c": "°C", "c": "°C"}, 2, 420

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(least=COLDEST_CENTI_C, most=WARMEST_CENTI_C, **kwargs)


class ReadForm(BenchForm):
    now_centi_c = TemperatureField(label="Now")
    least_centi_c = TemperatureField(label="Least", big=False)
    most_centi_c = TemperatureField(label="Most", big=False)
    happened_at = MomentField(label="Read at", required=False)


class AcknowledgeForm(BenchForm):
    note = WordsField(label="What you found, and what you do", lines=2, most=300)


class JudgeForm(BenchForm):
    """One choice a unit, drawn with what the site's rule says."""

    why = WordsField(
        label="Why, and on whose word",
        required=False,
        lines=2,
        most=300,
        hint="Needed where a unit is kept that the rule would discard.",
    )

    def __init__(self, data: Any = None, *, units: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.units = [unit for unit, _ in units]
        for unit, rule in units:
            self.fields[unit] = ListField(
                label="Decision", choices=[("", "Later"), *VERDICTS.items()], initial=rule, required=False
            )

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        chosen = ((unit, self.cleaned_data.get(unit, "")) for unit in self.units)
        return tuple(Verdict(unit=unit, verdict=verdict) for unit, verdict in chosen if verdict)


class PlainForm(forms.Form):
    """A form of ordinary rows, that no entry of the book tells of."""

    template_name = "shell/_form.html"
    use_required_attribute = False


class ThermometerForm(PlainForm):
    name = WordsField(label="Name or number on it", most=40)
    kind = ChoiceField(
        label="How its readings come in",
        choices=KINDS,
        notes={"sensor": "Over the network, with a key", "logger": "A file now and then"},
    )

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        if Thermometer.objects.filter(name=name).exists():
            raise forms.ValidationError(
                f"A thermometer is called {name} already: each has a name of its own."
            )
        return name


class FileForm(PlainForm):
    """The file, and what it does not say itself; that is kept for the next file of this logger."""

    file = forms.FileField(
        label="The logger's file", error_messages={"required": "Choose the logger's file."}
    )
    dates = ListField(
        label="How it writes dates",
        required=False,
        choices=[
            ("", "As the file shows; refused where it does not"),
            ("dmy", "Day, month, year"),
            ("mdy", "Month, day, year"),
            ("ymd", "Year, month, day"),
        ],
    )
    unit = ListField(
        label="Its unit", required=False, choices=[("", "As the file says"), ("C", "°C"), ("F", "°F")]
    )
    column = WordsField(
        label="Column of the temperature",
        required=False,
        most=60,
        hint="Its name or its number, where there are several.",
    )
    clock = WordsField(
        label="Its clock",
        most=6,
        required=False,
        hint="“site”: set to the clocks here. Else how far from UTC it always is: +01:00.",
    )
    year = WholeField(
        label="Year",
        required=False,
        least=1970,
        most=9999,
        hint="Only where the file counts days without a year.",
    )

    def __init__(self, data: Any = None, files: Any = None, *, before: Declared, **kwargs: Any) -> None:
        super().__init__(
            data, files, initial=msgspec.to_builtins(before) | {"year": before.year or None}, **kwargs
        )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise forms.ValidationError(
                f"At most {MOST_BYTES // 1_000_000} MB come in by this page: give larger files to the command line."
            )
        return file

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        for reason in why_not_declared(self.declared):
            self.add_error(None, reason)
        return values

    @property
    def declared(self) -> Declared:
        values = self.cleaned_data
        return Declared(
            dates=values.get("dates") or "",
            unit=values.get("unit") or "",
            column=values.get("column") or "",
            clock=values.get("clock") or SITE_CLOCK,
            year=values.get("year") or 0,
        )
