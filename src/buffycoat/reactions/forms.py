"""What was seen at a suspected reaction. Nothing here is recorded, so the answers stand in the address."""

from typing import Any

from django import forms

from buffycoat.reactions.classes import Findings
from buffycoat.shell.forms import MeasureField, TickField, WholeField

TICKS = {
    "haemolysis": "Signs of haemolysis",
    "allergic_signs": "Hives, swelling, itch, vomiting or diarrhoea",
    "breathing": "Breathing distress",
    "lungs_wet": "Lung oedema on films or by ultrasound",
    "overload": "Signs of overload or of left atrial hypertension",
    "hypoxaemia": "Low oxygen",
    "lungs_ill_before": "The lungs were ill before",
    "infection": "Signs of sepsis or of an infection from the bag",
    "fever_explained": "The fever has another cause (warming, its own infection)",
    "pressure_explained": "The low pressure has another cause",
    "cells_lost_early": "PCV fell back too soon, not by its disease",
    "new_antibody": "A new antibody was found",
    "platelets_fell": "Platelets fell",
}


class BodyTemperatureField(MeasureField):
    """Typed in °C, kept in tenths of a degree."""

    unit, units, places, example = "°C", {"°c": "°C", "c": "°C"}, 1, 385

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(least=300, most=450, **kwargs)


class FindingsForm(forms.Form):
    template_name = "shell/_form.html"
    use_required_attribute = False
    hours = WholeField(label="Since the start", unit="h", least=0, most=28 * 24)
    before_dc = BodyTemperatureField(label="Temperature before", required=False)
    after_dc = BodyTemperatureField(label="Temperature now", required=False)
    pressure_fall_mmhg = WholeField(
        label="Systolic pressure fell by", unit="mmHg", least=0, most=300, required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in TICKS.items():
            self.fields[name] = TickField(label=label, required=False)

    def findings(self, fever_over_dc: int) -> Findings:
        values = self.cleaned_data
        ticked = {name: bool(values[name]) for name in TICKS}
        return Findings(
            hours=values["hours"],
            before_dc=values["before_dc"],
            after_dc=values["after_dc"],
            pressure_fall_mmhg=values["pressure_fall_mmhg"] or 0,
            fever_over_dc=fever_over_dc,
            **ticked,
        )
