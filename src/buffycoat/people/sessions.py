"""How long a sign-in holds. Disabling a person or changing a password ends it by Django's own check at each request."""

from django.contrib.auth import login
from django.contrib.auth.models import User
from django.http import HttpRequest
from django.utils.crypto import constant_time_compare, salted_hmac

from buffycoat.benches.here import set_up_as
from buffycoat.benches.models import Bench
from buffycoat.people.models import Access, access_of

BACKEND = "django.contrib.auth.backends.ModelBackend"
BENCH, PIN, TO_SET_UP = "bench", "pin", "second_factor_to_set_up"


def sign_in_with_pin(request: HttpRequest, user: User, bench: Bench) -> None:
    login(request, user, BACKEND)
    request.session[BENCH], request.session[PIN] = bench.pk, _mark(access_of(user))


def with_pin(request: HttpRequest) -> bool:
    return BENCH in request.session


def holds(request: HttpRequest) -> bool:
    """A sign-in by PIN ends when the PIN changes, and anywhere but on the bench where it was made."""
    if not with_pin(request):
        return True
    bench = set_up_as(request)
    access = Access.objects.filter(user=request.user.pk).first()
    here = bench is not None and bench.pk == request.session[BENCH]
    return here and access is not None and constant_time_compare(_mark(access), request.session.get(PIN, ""))


def _mark(access: Access) -> str:
    """Of the PIN as it stands: what a session carries instead of the PIN's hash."""
    return salted_hmac("buffycoat.people.pin", access.pin_hash, algorithm="sha256").hexdigest()
