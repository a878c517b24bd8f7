"""Which bench this device is: a long-lived signed cookie names its row."""

from functools import cached_property
from typing import Any

from django.http import HttpRequest, HttpResponse

from buffycoat.benches import simulated
from buffycoat.benches.models import PROCESS, Bench
from buffycoat.journal.book import Book
from buffycoat.site.rules import limits

COOKIE = "bench"
TEN_YEARS_S = 10 * 365 * 24 * 3600


def bench_of(request: HttpRequest) -> Bench | None:
    """The bench that this device was set up as; in the demo, any device is the invented bench until it is set up."""
    return set_up_as(request) or Bench.objects.filter(pk=simulated.bench() or 0).first()


def set_up_as(request: HttpRequest) -> Bench | None:
    number = request.get_signed_cookie(COOKIE, default=None, salt=COOKIE, max_age=TEN_YEARS_S)
    return Bench.objects.filter(pk=number).first() if number else None


def stay(response: HttpResponse, bench: Bench) -> HttpResponse:
    response.set_signed_cookie(
        COOKIE, str(bench.pk), salt=COOKIE, max_age=TEN_YEARS_S, httponly=True, samesite="Lax"
    )
    return response


class Here:
    """Read by pages as `here.…`; the bench is looked up once, when it is asked for."""

    def __init__(self, request: HttpRequest) -> None:
        self._request = request

    @cached_property
    def bench(self) -> Bench | None:
        return bench_of(self._request)

    @property
    def lent(self) -> bool:
        """The demo's bench, on a device that was not set up as any."""
        return self.bench is not None and set_up_as(self._request) is None

    @property
    def live(self) -> bool:
        return self.bench is not None and self.bench.scale == PROCESS

    @property
    def invented(self) -> bool:
        return self.live and self.bench is not None and self.bench.pk == simulated.bench()

    @property
    def hold_ms(self) -> int:
        return limits(Book()).whole("scale_hold_ms")

    @property
    def tone_from_g(self) -> int:
        return limits(Book()).whole("stop_tone_from_g")


def here(request: HttpRequest) -> dict[str, Any]:
    """A context processor."""
    return {"here": Here(request)}
