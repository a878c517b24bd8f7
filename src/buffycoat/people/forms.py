"""Signing in, what a person signs in with, and how to reach an owner."""

from itertools import pairwise
from typing import Any

from django import forms
from django.contrib.auth import get_user_model
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.http import HttpRequest

from buffycoat.people import delays
from buffycoat.people.known import is_known
from buffycoat.people.may import ROLES
from buffycoat.shell.forms import WordsField

LEAST_PIN = 4


def place_of(request: HttpRequest) -> str:
    return str(request.META.get("REMOTE_ADDR", ""))


def secret_field(label: str, what: str, autocomplete: str, **more: Any) -> forms.CharField:
    attrs = {"autocomplete": autocomplete}
    return forms.CharField(
        label=label,
        widget=forms.PasswordInput(attrs=attrs),
        error_messages={"required": f"Type {what}."},
        strip=False,
        max_length=200,
        **more,
    )


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

    def clean(self) -> dict[str, Any]:
        assert self.request is not None
        name, place = self.cleaned_data.get("username"), place_of(self.request)
        if not name or not self.cleaned_data.get("password"):
            return self.cleaned_data
        stranger = not is_known(self.request, name)
        if stranger and (wait := delays.seconds_for_any_name(place)):
            raise ValidationError(delays.words_for_any_name(wait))
        if wait := delays.seconds_to_wait(name, place):
            raise ValidationError(delays.words(wait))
        cleaned = super().clean()
        delays.right(name, place)
        if stranger:
            delays.right_for_any_name(place)
        return cleaned


class PlainForm(forms.Form):
    template_name = "shell/_form.html"
    use_required_attribute = False


class PinForm(PlainForm):
    """At a bench: the badge says who, the PIN that it is so."""

    pin = secret_field("Your PIN", "your PIN", "off")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["pin"].widget.attrs |= {"inputmode": "numeric", "autofocus": True}


class CodeForm(PlainForm):
    code = forms.CharField(
        label="Code from your telephone, or a recovery code",
        max_length=20,
        error_messages={"required": "Type the code."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        attrs = {"autocomplete": "one-time-code", "inputmode": "numeric", "autofocus": True}
        self.fields["code"].widget.attrs |= attrs

    def clean_code(self) -> str:
        return str(self.cleaned_data["code"]).replace(" ", "")


class ProvedForm(PlainForm):
    """Asks the password again before something is changed that signs in."""

    password = secret_field("Your password as it is now", "your password", "current-password")

    def __init__(self, *args: Any, user: User, place: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user, self.place = user, place

    def clean_password(self) -> str:
        name = self.user.get_username()
        if wait := delays.seconds_to_wait(name, self.place):
            raise ValidationError(delays.words(wait))
        if not self.user.check_password(self.cleaned_data["password"]):
            raise ValidationError("This is not your password: nothing was changed.")
        delays.right(name, self.place)
        return str(self.cleaned_data["password"])


class NewPasswordForm(ProvedForm):
    new = secret_field("New password", "the new password", "new-password")

    def clean_new(self) -> str:
        new = str(self.cleaned_data["new"])
        validate_password(new, self.user)
        if self.user.check_password(new):
            raise ValidationError("This is the password you have: choose another.")
        return new


class NewPinForm(ProvedForm):
    pin = secret_field(
        "New PIN", "the new PIN", "off", help_text="Figures, at least four. Not your birthday."
    )

    def clean_pin(self) -> str:
        pin = str(self.cleaned_data["pin"])
        if not (pin.isascii() and pin.isdigit() and LEAST_PIN <= len(pin) <= 12):
            raise ValidationError(f"A PIN is {LEAST_PIN} to 12 figures.")
        steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
        if len(steps) == 1 and steps <= {0, 1, 9}:
            raise ValidationError("This PIN is one of those that are tried first: take another.")
        return pin


class RolesForm(PlainForm):
    roles = forms.MultipleChoiceField(
        label="Roles",
        choices=[(word, word.capitalize()) for word in ROLES.values()],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick at least one role."},
    )


class AddPersonForm(RolesForm):
    name = WordsField(label="Name", most=50, hint="As it will stand beside each step in the journal.")
    field_order = ["name", "roles"]

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        try:
            User.username_validator(name)
        except ValidationError:
            raise ValidationError("A name has letters, figures and . @ + - _ and no spaces.") from None
        if get_user_model().objects.filter(username__iexact=name).exists():
            raise ValidationError(f"{name} is here already. Give everyone a name of their own.")
        return name


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
