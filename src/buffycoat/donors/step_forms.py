"""What is asked at each step with a donor. A field has the name of the command's own."""

from collections.abc import Iterator
from typing import Any

from django import forms

from buffycoat.donors.donor import Donor
from buffycoat.donors.facts import Answer
from buffycoat.donors.may_give import MAY_NOT, NOT_WAIVED, MayGive
from buffycoat.donors.panel import METHODS, RESULTS, names_of, panel
from buffycoat.donors.questions import NO, YES, asked_of
from buffycoat.donors.visits import REACTIONS, SEVERITIES, Waived
from buffycoat.journal.book import Book
from buffycoat.science.numbering import show_code
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    DayField,
    ListField,
    MillilitresField,
    MomentField,
    TickField,
    WholeField,
    WordsField,
)
from buffycoat.shell.measures import HOW_DAY
from buffycoat.site.rules import Limits

OWNER_STAYS_OUT = "Nothing about the owner goes here: it stays in the journal for ever."
WHO_DECIDED = "The veterinarian's name."
FIRST_DAY = f"{HOW_DAY} The first day on which it may be drawn again."
UNTIL_LIFTED = f"{FIRST_DAY} Empty: until it is lifted."
EARLIER = "Done at"


def _offer(form: forms.Form, name: str, choices: list[tuple[str, str]]) -> None:
    field = form.fields[name]
    assert isinstance(field, forms.ChoiceField)
    field.choices = choices


def _choices(values: Any) -> list[tuple[str, str]]:
    return [(each, each[0].upper() + each[1:]) for each in values]


class StepForm(BenchForm):
    """Drawn for one donor, as it stands today."""

    def __init__(self, *args: Any, donor: Donor, answer: MayGive, site: Limits, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.donor, self.answer, self.site = donor, answer, site
        self.for_donor()
        self.fields["happened_at"] = MomentField(label=EARLIER, required=False)

    def for_donor(self) -> None:
        """Sets what depends on the donor."""

    def values(self) -> dict[str, Any]:
        """What the command takes; when it was done goes beside it."""
        left_out = ("command_id", "seen", "happened_at")
        return {name: value for name, value in self.cleaned_data.items() if name not in left_out}


class ConsentForm(StepForm):
    version = WordsField(label="Version of the form that was signed", most=40)

    def for_donor(self) -> None:
        self.fields["version"].initial = self.site.text("consent_version")


class WithdrawForm(StepForm):
    reason = WordsField(label="How it was withdrawn", lines=2, most=300, hint=OWNER_STAYS_OUT)


class QuestionsForm(StepForm):
    def for_donor(self) -> None:
        assert self.donor.registered
        for question in asked_of(self.donor.registered.species, self.donor.registered.sex):
            self.fields[question.key] = ChoiceField(label=question.text, choices=[(YES, "Yes"), (NO, "No")])
            self.fields[f"{question.key}_words"] = WordsField(label="What was told", required=False, most=200)

    def pairs(self) -> Iterator[tuple[forms.BoundField, forms.BoundField]]:
        """Each question with the line for what was told beside it."""
        for name in self.fields:
            if name.endswith("_words"):
                yield self[name.removesuffix("_words")], self[name]

    def values(self) -> dict[str, Any]:
        given = super().values()
        return {
            "answers": tuple(
                Answer(key=key, answer=value, words=given[f"{key}_words"])
                for key, value in given.items()
                if not key.endswith("_words")
            )
        }


class VaccineForm(StepForm):
    vaccine = WordsField(label="Vaccine", most=100, hint="What it is against, and its name.")
    given_on = DayField(label="Given on")
    valid_until = DayField(label="Valid until", hint=f"{HOW_DAY} By its pass or its maker.")


class MedicineForm(StepForm):
    medicine = WordsField(label="Medicine and dose", most=200)
    given_on = DayField(label="Last given on")
    no_draw_before = DayField(
        label="No draw before", required=False, hint=f"{FIRST_DAY} Empty: it stands against none."
    )


class JourneyForm(StepForm):
    region = WordsField(label="Where it was", most=100)
    returned_on = DayField(label="Back on")


class TestForm(StepForm):
    agent = ListField(label="Looked for", choices=[])
    method = ListField(label="Method", choices=_choices(METHODS))
    result = ChoiceField(label="Result", choices=_choices(RESULTS))
    taken_on = DayField(label="Sample taken on")
    laboratory = WordsField(label="Laboratory or kit", required=False, most=100)

    def for_donor(self) -> None:
        assert self.donor.registered
        names = names_of(panel(Book()), self.donor.registered.species)
        _offer(self, "agent", [("", "Choose …"), *((each, each) for each in names)])


class ClearForm(StepForm):
    test = ListField(label="Positive result", choices=[])
    decided_by = WordsField(label="Decided by", most=100, hint=WHO_DECIDED)
    reason = WordsField(label="On what", lines=2, most=300, hint="Which test was done again, and its result.")

    def for_donor(self) -> None:
        _offer(self, "test", [(each, each) for each in self.donor.positive])


class DeferForm(StepForm):
    reason = WordsField(label="Why", lines=2, most=300, hint=OWNER_STAYS_OUT)
    no_draw_before = DayField(label="No draw before", required=False, hint=UNTIL_LIFTED)


class LiftForm(StepForm):
    deferral = ListField(label="Deferral", choices=[])
    decided_by = WordsField(label="Decided by", most=100, hint=WHO_DECIDED)
    reason = WordsField(label="Why", lines=2, most=300)

    def for_donor(self) -> None:
        _offer(self, "deferral", [(key, each.reason) for key, each in self.donor.deferrals.items()])


class SedationForm(StepForm):
    protocol = WordsField(label="Drugs, doses, way given", lines=2, most=300)
    lowest_systolic_mmhg = WholeField(label="Lowest systolic pressure", unit="mmHg", required=False)
    fluids_ml = MillilitresField(label="Fluids given after", required=False)
    remarks = WordsField(label="Remarks", required=False, most=300)


class _OfADonation(StepForm):
    donation = ListField(label="After which donation", choices=[])

    def for_donor(self) -> None:
        gave = [(each.donation, show_code(each.donation)) for each in reversed(self.donor.gave)]
        _offer(self, "donation", gave)
        self.fields["donation"].initial = gave[0][0] if gave else ""


class ReactionForm(_OfADonation):
    reaction = ListField(label="What happened", choices=_choices(REACTIONS))
    severity = ListField(label="How bad it was", choices=_choices(SEVERITIES))
    remarks = WordsField(label="In words", required=False, lines=2, most=300)


class CallForm(_OfADonation):
    well = ChoiceField(label="How is it?", choices=[(YES, "Well"), (NO, "Not well")])
    remarks = WordsField(label="What was told", required=False, lines=2, most=300, hint=OWNER_STAYS_OUT)

    def values(self) -> dict[str, Any]:
        given = super().values()
        return given | {"well": given["well"] == YES}


class ChipForm(StepForm):
    chip = WordsField(label="Chip", most=20, hint="Read it with the reader, or type the 15 figures.")


class RetireForm(StepForm):
    reason = WordsField(label="Why", lines=2, most=300)
    died = TickField(label="It died", required=False)


class WaiveForm(StepForm):
    decided_by = WordsField(label="Decided by", most=100, hint=WHO_DECIDED)
    reason = WordsField(label="Why it cannot wait", lines=2, most=300)

    def for_donor(self) -> None:
        stops: dict[str, str] = {}
        for check in self.answer.checks:
            if check.verdict == MAY_NOT and check.key not in NOT_WAIVED:
                stops[check.key] = " ".join(filter(None, (stops.get(check.key, ""), check.words)))
        self.stops = stops
        for key, words in stops.items():
            self.fields[f"check_{key}"] = TickField(label=words, required=False)
        self.order_fields([*(f"check_{key}" for key in stops), "decided_by", "reason"])

    def values(self) -> dict[str, Any]:
        given = super().values()
        ticked = tuple(Waived(check=key) for key in self.stops if given[f"check_{key}"])
        return {"checks": ticked, "decided_by": given["decided_by"], "reason": given["reason"]}
