"""What is asked about a donor."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import BLOOD_TYPES, SEXES, SPECIES, TYPE_UNKNOWN
from buffycoat.journal.models import Entry
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    DayField,
    KilogramsField,
    ListField,
    MomentField,
    PercentField,
    TickField,
    WordsField,
)
from buffycoat.shell.measures import HOW_DAY

NEVER, RESTED, RESTING = "never", "rested", "resting"


class FindForm(forms.Form):
    """Narrows the list of donors."""

    find = WordsField(label="Name, number or owner", required=False)
    species = ListField(
        label="Species", required=False, choices=[("", "Dogs and cats"), ("dog", "Dogs"), ("cat", "Cats")]
    )
    blood_type = ListField(
        label="Blood type",
        required=False,
        choices=[
            ("", "Any"),
            *((each, each) for of in BLOOD_TYPES.values() for each in of),
            (TYPE_UNKNOWN, "Not known"),
        ],
    )
    gave = ListField(
        label="Last gave",
        required=False,
        choices=[
            ("", "At any time"),
            (RESTED, "Long enough ago, or never"),
            (RESTING, "Too recently"),
            (NEVER, "Never"),
        ],
    )


def _words(choices: dict[str, str]) -> list[tuple[str, str]]:
    return [(value, word.capitalize()) for value, word in choices.items()]


class RegisterForm(BenchForm):
    twin: DonorRow | None = None
    name = WordsField(label="Name", most=100)
    species = ChoiceField(label="Species", choices=_words(SPECIES))
    sex = ChoiceField(label="Sex", choices=_words(SEXES))
    born_on = DayField(
        label="Born", hint=f"{HOW_DAY} If nobody knows the day, the veterinarian's best guess."
    )
    breed = WordsField(label="Breed", required=False, most=100)
    cautions = WordsField(
        label="Cautions", required=False, lines=3, most=500, hint="Shown whenever this donor is in hand."
    )
    another = TickField(label="This is another animal of the same name", required=False)

    def clean(self) -> None:
        """Asks before the same animal is registered twice. A form that was recorded already is not asked again."""
        given = self.cleaned_data
        command_id, name, born_on = given.get("command_id"), given.get("name"), given.get("born_on")
        if not (command_id and name and born_on) or given.get("another"):
            return
        if Entry.objects.filter(command_id=command_id.hex).exists():
            return
        twin = DonorRow.objects.filter(
            name__iexact=name, born_on=born_on, species=given.get("species", "")
        ).first()
        if twin:
            self.twin = twin
            raise ValidationError(
                f"There is a donor of that name: {twin.name}, a {twin.species} born on the same day. "
                "Is it the same animal? If not, tick “another animal” and register again."
            )


class ExamineForm(BenchForm):
    weight_g = KilogramsField(label="Weight today")
    pcv_permille = PercentField(label="PCV today")
    cautions = WordsField(
        label="What the next person should know",
        required=False,
        lines=2,
        most=500,
        hint="Stands until the next weighing.",
    )
    happened_at = MomentField(label="Done at", required=False)


class TypeForm(BenchForm):
    method = WordsField(
        label="How it was typed", required=False, most=100, hint="The kit and its lot, or the laboratory."
    )
    happened_at = MomentField(label="Done at", required=False)
    field_order = ["blood_type", "method", "happened_at"]

    def __init__(self, species: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(each, each) for each in BLOOD_TYPES[species]]
        self.fields["blood_type"] = ChoiceField(label="Blood type", choices=choices)
        self.order_fields(self.field_order)
