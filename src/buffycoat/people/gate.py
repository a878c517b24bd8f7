"""Every request passes here once: what has no line in the table, or not for this person, is refused on a page."""

from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseNotAllowed
from django.shortcuts import redirect, render

from buffycoat.people import again, idle
from buffycoat.people.may import MAY, READS, WHOEVER, may, roles_for
from buffycoat.people.roles import roles_of, who_has
from buffycoat.people.sessions import SIGN_IN, TO_CHANGE, TO_SET_UP, end, why_over, with_pin

# What is asked first of who has just come in, and the one page that is open until it is done.
FIRST = {TO_CHANGE: "my-password", TO_SET_UP: "my-second-factor"}


class SignedIn(LoginRequiredMiddleware):
    """Asks everybody to sign in; whoever was signed in here a while ago goes on with what they had typed."""

    def process_view(
        self, request: HttpRequest, view_func: Any, view_args: Any, view_kwargs: Any
    ) -> HttpResponseBase | None:
        closed = getattr(view_func, "login_required", True) and not request.user.is_authenticated
        if closed and again.asked(request) and (page := again.sign_in_or_ask(request)):
            return page
        return super().process_view(request, view_func, view_args, view_kwargs)

    def handle_no_permission(self, request: HttpRequest, view_func: Any) -> Any:
        kept = again.kept(request)
        return kept if kept else super().handle_no_permission(request, view_func)


class Gate:
    """Behind the one that asks everybody to sign in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> HttpResponse | None:
        assert request.resolver_match and request.method
        name, method = request.resolver_match.view_name, request.method
        open_to_all = name in MAY and MAY[name].by(method) == WHOEVER
        if request.user.is_authenticated and (why := why_over(request)):
            end(request, why)
            if not open_to_all:
                return again.kept(request) or redirect_to_login(request.get_full_path())
        if name in MAY and MAY[name].by(method) == "-":
            allowed = [each for each in ("GET", "HEAD", "POST") if MAY[name].by(each) != "-"]
            return HttpResponseNotAllowed(allowed)
        by_itself = name in MAY and MAY[name].unasked and method in READS
        if request.user.is_authenticated and not by_itself:
            idle.touch(request.session[SIGN_IN])
        if not may(roles_of(request.user), name, method):
            return refusal(request, name, method)
        if MAY[name].password and method not in READS and with_pin(request):
            return refusal(request, name, method)
        for asked, page in FIRST.items():
            if request.session.get(asked) and not open_to_all:
                return None if name == page else redirect(page)
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
