"""What the bench is asked, one question a page."""

from typing import Any

from buffycoat.benches.weighing import ReadingField, scale_of
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    GramsField,
    MomentField,
    TickField,
    WholeField,
    WordsField,
)

CLOTS_NONE, CLOTS_SEEN = "none", "seen"
RAN_IN, LOST = "ran-in", "lost"


class StepForm(BenchForm):
    """Every step may be written down later than it was done."""

    happened_at = MomentField(label="Done at", required=False)


class ExpressForm(StepForm):
    """What is on the scale; `plasma_g` and `scale` come out, with the bag taken off where it was not set to nought."""

    plasma_g = GramsField(label="Plasma on the scale", most=2_000)
    with_bag = TickField(label="With the empty bag", required=False)
    reading = ReadingField()

    def __init__(self, *args: Any, empty_g: int = 0, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._empty_g = empty_g
        self.fields["with_bag"].help_text = f"The scale was not set to nought: {empty_g} g of bag come off."

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        values["scale"] = scale_of(values, "plasma_g")
        if values.get("with_bag") and "plasma_g" in values:
            values["plasma_g"] -= self._empty_g
        return values


class AdditiveForm(StepForm):
    outcome = ChoiceField(
        label="What became of the additive?",
        choices=[(RAN_IN, "It ran in"), (LOST, "It is lost")],
        notes={
            RAN_IN: "All of it, mixed gently",
            LOST: "Leaked, not run in, or not all of it: the shorter date holds",
        },
    )
    reason = WordsField(label="What happened to it", required=False, hint="Only if it is lost.")


class ClotsForm(StepForm):
    clots = ChoiceField(
        label="Clots",
        choices=[(CLOTS_NONE, "No clot"), (CLOTS_SEEN, "Clot seen")],
        notes={CLOTS_NONE: "Mixes evenly, nothing hangs in it", CLOTS_SEEN: "The donation is discarded"},
    )


class SegmentsForm(StepForm):
    segments = WholeField(label="Sealed segments", unit="segments", big=True, most=99)


class WeighForm(StepForm):
    gross_g = GramsField(label="On the scale, with its bag", most=2_000)
    reading = ReadingField()
    explained = WordsField(
        label="Why the weight is right all the same",
        required=False,
        hint="Only if the page says that it does not fit the rest.",
    )


class KeepWholeForm(StepForm):
    pass
