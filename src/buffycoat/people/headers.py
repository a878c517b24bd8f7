"""What every answer says to the browser beside Django's own headers."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

HEADERS = {
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}


def headers(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        if getattr(request, "user", None) and request.user.is_authenticated:
            response.headers.setdefault(
                "Cache-Control", "private, no-store" if _personal(request) else "private"
            )
        return response

    return middleware


def _personal(request: HttpRequest) -> bool:
    """Pages with an owner's contact or with secrets stay in no browser's memory."""
    return request.path.startswith(("/me/", "/people/")) or request.path.endswith("/owner/")
