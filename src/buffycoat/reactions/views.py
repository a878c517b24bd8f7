"""A suspected reaction: what to do first, and which kinds the findings fit. Nothing here is recorded."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book
from buffycoat.reactions.classes import FIRST_OF_ALL, TABLE, kinds_that_fit
from buffycoat.reactions.forms import FindingsForm
from buffycoat.site.rules import limits


@require_safe
def reaction(request: HttpRequest) -> HttpResponse:
    form = FindingsForm(request.GET or None)
    fever_over_dc = limits(Book()).whole("fever_over_dc")
    shown: dict[str, object] = {"form": form, "first": FIRST_OF_ALL, "table": TABLE}
    if request.GET and form.is_valid():
        seen = form.findings(fever_over_dc)
        shown |= {"seen": seen, "kinds": list(kinds_that_fit(seen))}
    return render(request, "reactions/reaction.html", shown | {"fever_over": f"{fever_over_dc / 10:.1f} °C"})
