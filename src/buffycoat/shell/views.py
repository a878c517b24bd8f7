"""How a person likes the pages, kept in a cookie of that device; and the sheet of command cards."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from buffycoat.journal.book import Book
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.command_cards import command_sheet
from buffycoat.site.rules import limits

LOOKS = {"theme": ("light", "dim"), "sounds": ("on", "off"), "guide": ("on", "off")}
OF_A_PERSON = ("guide",)  # one who knows the work folds it away; who comes to the same bench next may be new
_A_YEAR_S = 365 * 24 * 3600


def cookie_of(request: HttpRequest, name: str) -> str:
    return f"{name}-{request.user.pk}" if name in OF_A_PERSON else name


@require_POST
def set_look(request: HttpRequest) -> HttpResponse:
    back = request.POST.get("back", "/")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = "/"
    response = HttpResponseRedirect(back)
    for name, values in LOOKS.items():
        if request.POST.get(name) in values:
            cookie = cookie_of(request, name)
            response.set_cookie(cookie, request.POST[name], max_age=_A_YEAR_S, httponly=True, samesite="Lax")
    return response


@require_safe
def command_cards(request: HttpRequest) -> HttpResponse:
    site = limits(Book())
    return pdf_answer(command_sheet(site.text("site_name"), site.text("site_code")), "command-cards")
