"""Signing in, and what each person changes for themselves."""

import base64
import time
from typing import Any

from django.contrib import messages
from django.contrib.auth import get_user_model, update_session_auth_hash
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.models import User
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from buffycoat.benches.here import set_up_as
from buffycoat.journal.book import Book
from buffycoat.people import delays, second_factor, told
from buffycoat.people.forms import (
    CodeForm,
    NewPasswordForm,
    NewPinForm,
    PinForm,
    ProvedForm,
    SignInForm,
    place_of,
)
from buffycoat.people.known import remember
from buffycoat.people.models import Access, RecoveryCode, SignIn, access_of
from buffycoat.people.roles import roles_of
from buffycoat.people.sessions import (
    SIGN_IN,
    TO_CHANGE,
    TO_SET_UP,
    WAS,
    end_all,
    sign_in_with_password,
    sign_in_with_pin,
    with_pin,
)
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.shell.paper import QR_CODE, symbol
from buffycoat.site.rules import limits

HALF, HALF_HOLDS_S = "half_signed_in", 300
TOGETHER = (
    "This badge and this PIN do not belong together, or no PIN was set: try again, or use name and password."
)


class SignInPage(LoginView):
    template_name = "people/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        user = form.get_user()
        if second_factor.asked_of(user):
            self.request.session[HALF] = [user.pk, time.time(), self.get_success_url()]
            return redirect("sign-in-second")
        sign_in_with_password(self.request, user)
        return remember(self.request, redirect(self.get_success_url()), user)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        was = self.request.session.get(WAS) or {}
        shown = {"own_bench": set_up_as(self.request), "why": was.get("why", "")}
        return super().get_context_data(**kwargs) | shown


sign_in = SignInPage.as_view()
sign_out = login_not_required(LogoutView.as_view())


@login_not_required
@never_cache
@sensitive_post_parameters()
def sign_in_second(request: HttpRequest) -> HttpResponse:
    """After the right password: the second factor. Until then nobody is signed in."""
    number, since, onward = request.session.get(HALF, (0, 0.0, "/"))
    user = get_user_model().objects.filter(pk=number, is_active=True).first()
    if user is None or not 0 <= time.time() - since <= HALF_HOLDS_S:
        return redirect("sign-in")
    form = CodeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        place = f"second factor {place_of(request)}"
        code = form.cleaned_data["code"]
        if wait := delays.seconds_to_wait(user.get_username(), place):
            form.add_error("code", delays.words(wait))
        elif second_factor.is_right(access_of(user), code) or second_factor.use_recovery_code(user, code):
            delays.right(user.get_username(), place)
            sign_in_with_password(request, user)
            return remember(request, HttpResponseRedirect(onward), user)
        else:
            told.wrong(user.get_username(), "code", place)
            form.add_error("code", "This is not the code of now. Wait for the next one and type that.")
    return render(request, "people/sign_in_second.html", {"form": form})


@login_not_required
@never_cache
@sensitive_post_parameters()
def sign_in_badge(request: HttpRequest) -> HttpResponse:
    """A badge was scanned at a bench: the PIN, and another person goes on. Elsewhere: name and password."""
    given = request.POST if request.method == "POST" else request.GET
    onward = given.get("next", "/")
    if not url_has_allowed_host_and_scheme(onward, allowed_hosts={request.get_host()}):
        onward = "/"
    bench, user, why = set_up_as(request), None, ""
    try:
        user = (
            get_user_model()
            .objects.filter(pk=read_code(given.get("code", ""), "H").serial, is_active=True)
            .first()
        )
        why = "" if user else "Nobody who may sign in has this badge."
    except BadCode as wrong:
        why = str(wrong)
    if bench is None:
        why = "A badge and a PIN open only a bench that was set up as one. Use name and password here."
    form = PinForm(request.POST or None)
    if user and bench and not why and request.method == "POST" and form.is_valid():
        place = f"bench {bench.pk}"
        if wait := delays.seconds_to_wait(user.get_username(), place):
            form.add_error("pin", delays.words(wait))
        elif access_of(user).pin_is(form.cleaned_data["pin"]):
            delays.right(user.get_username(), place)
            sign_in_with_pin(request, user, bench)
            return HttpResponseRedirect(onward)
        else:
            told.wrong(user.get_username(), "PIN", place)
            form.add_error("pin", TOGETHER)
    shown = {"form": form, "who": user, "why": why, "code": given.get("code", ""), "next": onward}
    return render(request, "people/sign_in_badge.html", shown, status=400 if why else 200)


def me(request: HttpRequest) -> HttpResponse:
    access = access_of(_user(request))
    left = RecoveryCode.objects.filter(user=_user(request)).count()
    shown = {
        "access": access,
        "roles": sorted(roles_of(request.user)),
        "left": left,
        "pin": with_pin(request),
        "sign_ins": SignIn.objects.filter(user=_user(request)).count(),
    }
    return render(request, "people/me.html", shown)


@sensitive_post_parameters()
def my_password(request: HttpRequest) -> HttpResponse:
    user = _user(request)
    form = NewPasswordForm(request.POST or None, user=user, place=place_of(request))
    if request.method == "POST" and form.is_valid():
        user.set_password(form.cleaned_data["new"])
        user.save()
        Access.objects.filter(user=user).update(password_to_change=False)
        update_session_auth_hash(request, user)  # this session goes on, all others end
        end_all(user, but=request.session[SIGN_IN])
        request.session.pop(TO_CHANGE, None)
        messages.success(
            request, "Your password is changed. Wherever else you were signed in, you are no longer."
        )
        return redirect("me")
    shown = {"form": form, "title": "Change my password", "first": request.session.get(TO_CHANGE)}
    return render(request, "people/change.html", shown)


@sensitive_post_parameters()
def my_pin(request: HttpRequest) -> HttpResponse:
    user = _user(request)
    form = NewPinForm(request.POST or None, user=user, place=place_of(request))
    if request.method == "POST" and form.is_valid():
        access_of(user).set_pin(form.cleaned_data["pin"])
        SignIn.objects.filter(user=user, with_pin=True).delete()
        messages.success(request, "Your PIN is set. It opens set-up benches only, together with your badge.")
        return redirect("me")
    return render(request, "people/change.html", {"form": form, "title": "Set my PIN"})


@never_cache
@sensitive_post_parameters()
def my_second_factor(request: HttpRequest) -> HttpResponse:
    """The password first; then the matrix to scan with the telephone; then one code of it turns it on."""
    user = _user(request)
    access = access_of(user)
    proof = ProvedForm(
        request.POST if "password" in request.POST else None, user=user, place=place_of(request)
    )
    code = CodeForm(request.POST if "code" in request.POST else None)
    shown: dict[str, Any] = {"access": access, "proof": proof, "form": code}
    if proof.is_bound and proof.is_valid():
        second_factor.begin(access)
        RecoveryCode.objects.filter(user=user).delete()
        shown["form"] = CodeForm()
    elif code.is_bound and code.is_valid() and access.factor_salt and not access.factor_on:
        if second_factor.is_right(access, code.cleaned_data["code"]):
            request.session.pop(TO_SET_UP, None)
            return render(request, "people/recovery_codes.html", {"codes": second_factor.turn_on(access)})
        code.add_error("code", "This is not the code of now. Wait for the next one and type that.")
    if (
        access.factor_salt
        and not access.factor_on
        and ((proof.is_bound and proof.is_valid()) or code.is_bound)
    ):
        to_scan = second_factor.address(access, limits(Book()).text("site_name"))
        matrix = base64.b64encode(symbol(to_scan, QR_CODE).svg.encode()).decode()
        shown |= {"matrix": matrix, "secret": second_factor.totp(access).secret}
    return render(request, "people/second_factor.html", shown)


def _user(request: HttpRequest) -> User:
    assert isinstance(request.user, User)
    return request.user
