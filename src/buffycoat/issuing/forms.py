"""What is asked at a request, a crossmatch, an issue and a return."""

from typing import Any

from django import forms
from django.contrib.auth import get_user_model

from buffycoat.issuing.crossmatches import GRADES
from buffycoat.issuing.requests import MOST_ML, URGENCIES
from buffycoat.matching.compatibility import KINDS
from buffycoat.people import delays
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    CodeField,
    ListField,
    MillilitresField,
    MomentField,
    PercentField,
    TickField,
    WordsField,
)


def _capital(*words: str) -> list[tuple[str, str]]:
    return [(word, word[0].upper() + word[1:]) for word in words]


class RequestForm(BenchForm):
    kind_wanted = ChoiceField(label="What it needs", choices=_capital(*KINDS))
    volume_ml = MillilitresField(label="How much", least=1, most=MOST_ML)
    urgency = ChoiceField(label="How urgent", choices=_capital(*URGENCIES))
    needed_by = MomentField(label="Needed by", required=False)
    pcv_permille = PercentField(label="Its PCV now", required=False)
    why = WordsField(label="Why", most=200, lines=2)
    asked_by = WordsField(label="Who asks", most=60, hint="The veterinarian who prescribes it.")
    by_phone = TickField(label="Asked on the telephone", required=False)
    read_back = TickField(
        label="Read back to who asked: patient, product, volume",
        required=False,
        hint="On the telephone only.",
    )


class CrossmatchForm(BenchForm):
    unit = CodeField(label="Unit whose segment was used", kinds="U")
    major = ChoiceField(
        label="Major: patient's plasma, unit's cells", choices=[(str(k), v) for k, v in GRADES.items()]
    )
    minor = ChoiceField(
        label="Minor: unit's plasma, patient's cells", choices=[(str(k), v) for k, v in GRADES.items()]
    )
    control = ChoiceField(
        label="Own control: patient with itself", choices=[(str(k), v) for k, v in GRADES.items()]
    )
    haemolysis = ChoiceField(label="Haemolysis", choices=[(str(k), v) for k, v in GRADES.items()])
    method = WordsField(
        label="Method", most=100, hint="Tube at room temperature, gel, strip; the kit and its lot."
    )
    happened_at = MomentField(label="Read at", required=False)


class IssueForm(BenchForm):
    """In this order: the band, then the bag. `released_by` signs with the password when something speaks against it."""

    patient = CodeField(label="Band of the patient", kinds="A", noun="band")
    unit = CodeField(label="Label on the bag", kinds="U")
    emergency = WordsField(label="Why it goes all the same", required=False, lines=2)
    released_by = ListField(label="Released by", required=False, choices=[])
    password = forms.CharField(
        label="Password of who releases it",
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )
    happened_at = MomentField(label="Given out at", required=False)

    def __init__(self, *args: Any, issued_by: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = (
            get_user_model().objects.filter(is_active=True).exclude(username=issued_by).order_by("username")
        )
        names = others.values_list("username", flat=True)
        self.fields["released_by"].choices = [("", "Nobody"), *((name, name) for name in names)]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if name := values.get("released_by"):
            self._proved(name, values.get("password", ""))
        return values

    def _proved(self, name: str, password: str) -> None:
        """A name alone releases nothing: who releases it signs with the own password."""
        if wait := delays.seconds_to_wait(name, "releasing"):
            self.add_error("password", delays.words(wait))
        elif not get_user_model().objects.get(username=name).check_password(password):
            self.add_error("password", f"This is not the password of {name}: nothing was released.")
        else:
            delays.right(name, "releasing")

    @property
    def names_anyone(self) -> bool:
        return bool(self["released_by"].value() or self["emergency"].value())


class ReturnForm(BenchForm):
    why = WordsField(label="Why it comes back", most=200, lines=2)
    happened_at = MomentField(label="Back at", required=False)


class CloseForm(BenchForm):
    why = WordsField(label="Why nothing more is given for it", most=200, lines=2)
