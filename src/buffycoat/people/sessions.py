"""How long a sign-in holds. Disabling a person or changing a password ends it by Django's own check at each request;
all other ends are found here.
"""

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.auth.models import User
from django.contrib.auth.signals import user_logged_in, user_logged_out
from django.http import HttpRequest
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from buffycoat.benches.here import set_up_as
from buffycoat.benches.models import Bench
from buffycoat.journal.book import Book
from buffycoat.people import idle, second_factor
from buffycoat.people.devices import named
from buffycoat.people.models import Access, SignIn, access_of
from buffycoat.site.people_limits import EVERYONE, LEAST_IDLE_MIN
from buffycoat.site.rules import limits

BACKEND = "django.contrib.auth.backends.ModelBackend"
SIGN_IN, BENCH, PIN, WAS = "sign_in", "bench", "pin", "was"
TO_SET_UP, TO_CHANGE = "second_factor_to_set_up", "password_to_change"
LONGEST = timedelta(seconds=settings.SESSION_COOKIE_AGE)


def listen() -> None:
    user_logged_in.connect(_began)
    user_logged_out.connect(_ended)


def _began(request: HttpRequest, user: User, **rest: Any) -> None:
    SignIn.objects.filter(began_at__lt=timezone.now() - LONGEST).delete()
    bench = set_up_as(request)
    device = bench.name if bench else named(str(request.META.get("HTTP_USER_AGENT", "")))
    row = SignIn.objects.create(user=user, device=device, place=request.META.get("REMOTE_ADDR", ""))
    request.session.pop(WAS, None)
    request.session[SIGN_IN] = row.pk
    idle.touch(row.pk)
    if Access.objects.filter(user=user, password_to_change=True).exists():
        request.session[TO_CHANGE] = True


def _ended(request: HttpRequest, **rest: Any) -> None:
    SignIn.objects.filter(pk=request.session.get(SIGN_IN, 0)).delete()


def sign_in_with_pin(request: HttpRequest, user: User, bench: Bench) -> None:
    logout(request)  # whoever was here goes
    login(request, user, BACKEND)
    request.session[BENCH], request.session[PIN] = bench.pk, _mark(access_of(user))
    SignIn.objects.filter(pk=request.session[SIGN_IN]).update(with_pin=True)


def sign_in_with_password(request: HttpRequest, user: User) -> None:
    """And with the second factor, where it was asked."""
    login(request, user, BACKEND)
    if limits(Book()).text("second_factor") == EVERYONE and not second_factor.asked_of(user):
        request.session[TO_SET_UP] = True


def with_pin(request: HttpRequest) -> bool:
    return BENCH in request.session


def why_over(request: HttpRequest) -> str:
    """Why the sign-in of this request holds no longer; empty while it does."""
    row = SignIn.objects.filter(pk=request.session.get(SIGN_IN, 0), user=request.user.pk).first()
    if row is None:
        return "This sign-in was ended."
    if timezone.now() - row.began_at > LONGEST:
        return f"A sign-in holds {LONGEST // timedelta(hours=1)} h."
    if with_pin(request) and not _pin_holds(request):
        return "A sign-in by PIN holds on its own bench, and until the PIN is changed."
    idle_s = idle.idle_s(row.pk)
    if idle_s >= LEAST_IDLE_MIN * 60 and idle_s >= allowed_s(request):
        return f"Nothing was done here for {allowed_s(request) // 60} min."
    return ""


def allowed_s(request: HttpRequest) -> int:
    """How long this sign-in may lie idle."""
    return 60 * limits(Book()).whole("idle_pin_min" if with_pin(request) else "idle_password_min")


def left_s(request: HttpRequest) -> int:
    return max(0, int(allowed_s(request) - idle.idle_s(request.session[SIGN_IN])))


def end(request: HttpRequest, why: str) -> None:
    """The browser keeps only who it was, so that they may sign in again on the same page."""
    was = {"user": request.user.pk, "pin": with_pin(request), "why": why}
    logout(request)
    request.session[WAS] = was


def end_all(user: User, *, but: int = 0) -> None:
    SignIn.objects.filter(user=user).exclude(pk=but).delete()


def _pin_holds(request: HttpRequest) -> bool:
    bench = set_up_as(request)
    access = Access.objects.filter(user=request.user.pk).first()
    here = bench is not None and bench.pk == request.session[BENCH]
    return here and access is not None and constant_time_compare(_mark(access), request.session.get(PIN, ""))


def _mark(access: Access) -> str:
    """Of the PIN as it stands: what a session carries instead of the PIN's hash."""
    return salted_hmac("buffycoat.people.pin", access.pin_hash, algorithm="sha256").hexdigest()
