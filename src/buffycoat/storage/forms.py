"""What is asked when a unit is put away or discarded, and when a place is opened."""

from typing import Any

from buffycoat.labels.products import FREEZER, FRIDGE
from buffycoat.shell.forms import BenchForm, ChoiceField, CodeField, MomentField, TickField, WordsField

OTHER = "other"
REASONS = (
    "expired",
    "broken or leaking",
    "clotted",
    "haemolysed",
    "too warm for too long",
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
