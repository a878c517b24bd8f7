"""Signing in again where a sign-in ended: on the page that stands open, and with what was typed and sent too late.

A form that comes in after the end is not recorded and not lost. The answer is a page that carries it and asks the
same person's secret; with that, the form goes on as it was sent. A script of the page asks the same in the page.
"""

from typing import Any

from django import forms
from django.contrib.auth import get_user_model
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from buffycoat.benches.here import set_up_as
from buffycoat.benches.models import Bench
from buffycoat.people import delays, second_factor, told
from buffycoat.people.forms import PlainForm, place_of, secret_field
from buffycoat.people.models import access_of
from buffycoat.people.sessions import WAS, left_s, sign_in_with_password, sign_in_with_pin

PREFIX, MARK = "again", "again-as"
SECRETS = {"password", "new", "pin"}  # never carried through a page


class AgainForm(PlainForm):
    """The PIN where it was a PIN; else the password, and the second factor of whoever has one."""

    def __init__(self, data: Any, *, user: User, bench: Bench | None, place: str) -> None:
        super().__init__(data, prefix=PREFIX)
        self.user, self.bench = user, bench
        self.place = f"bench {bench.pk}" if bench else place
        if bench:
            self.fields["pin"] = secret_field("Your PIN", "your PIN", "off")
            self.fields["pin"].widget.attrs["inputmode"] = "numeric"
        else:
            self.fields["password"] = secret_field("Your password", "your password", "current-password")
            if second_factor.asked_of(user):
                self.fields["code"] = forms.CharField(
                    label="Code from your telephone, or a recovery code",
                    max_length=20,
                    error_messages={"required": "Type the code."},
                )
        next(iter(self.fields.values())).widget.attrs["autofocus"] = True

    def clean(self) -> dict[str, Any]:
        if self.errors:
            return self.cleaned_data
        name = self.user.get_username()
        if wait := delays.seconds_to_wait(name, self.place):
            raise ValidationError(delays.words(wait))
        if not self._right():
            told.wrong(name, "PIN" if self.bench else "password or code", self.place)
            raise ValidationError("This was not right: try again.")
        delays.right(name, self.place)
        return self.cleaned_data

    def _right(self) -> bool:
        access = access_of(self.user)
        if self.bench:
            return access.pin_is(self.cleaned_data["pin"])
        if not self.user.check_password(self.cleaned_data["password"]):
            return False
        code = str(self.cleaned_data.get("code", "")).replace(" ", "")
        return (
            "code" not in self.fields
            or second_factor.is_right(access, code)
            or second_factor.use_recovery_code(self.user, code)
        )

    def sign_in(self, request: HttpRequest) -> None:
        if self.bench:
            sign_in_with_pin(request, self.user, self.bench)
        else:
            sign_in_with_password(request, self.user)


def _form(request: HttpRequest) -> AgainForm | None:
    """For whoever was signed in on this browser and may sign in still."""
    was = request.session.get(WAS) or {}
    user = get_user_model().objects.filter(pk=was.get("user", 0), is_active=True).first()
    if user is None:
        return None
    bench = set_up_as(request) if was["pin"] else None
    data = request.POST if MARK in request.POST else None
    return AgainForm(data, user=user, bench=bench, place=place_of(request))


def asked(request: HttpRequest) -> bool:
    return request.method == "POST" and MARK in request.POST


def kept(request: HttpRequest) -> HttpResponse | None:
    """The page that carries a form sent too late; None if there is none to carry, or nobody to ask."""
    form = _form(request) if request.method == "POST" else None
    if form is None:
        return None
    carried = [
        (name, value)
        for name, values in request.POST.lists()
        if name != "csrfmiddlewaretoken" and name not in SECRETS and not name.startswith(f"{PREFIX}-")
        for value in values
    ]
    shown = {"form": form, "who": form.user, "why": request.session[WAS]["why"], "carried": carried}
    return render(request, "people/again.html", shown, status=403)


def sign_in_or_ask(request: HttpRequest) -> HttpResponse | None:
    """Signs in by what stands beside the carried form, and lets the rest of it go on; else the page again."""
    form = _form(request)
    if form is None or not form.is_valid():
        return kept(request)
    form.sign_in(request)
    rest = request.POST.copy()
    for name in [name for name in rest if name.startswith(f"{PREFIX}-")]:
        del rest[name]
    request.POST = rest  # type: ignore[assignment]
    return None


@login_not_required
@never_cache
@sensitive_post_parameters()
def sign_in_again(request: HttpRequest) -> HttpResponse:
    """For the script of a page that stands open: the form as a piece of page, or the token for the page's forms."""
    if not request.user.is_authenticated:
        form = _form(request)
        if form is None:
            return HttpResponse(status=410)
        if not form.is_valid():
            shown = {"form": form, "who": form.user, "why": request.session[WAS]["why"]}
            return render(request, "people/_again.html", shown, status=422 if form.is_bound else 200)
        form.sign_in(request)
    person = request.user.get_username()
    return JsonResponse({"token": get_token(request), "person": person, "left_s": left_s(request)})


@login_not_required
@never_cache
def still_here(request: HttpRequest) -> HttpResponse:
    """How long the sign-in still holds. Sent, it says that somebody is there, and the time begins anew."""
    return JsonResponse({"left_s": left_s(request) if request.user.is_authenticated else 0})
