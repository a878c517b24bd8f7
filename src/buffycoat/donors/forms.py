"""What is asked about a donor."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from buffycoat.donors.models import DonorRow
from buffycoat.donors.panel import METHODS
from buffycoat.donors.rules import BLOOD_TYPES, SEXES, SPECIES, SYSTEMS, TYPE_UNKNOWN
from buffycoat.donors.visits import MEMBRANES, PCV_METHODS
from buffycoat.journal.models import Entry
from buffycoat.photos.small import NoPhoto, made_small
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    DayField,
    KilogramsField,
    ListField,
    MeasureField,
    MomentField,
    PercentField,
    TickField,
    WholeField,
    WordsField,
)
from buffycoat.shell.measures import HOW_DAY

NEVER, RESTED, RESTING = "never", "rested", "resting"
NOW, SOON, DEFERRED, RETIRED, GIVING = "now", "soon", "deferred", "retired", "giving"
SOON_DAYS = 28
MURMUR = {"": None, "yes": True, "no": False}


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
    standing = ListField(
        label="Standing",
        required=False,
        choices=[
            ("", "Any"),
            (NOW, "By the calendar, may give now"),
            (SOON, f"May give within {SOON_DAYS} days"),
            (DEFERRED, "Deferred, or products wait"),
            (GIVING, "Not retired"),
            (RETIRED, "Retired"),
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


class TenthsField(MeasureField):
    """Typed in °C, kept in tenths of it."""

    unit, units, places, example = "°C", {"°c": "°C", "c": "°C"}, 1, 385
    big = False


def _list(label: str, values: tuple[str, ...]) -> ListField:
    choices = [("", "Not written down"), *((each, each.capitalize()) for each in values)]
    return ListField(label=label, required=False, choices=choices)


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
    pcv_method = _list("PCV read from", PCV_METHODS)
    total_protein_g_per_l = WholeField(label="Total protein", unit="g/L", required=False)
    temperature_deci_c = TenthsField(label="Temperature", required=False)
    pulse_per_min = WholeField(label="Pulse", unit="beats a minute", required=False)
    breaths_per_min = WholeField(label="Breathing", unit="breaths a minute", required=False)
    mucous_membranes = _list("Mucous membranes", MEMBRANES)
    murmur = ListField(
        label="Heart",
        required=False,
        choices=[("", "Not listened to"), ("no", "No murmur"), ("yes", "A murmur")],
    )
    happened_at = MomentField(label="Done at", required=False)

    def values(self) -> dict[str, Any]:
        """What the command takes."""
        left_out = ("command_id", "seen", "happened_at")
        given = {name: value for name, value in self.cleaned_data.items() if name not in left_out}
        return given | {"murmur": MURMUR[given["murmur"]]}


class TypeForm(BenchForm):
    method = WordsField(
        label="How it was typed", required=False, most=100, hint="The kit and its lot, or the laboratory."
    )
    happened_at = MomentField(label="Done at", required=False)
    field_order = ["blood_type", "method", "happened_at"]

    def __init__(self, species: str, system: str, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(each, each) for each in SYSTEMS[species][system]]
        self.fields["blood_type"] = ChoiceField(label="Blood type", choices=choices)
        self.order_fields(self.field_order)


class PhotoField(forms.FileField):
    """Kinds of file by name, not `image/*`: a phone then turns its own kind of picture into one of these."""

    template_name = "shell/_field.html"

    def __init__(self, *, label: str, hint: str = "", **attrs: str) -> None:
        accept = {"accept": "image/jpeg,image/png,image/webp"}
        widget = forms.FileInput(attrs=accept | attrs)
        super().__init__(label=label, help_text=hint, widget=widget, allow_empty_file=True)

    def clean(self, data: Any, initial: Any = None) -> Any:
        """One of two is enough, which the form asks for."""
        return super().clean(data, initial) if data else None


class PhotoForm(forms.Form):
    """From the camera at hand or from a file; `jpeg` is what was made of it."""

    use_required_attribute = False
    taken = PhotoField(label="Take it with the camera of this device", capture="environment")
    file = PhotoField(label="Choose a picture", hint="JPEG, PNG or WebP, at most 15 MB.")

    def clean(self) -> None:
        sent = self.cleaned_data.get("taken") or self.cleaned_data.get("file")
        if not sent:
            raise ValidationError("No picture was chosen. Take one, or choose a file.")
        try:
            self.cleaned_data["jpeg"] = made_small(sent, sent.size)
        except NoPhoto as trouble:
            raise ValidationError(str(trouble)) from None


class PanelForm(BenchForm):
    species = ListField(label="Species", choices=_words(SPECIES))
    agent = WordsField(label="Agent", most=100)
    method = ListField(label="Method", choices=[(each, each) for each in METHODS])
    interval_days = WholeField(label="A sample counts for", unit="days", hint="0: this site does not ask it.")
    reason = WordsField(label="Why, and on whose word", lines=2, most=300)

    def values(self) -> dict[str, Any]:
        return {
            name: self.cleaned_data[name]
            for name in ("species", "agent", "method", "interval_days", "reason")
        }
