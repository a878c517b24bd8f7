"""For whom blood is looked for. Nothing here is recorded, so the answers stand in the address."""

from typing import Any

from django import forms

from buffycoat.donors.blood_types import BLOOD_TYPES, SYSTEMS
from buffycoat.matching.compatibility import KINDS, UNKNOWN
from buffycoat.matching.crossmatch import BEFORE, NEVER_BEFORE, NOT_KNOWN
from buffycoat.matching.grid import Wanted
from buffycoat.shell.forms import ChoiceField, ListField, TickField, WholeField

LONGEST_AGO_DAYS = 9_999


def _capital(*words: str) -> list[tuple[str, str]]:
    return [(word, word[0].upper() + word[1:]) for word in words]


class PatientForm(forms.Form):
    template_name = "shell/_form.html"
    use_required_attribute = False
    species = ChoiceField(label="Patient", choices=_capital(*BLOOD_TYPES))
    kind = ChoiceField(label="What it needs", choices=_capital(*KINDS))
    blood_type = ListField(
        label="Blood type of the patient",
        choices=[
            (name, f"{species.capitalize()}: {name}")
            for species, types in BLOOD_TYPES.items()
            for name in types
        ]
        + [(UNKNOWN, "Not typed")],
    )
    transfused = ChoiceField(
        label="Blood before", choices=_capital(NEVER_BEFORE, BEFORE, NOT_KNOWN), initial=NOT_KNOWN
    )
    days_since = WholeField(
        label="First time, days ago", unit="days", least=0, most=LONGEST_AGO_DAYS, required=False
    )
    had_reaction = TickField(label="It reacted to blood before", required=False)
    antibodies = forms.MultipleChoiceField(
        label="Known antibodies against",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        choices=_capital(*(system for systems in SYSTEMS.values() for system in systems if system != "AB")),
    )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        species, blood_type = values.get("species"), values.get("blood_type")
        if species and blood_type and blood_type not in (*BLOOD_TYPES[species], UNKNOWN):
            self.add_error(
                "blood_type", f"{blood_type} is no type of a {species}: choose one that a {species} has."
            )
        strange = [each for each in values.get("antibodies", ()) if species and each not in SYSTEMS[species]]
        if strange:
            self.add_error("antibodies", f"A {species} has no blood group called {', '.join(strange)}.")
        return values

    @property
    def wanted(self) -> Wanted:
        values = self.cleaned_data
        return Wanted(
            species=values["species"],
            kind=values["kind"],
            blood_type=values["blood_type"],
            antibodies=tuple(values["antibodies"]),
        )
