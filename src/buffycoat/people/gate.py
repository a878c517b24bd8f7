"""Every request passes here once: what has no line in the table, or not for this person, is refused on a page."""

from collections.abc import Callable
from typing import Any

from django.contrib.auth import logout
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import redirect, render

from buffycoat.people.may import MAY, READS, WHOEVER, may, roles_for
from buffycoat.people.roles import roles_of, who_has
from buffycoat.people.sessions import TO_SET_UP, holds, with_pin


class Gate:
    """Middleware, behind the one that asks everybody to sign in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> HttpResponse | None:
        assert request.resolver_match and request.method
        name, method = request.resolver_match.view_name, request.method
        if not holds(request):
            logout(request)
            return redirect_to_login(request.get_full_path())
        if name in MAY and MAY[name].by(method) == "-":
            allowed = [each for each in ("GET", "HEAD", "POST") if MAY[name].by(each) != "-"]
            return HttpResponseNotAllowed(allowed)
        if not may(roles_of(request.user), name, method):
            return refusal(request, name, method)
        if MAY[name].password and method not in READS and with_pin(request):
            return refusal(request, name, method)
        if request.session.get(TO_SET_UP) and MAY[name].by(method) != WHOEVER and name != "my-second-factor":
            return redirect("my-second-factor")
        return None


def refusal(request: HttpRequest, name: str, method: str) -> HttpResponse:
    """Says why, who may, and what is possible next."""
    roles = roles_for(name, method)
    shown = {
        "unknown": name not in MAY,
        "opening": method in READS,
        "mine": sorted(roles_of(request.user)),
        "roles": roles,
        "people": who_has(roles),
        "pin": may(roles_of(request.user), name, method),
    }
    return render(request, "people/refused.html", shown, status=403)
