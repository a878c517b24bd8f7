"""What stands around every request and answer: bodies that can be read, cookies for this host alone, headers for the
browser beside Django's own, and a line in the log for whoever was refused.
"""

import logging
import re
from collections.abc import Callable

from django.conf import settings
from django.core.exceptions import BadRequest, SuspiciousOperation
from django.http import HttpRequest, HttpResponse
from django.http.multipartparser import MultiPartParserError
from django.http.request import UnreadablePostError

LOG = logging.getLogger("buffycoat.people")
HEADERS = {
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}
# Pages with an owner's contact, with a person's own doing, or with secrets: they stay in no browser's memory.
PERSONAL = re.compile(r"/(me|people|lists|sign-ins)/|/donors/[A-Z]{5}[0-9]{9}/(owner/)?$")
UNREADABLE = (BadRequest, MultiPartParserError, SuspiciousOperation, UnreadablePostError)
HOST = "__Host-"
View = Callable[[HttpRequest], HttpResponse]


def readable(get_response: View) -> View:
    """Refuses what cannot be read or is too much before anything else looks at it. Django's own pages for errors look
    at the form once more, and would fail over it.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not (length.isascii() and length.isdecimal()) or int(length) > settings.MOST_BYTES_OF_A_REQUEST:
            return _refused("This request is larger than anything this program takes.", 413)
        try:
            request.POST  # noqa: B018 - read once, here
        except UNREADABLE:
            return _refused(
                "This request cannot be read. Go back, open the page afresh and send it again.", 400
            )
        return get_response(request)

    return middleware


def _refused(words: str, status: int) -> HttpResponse:
    return HttpResponse(words, status=status, content_type="text/plain; charset=utf-8")


def cookies_of_this_host(get_response: View) -> View:
    """Under HTTPS every cookie gets the prefix with which browsers let no other host and no http set or read it."""

    def middleware(request: HttpRequest) -> HttpResponse:
        ours = {name: value for name, value in request.COOKIES.items() if name.startswith(HOST)}
        request.COOKIES = {name.removeprefix(HOST): value for name, value in ours.items()}
        response = get_response(request)
        for name, cookie in list(response.cookies.items()):
            del response.cookies[name]
            response.cookies[HOST + name] = cookie.value
            response.cookies[HOST + name].update({**cookie, "secure": True, "path": "/", "domain": ""})
        return response

    return middleware


def headers(get_response: View) -> View:
    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if getattr(request, "user", None) and request.user.is_authenticated:
            personal = PERSONAL.match(request.path)
            response.headers.setdefault("Cache-Control", "private, no-store" if personal else "private")
            if response.status_code == 403:
                LOG.warning(
                    "%s was refused: %s %s", request.user.get_username(), request.method, request.path
                )
        return response

    return middleware
