"""What is asked when a unit is put away or discarded, and when a place is opened."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import QueryDict

from buffycoat.labels.products import FREEZER, FRIDGE
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.shell.forms import (
    BenchForm,
    CelsiusField,
    ChoiceField,
    CodeField,
    MomentField,
    TickField,
    WholeField,
    WordsField,
)
from buffycoat.storage.places import MOST_UNITS

OTHER = "other"
REASONS = (
    "expired",
    "broken or leaking",
    "clotted",
    "haemolysed",
    "too warm for too long",
    "open for too long",
    "volume not as it should be",
    "a test was positive",
    "wrong label",
    OTHER,
)


class FindUnitForm(BenchForm):
    unit = CodeField(label="Unit", kinds="U")


class PutAwayForm(BenchForm):
    looks_well = TickField(
        label="Looked at: no clot, no leak, colour as it should be",
        required=False,
        hint="A unit that does not look right is discarded.",
    )
    place = CodeField(label="Card on the door", kinds="P")
    happened_at = MomentField(label="Done at", required=False)


class BringBackForm(PutAwayForm):
    """Where the surface decides whether a unit that was out goes back."""

    surface_c = CelsiusField(label="Surface of the bag", required=False)


class TakeOutForm(BenchForm):
    unit = CodeField(label="Label on the bag", kinds="U")
    happened_at = MomentField(label="Done at", required=False)


class DiscardForm(BenchForm):
    why = ChoiceField(label="Why", choices=[(reason, reason.capitalize()) for reason in REASONS])
    more = WordsField(label="What was seen", required=False, lines=2)
    happened_at = MomentField(label="Done at", required=False)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("why") == OTHER and not values.get("more"):
            self.add_error("more", "Say what was seen: “other” alone tells nobody why it is gone.")
        return values

    @property
    def reason(self) -> str:
        why, more = self.cleaned_data["why"].capitalize(), self.cleaned_data["more"].rstrip(".")
        return f"{why}: {more}" if more else why


class PlaceForm(BenchForm):
    name = WordsField(label="Name on the door", most=60)
    appliance = ChoiceField(
        label="What it is",
        choices=[(FRIDGE, "Fridge"), (FREEZER, "Freezer")],
        notes={FRIDGE: "Red cells and whole blood", FREEZER: "Plasma"},
    )
    room = WordsField(label="Room", most=60, required=False)
    capacity = WholeField(
        label="How many units it holds", unit="units", least=1, most=MOST_UNITS, required=False
    )
    quarantine = TickField(
        label="A quarantine shelf", required=False, hint="Takes only what waits or is stopped."
    )


class CountForm(BenchForm):
    """One scan at a time; what was scanned before comes along."""

    unit = CodeField(label="Unit", kinds="U")
    so_far = forms.CharField(required=False, widget=forms.HiddenInput, max_length=10_000)

    def __init__(self, data: Mapping[str, Any] | None = None, **kwargs: Any) -> None:
        """Sent without a unit, it says that all are scanned."""
        super().__init__(data, **kwargs)
        self.fields["unit"].required = not data or bool(data.get("unit"))

    def clean_so_far(self) -> tuple[str, ...]:
        try:
            return tuple(read_code(each, "U").text for each in self.cleaned_data["so_far"].split())
        except BadCode:
            raise forms.ValidationError("This page came back damaged. Open it afresh.") from None

    @property
    def found(self) -> tuple[str, ...]:
        """Everything scanned; the same bag twice is one bag."""
        scanned = (*self.cleaned_data["so_far"], self.cleaned_data["unit"])
        return tuple(dict.fromkeys(filter(None, scanned)))

    def carry_on(self) -> None:
        """The page that comes next asks for another unit and remembers these."""
        data = QueryDict(mutable=True)
        data.update(self.data)
        data["so_far"], data["unit"] = " ".join(self.found), ""
        self.data = data
