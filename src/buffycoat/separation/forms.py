"""What the bench is asked, one question a page."""

from buffycoat.shell.forms import BenchForm, ChoiceField, GramsField, MomentField, WholeField, WordsField

CLOTS_NONE, CLOTS_SEEN = "none", "seen"
RAN_IN, LOST = "ran-in", "lost"


class StepForm(BenchForm):
    """Every step may be written down later than it was done."""

    happened_at = MomentField(label="Done at", required=False)


class ExpressForm(StepForm):
    plasma_g = GramsField(label="Plasma on the scale", most=2_000)


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
    explained = WordsField(
        label="Why the weight is right all the same",
        required=False,
        hint="Only if the page says that it does not fit the rest.",
    )


class KeepWholeForm(StepForm):
    pass
