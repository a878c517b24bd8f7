"""What the pages of bag sets and draws ask."""

from dataclasses import replace
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from buffycoat.benches.weighing import ReadingField
from buffycoat.draws.bag_sets import ANTICOAGULANTS, BagSetLot
from buffycoat.draws.rules import HEAVIEST_G
from buffycoat.draws.starting import Draft
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    CodeField,
    DayField,
    GramsField,
    ListField,
    MillilitresField,
    MomentField,
    WordsField,
)

MOST_ML = 1_000  # beyond it, a figure too many was typed


class Question(forms.Form):
    """One question whose answer stays in the address; `after` is the draft with a good answer in it."""

    template_name = "shell/_form.html"
    use_required_attribute = False
    name = ""

    def __init__(self, data: Any, *, draft: Draft, **kwargs: Any) -> None:
        self.draft = self.after = draft
        super().__init__(data, **kwargs)

    def refuse_if(self, reasons: list[str]) -> None:
        if reasons:
            raise ValidationError(reasons)


class DonorQuestion(Question):
    name = "donor"
    donor = CodeField(label="Donor", kinds="D", hint="Scan the card, or type its code.")

    def clean_donor(self) -> str:
        self.after = self.draft.with_donor(self.cleaned_data["donor"])
        assert self.after.donor
        if self.after.donor.registered is None:
            self.refuse_if(self.after.why_not_donor())
        return self.after.donor.number


class LotQuestion(Question):
    name = "lot"
    lot = CodeField(label="Bag set lot", kinds="L", hint="Scan the lot's card, or type its code.")

    def clean_lot(self) -> str:
        self.after = self.draft.with_lot(self.cleaned_data["lot"])
        self.refuse_if(self.after.why_not_set())
        return str(self.cleaned_data["lot"])


class TareQuestion(Question):
    name = "tare_g"

    def __init__(self, data: Any, *, draft: Draft, **kwargs: Any) -> None:
        super().__init__(data, draft=draft, **kwargs)
        self.fields["tare_g"] = GramsField(label="Empty set", usual=draft.usual_tare_g)
        self.fields["reading"] = ReadingField()

    def clean_tare_g(self) -> int:
        tare_g: int = self.cleaned_data["tare_g"]
        self.refuse_if(self.draft.why_not_tare(tare_g))
        self.after = replace(self.draft, tare_g=tare_g)
        return tare_g


QUESTIONS: tuple[type[Question], ...] = (DonorQuestion, LotQuestion, TareQuestion)


class VolumeForm(forms.Form):
    """The volume alone, while it is being typed."""

    wanted_ml = MillilitresField(label="Wanted volume", least=1, most=MOST_ML)


class StartForm(BenchForm):
    donor = CodeField(label="Donor", kinds="D", widget=forms.HiddenInput)
    lot = CodeField(label="Bag set lot", kinds="L", widget=forms.HiddenInput)
    tare_g = GramsField(label="Empty set", widget=forms.HiddenInput)
    wanted_ml = MillilitresField(label="Wanted volume", least=1, most=MOST_ML)
    reading = ReadingField()
    number = CodeField(
        label="Paper sheet", kinds="G", noun="paper sheet", required=False, widget=forms.HiddenInput
    )
    happened_at = MomentField(label="Draw began at", required=False)

    def live(self, address: str) -> "StartForm":
        """Asks that address for the target while the volume is typed."""
        self.fields["wanted_ml"].widget.attrs |= {
            "hx-get": address,
            "hx-trigger": "input changed delay:250ms",
            "hx-target": "#target",
            "hx-sync": "this:replace",
        }
        return self


class FinishForm(BenchForm):
    gross_g = GramsField(label="Mass on the scale", least=1, most=2 * HEAVIEST_G)
    reading = ReadingField()
    happened_at = MomentField(label="Draw ended at", required=False)


class DiscardForm(BenchForm):
    reason = WordsField(
        label="Why", lines=2, hint="Clot, leak, too little, too much, broken set, or what you saw.", most=300
    )
    happened_at = MomentField(label="Discarded at", required=False)


EXAMPLES = {
    "dog-additive": (
        "Dog, 450 mL, with additive",
        {
            "title": "450 mL set with additive",
            "species": "dog",
            "nominal_ml": 450,
            "anticoagulant": "CPD",
            "anticoagulant_ml": 63,
            "additive": "SAGM",
            "additive_ml": 100,
        },
    ),
    "dog": (
        "Dog, 450 mL, no additive",
        {
            "title": "450 mL set",
            "species": "dog",
            "nominal_ml": 450,
            "anticoagulant": "CPDA-1",
            "anticoagulant_ml": 63,
            "additive_ml": 0,
        },
    ),
    "cat": (
        "Cat, 50 mL, no additive",
        {
            "title": "50 mL set",
            "species": "cat",
            "nominal_ml": 50,
            "anticoagulant": "CPDA-1",
            "anticoagulant_ml": 7,
            "additive_ml": 0,
        },
    ),
}


class ReceiveForm(BenchForm):
    maker_lot = WordsField(label="Maker's lot number", hint="As printed on the box.", most=60)
    expires_on = DayField(
        label="Expires on", hint="Type it like 24 Oct 2026; the last day, if only a month is given."
    )
    title = WordsField(label="What the set is called", most=100)
    species = ChoiceField(label="For", choices=(("dog", "Dog"), ("cat", "Cat")))
    nominal_ml = MillilitresField(label="Blood it is made for", least=1, most=MOST_ML)
    anticoagulant = ListField(
        label="Anticoagulant", choices=[("", "Choose"), *((each, each) for each in ANTICOAGULANTS)]
    )
    anticoagulant_ml = MillilitresField(label="Anticoagulant in the main bag", most=MOST_ML)
    additive = WordsField(
        label="Additive", hint="Its name; empty if the set has none.", required=False, most=40
    )
    additive_ml = MillilitresField(label="Additive in its bag", required=False, most=MOST_ML)
    main_bag_empty_g = GramsField(
        label="Dry main bag", hint="Weigh one, without what is in it.", most=HEAVIEST_G
    )
    plasma_bag_empty_g = GramsField(label="Dry plasma bag", hint="Weigh one.", most=HEAVIEST_G)

    def clean_additive_ml(self) -> int:
        return self.cleaned_data["additive_ml"] or 0


class HoldForm(BenchForm):
    why = WordsField(label="Why", lines=2)
    happened_at = MomentField(label="Decided at", required=False)

    def __init__(self, *args: Any, released: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["why"].label = (
            "What was found out, and why it may be used again" if released else "Why it is held"
        )


def like(lot: BagSetLot) -> dict[str, Any]:
    """What another lot of the same set has in common with this one."""
    assert lot.received
    bag_set = lot.received.bag_set
    return {name: getattr(bag_set, name) for name in ReceiveForm.base_fields if hasattr(bag_set, name)}
