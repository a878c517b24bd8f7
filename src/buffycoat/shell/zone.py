"""Every page speaks in the site's own time zone. The book stays in UTC."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from buffycoat.journal.book import Book
from buffycoat.site.rules import limits


def site_zone(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    def middleware(request: HttpRequest) -> HttpResponse:
        with timezone.override(limits(Book()).zone):
            return get_response(request)

    return middleware
