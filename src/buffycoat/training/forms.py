"""What is asked when a trainer signs."""

from typing import Any

from django import forms
from django.contrib.auth import get_user_model
from django.contrib.auth.models import AbstractBaseUser

from buffycoat.people import delays
from buffycoat.shell.forms import BenchForm, ListField, WordsField
from buffycoat.shell.guidance import TRAINED


class SignForm(BenchForm):
    trainee = ListField(label="Who was trained", choices=[])
    step = ListField(label="Step", choices=TRAINED.items())
    remarks = WordsField(label="Remarks", required=False, lines=2)
    password = forms.CharField(
        label="Your own password, as your signature",
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        error_messages={"required": "Type your own password: it is your signature."},
        strip=False,
    )

    def __init__(self, *args: Any, trainer: AbstractBaseUser, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.trainer = trainer
        others = get_user_model().objects.filter(is_active=True).exclude(pk=trainer.pk).order_by("username")
        names = others.values_list("username", flat=True)
        self.fields["trainee"].choices = [("", "Choose …"), *((name, name) for name in names)]  # type: ignore[attr-defined]

    def clean_password(self) -> None:
        name = self.trainer.get_username()
        if wait := delays.seconds_to_wait(name, "signing"):
            raise forms.ValidationError(delays.words(wait))
        if not self.trainer.check_password(self.cleaned_data["password"]):
            raise forms.ValidationError(f"This is not the password of {name}: nothing was signed.")
        delays.right(name, "signing")
