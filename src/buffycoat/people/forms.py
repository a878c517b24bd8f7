"""Signing in, and how to reach an owner."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError
from django.core.validators import validate_email

from buffycoat.shell.forms import WordsField


class SignInForm(AuthenticationForm):
    """Django's own, in our words. After a wrong password the name stays and the cursor stands in the password."""

    error_messages = {
        "invalid_login": "This name and this password do not belong together: type the password again.",
        "inactive": "This person may no longer sign in.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        name, password = self.fields["username"], self.fields["password"]
        name.label, password.label = "Your name", "Password"
        name.error_messages["required"] = "Type your name."
        password.error_messages["required"] = "Type your password."
        name.widget.attrs["spellcheck"] = "false"
        if self.data.get("username"):
            del name.widget.attrs["autofocus"]
            password.widget.attrs["autofocus"] = True


class ContactForm(forms.Form):
    name = WordsField(label="Owner's name", required=False, most=100)
    phone = WordsField(label="Phone", required=False, most=40)
    email = WordsField(label="E-mail", required=False, most=254)

    def clean_email(self) -> str:
        email: str = self.cleaned_data["email"]
        if email:
            try:
                validate_email(email)
            except ValidationError:
                raise ValidationError(
                    f"“{email}” is no e-mail address: type it like name@example.org."
                ) from None
        return email

    def clean(self) -> None:
        if not self.errors and not any(self.cleaned_data.values()):
            raise ValidationError("Nothing is filled in. Type a name, a phone number or an e-mail address.")
