"""What a bench is asked when it is set up."""

from typing import Any

from django import forms

from buffycoat.benches.models import SCALES, Bench
from buffycoat.benches.printers import NoAddress, read_address
from buffycoat.equipment.models import EquipmentRow
from buffycoat.equipment.rules import SCALE, SEALER
from buffycoat.shell.forms import ChoiceField, ListField, TickField, WholeField, WordsField

# A screen outside of this was measured with something else than a card: 1 to 20 px/mm.
PX_PER_100_MM = (100, 2_000)
NOTES = {
    "none": "Weights are typed, and stand in the record as typed",
    "keyboard": "It types the weight and presses Enter, like a scanner",
    "process": "Cable or network: the page shows it live",
}


def _registered(sort: str) -> list[tuple[str, str]]:
    found = [(row.equipment, row.name) for row in EquipmentRow.objects.filter(sort=sort).order_by("name")]
    return [("", "Not registered"), *found]


class BenchSetUpForm(forms.Form):
    template_name = "shell/_form.html"
    use_required_attribute = False
    name = WordsField(label="Name of this bench", most=40, hint="As people call it: Bench by the window.")
    px_per_100_mm = WholeField(
        label="100 mm on this screen",
        unit="px",
        least=PX_PER_100_MM[0],
        most=PX_PER_100_MM[1],
        required=False,
        hint="Set by the bank card’s bar. Empty: usual sizes.",
    )
    scale = ChoiceField(label="Scale", choices=SCALES, notes=NOTES)
    scale_equipment = ListField(
        label="Which scale it is",
        required=False,
        choices=[],
        hint="As registered under Equipment: out of use, it stops every weighing here.",
    )
    sealer_equipment = ListField(label="Which tube sealer is here", required=False, choices=[])
    sounds = TickField(
        label="Sounds", required=False, hint="One high: taken. Two low: wrong. Long low: stop."
    )
    tone = TickField(label="Stop tone", required=False, hint="Quickens towards the stop mass, then holds.")
    volume_percent = ListField(
        label="Volume of the stop tone",
        choices=[("20", "Very soft"), ("40", "Soft"), ("60", "Middle"), ("80", "Loud"), ("100", "Very loud")],
    )
    scanner = WordsField(label="Scanner", most=200, required=False, hint="What the test scan told.")
    printer = WordsField(label="Label printer", most=80, required=False, hint="Its name, for people.")
    printer_address = WordsField(
        label="Address of the label printer",
        most=200,
        required=False,
        hint="Like ipp://192.0.2.7/ipp/print. Empty: labels open in the browser.",
    )

    paper_printer_address = WordsField(
        label="Address of the paper printer",
        most=200,
        required=False,
        hint="For A4: stickers, cards, spare numbers. Empty: they open in the browser.",
    )

    def __init__(self, data: Any = None, *, bench: Bench | None, **kwargs: Any) -> None:
        self.bench = bench or Bench()
        start = {name: getattr(self.bench, name) for name in self.base_fields}
        super().__init__(data, initial=start | {"volume_percent": str(self.bench.volume_percent)}, **kwargs)
        self.fields["scale_equipment"].choices = _registered(SCALE)  # type: ignore[attr-defined]
        self.fields["sealer_equipment"].choices = _registered(SEALER)  # type: ignore[attr-defined]

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        if Bench.objects.filter(name=name).exclude(pk=self.bench.pk).exists():
            raise forms.ValidationError(
                f"Another bench is called {name} already. Choose another name, or use that bench on this device."
            )
        return name

    def clean_printer_address(self) -> str:
        return self._address("printer_address")

    def clean_paper_printer_address(self) -> str:
        return self._address("paper_printer_address")

    def _address(self, name: str) -> str:
        typed = str(self.cleaned_data[name]).strip()
        try:
            return str(read_address(typed)) if typed else ""
        except NoAddress as wrong:
            raise forms.ValidationError(str(wrong)) from None

    def save(self) -> Bench:
        for name, value in self.cleaned_data.items():
            setattr(self.bench, name, value)
        self.bench.save()
        return self.bench
