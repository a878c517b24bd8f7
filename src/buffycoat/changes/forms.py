"""What is asked when a unit is changed."""

from buffycoat.benches.weighing import ReadingField
from buffycoat.shell.forms import (
    BenchForm,
    CelsiusField,
    ChoiceField,
    GramsField,
    MomentField,
    TickField,
    WholeField,
    WordsField,
)

CLOSED, OPEN = "closed", "open"
HOW_OPENED = ("Spiked to be given", "A sample taken through a port", "A port or tube that broke")


class ChangeForm(BenchForm):
    """Every step may be written down later than it was done."""

    happened_at = MomentField(label="Done at", required=False)


class ThawForm(ChangeForm):
    over_bag = TickField(
        label="It lay in a sealed over-bag, and neither bag leaks",
        required=False,
        hint="Looked at, out of the water.",
    )
    bath_c = CelsiusField(label="Water bath", most=100)
    minutes = WholeField(label="In the bath for", unit="min", big=True, most=999)


class OpenForm(ChangeForm):
    reason = ChoiceField(label="How it was opened", choices=[(how, how) for how in HOW_OPENED])


class IrradiateForm(ChangeForm):
    dose_gy = WholeField(label="Dose at the middle of the bag", unit="Gy", big=True, most=999)


class FreezeForm(ChangeForm):
    surface_c = CelsiusField(label="Surface of the bag", most=60)


class DivideForm(ChangeForm):
    parts = WholeField(label="Into how many", unit="parts", big=True, most=99)
    closed = ChoiceField(
        label="Did air get in?",
        choices=[(CLOSED, "It stayed closed"), (OPEN, "Air got in")],
        notes={
            CLOSED: "Tubes welded, or bags of the same set",
            OPEN: "Spiked or cut: each part keeps for hours",
        },
    )
    empty_g = GramsField(label="One empty bag, with its tube", most=999)
    reading = ReadingField()


class CryoForm(ChangeForm):
    cryo_empty_g = GramsField(label="The plasma bag, empty: the cryoprecipitate stays in it", most=999)
    poor_empty_g = GramsField(label="The empty bag that the plasma goes into", most=999)


class WeighForm(ChangeForm):
    gross_g = GramsField(label="On the scale, with its bag", most=2_000)
    reading = ReadingField()
    explained = WordsField(
        label="Where the rest went", required=False, hint="Only if the page says that something is missing."
    )
