"""No one keeps the server busy for all: how many requests a minute one person, one address, and whoever is not signed
in from one address may send. Generous for hands at a bench; what a page or a scale asks by itself counts for the
address alone.
"""

import math
import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from buffycoat.people.forms import place_of
from buffycoat.people.may import MAY

WINDOW_S = 60


def too_many(who: str, most: int) -> int:
    """Counts one more; 0, or after how many seconds they are counted afresh."""
    now = time.time()
    key = f"rate-{who}-{int(now // WINDOW_S)}"
    cache.add(key, 0, 2 * WINDOW_S)
    return math.ceil(WINDOW_S - now % WINDOW_S) if cache.incr(key) > most else 0


class Rate:
    """Middleware, behind the one that knows who is signed in."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        wait = too_many(f"address-{place_of(request)}", settings.REQUESTS_A_MINUTE["address"])
        return _later(request, wait) if wait else self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: Any, kwargs: Any) -> HttpResponse | None:
        line = MAY.get(request.resolver_match.view_name) if request.resolver_match else None
        if line and line.unasked:
            return None
        signed_in = request.user.is_authenticated
        who = f"person-{request.user.pk}" if signed_in else f"nobody-{place_of(request)}"
        wait = too_many(who, settings.REQUESTS_A_MINUTE["person" if signed_in else "nobody"])
        return _later(request, wait) if wait else None


def _later(request: HttpRequest, wait_s: int) -> HttpResponse:
    """Asks nothing of the database."""
    answer = HttpResponse(status=429, headers={"Retry-After": str(wait_s)})
    answer.content = render(None, "people/too_many.html", {"wait_s": wait_s}).content
    return answer
