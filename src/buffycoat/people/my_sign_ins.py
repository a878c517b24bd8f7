"""Where a person is signed in: seen by themselves, and ended one by one."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.contrib import messages
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache

from buffycoat.people import idle
from buffycoat.people.models import SignIn
from buffycoat.people.sessions import SIGN_IN


@dataclass(frozen=True, kw_only=True)
class Shown:
    row: SignIn
    last_seen: datetime | None  # None: not since the server was started


def sign_ins_of(user: User) -> Iterator[Shown]:
    for row in SignIn.objects.filter(user=user):
        yield Shown(row=row, last_seen=idle.last_seen(row.pk))


def ended(user: User, number: str) -> bool:
    """Ends one; only of that person."""
    return number.isdecimal() and SignIn.objects.filter(user=user, pk=int(number)).delete()[0] == 1


@never_cache
def my_sign_ins(request: HttpRequest) -> HttpResponse:
    assert isinstance(request.user, User)
    if request.method == "POST":
        if ended(request.user, request.POST.get("sign_in", "")):
            messages.success(request, "That sign-in is ended.")
        return redirect("my-sign-ins")
    shown = {"sign_ins": sign_ins_of(request.user), "this": request.session[SIGN_IN]}
    return render(request, "people/my_sign_ins.html", shown)
