"""What is asked of equipment."""

from buffycoat.equipment.rules import LONGEST_ROUND_DAYS, SORTS
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    CodeField,
    DayField,
    MomentField,
    WholeField,
    WordsField,
)

PASSED, FAILED = "passed", "failed"


class EquipmentForm(BenchForm):
    name = WordsField(label="Name, as people call it", most=60, hint="Scale by the window.")
    sort = ChoiceField(label="What it is", choices=list(SORTS.items()))
    maker_number = WordsField(label="Its maker's number", most=60, hint="On the plate, often after S/N.")
    serves = CodeField(
        label="Card of its rotor or place",
        kinds="TP",
        required=False,
        hint="For a centrifuge, fridge or freezer: what cannot be used without it.",
    )
    check_every_days = WholeField(label="It is checked every", unit="days", least=1, most=LONGEST_ROUND_DAYS)
    checked_how = WordsField(label="How it is checked, and against what", most=200, lines=2)
    due_on = DayField(label="Next check due on", hint="From the sticker on it. Unknown: today.")


class CheckForm(BenchForm):
    outcome = ChoiceField(label="Did it pass?", choices=[(PASSED, "It passed"), (FAILED, "It did not pass")])
    found = WordsField(
        label="What was read, against what, and by whom",
        lines=2,
        hint="100 g read 100 g, 500 g read 501 g.",
    )
    happened_at = MomentField(label="Checked at", required=False)


class WhyForm(BenchForm):
    why = WordsField(label="Why", lines=2)
    happened_at = MomentField(label="Since", required=False)
