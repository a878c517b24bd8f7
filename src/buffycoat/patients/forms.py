"""What is asked of a patient."""

from typing import Any

from buffycoat.donors.blood_types import SYSTEMS
from buffycoat.donors.registering import SEXES, SPECIES
from buffycoat.patients.rules import HEAVIEST_G, HISTORIES, LIGHTEST_G
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    DayField,
    KilogramsField,
    MomentField,
    TickField,
    WordsField,
)


def _capital(*words: str) -> list[tuple[str, str]]:
    return [(word, word[0].upper() + word[1:]) for word in words]


class PatientForm(BenchForm):
    name = WordsField(label="Name", most=60)
    species = ChoiceField(label="Species", choices=_capital(*SPECIES))
    sex = ChoiceField(label="Sex", choices=_capital(*SEXES))
    weight_g = KilogramsField(label="Weight", least=LIGHTEST_G, most=HEAVIEST_G)
    where = WordsField(label="Ward or practice", most=60, required=False)
    needs = WordsField(label="Special needs", most=200, required=False, hint="Small volumes, a weak heart.")


class WeighForm(BenchForm):
    weight_g = KilogramsField(label="Weight", least=LIGHTEST_G, most=HEAVIEST_G)
    happened_at = MomentField(label="Weighed at", required=False)


class TypeForm(BenchForm):
    method = WordsField(label="How it was typed", required=False, most=100, hint="The kit and its lot.")
    happened_at = MomentField(label="Done at", required=False)
    field_order = ["blood_type", "method", "happened_at"]

    def __init__(self, species: str, system: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["blood_type"] = ChoiceField(
            label="Blood type", choices=[(each, each) for each in SYSTEMS[species][system]]
        )
        self.order_fields(self.field_order)


class HistoryForm(BenchForm):
    transfused = ChoiceField(label="Did it have blood before?", choices=_capital(*HISTORIES))
    first_on = DayField(label="The first time", required=False)
    had_reaction = TickField(label="It reacted to blood", required=False)
    was_pregnant = TickField(label="It was pregnant", required=False)


class AntibodyForm(BenchForm):
    method = WordsField(label="How it was found", most=100, required=False)
    field_order = ["system", "method"]

    def __init__(self, species: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(system, system) for system in SYSTEMS[species]]
        self.fields["system"] = ChoiceField(label="Antibody against", choices=choices)
        self.order_fields(self.field_order)
