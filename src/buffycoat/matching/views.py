"""What on the shelf fits this patient, and the table that decides it. Nothing here is recorded."""

from datetime import UTC, datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book
from buffycoat.matching.compatibility import CAT, DOG
from buffycoat.matching.crossmatch import TABLE, History, why_crossmatch
from buffycoat.matching.forms import PatientForm
from buffycoat.matching.grid import best, donor_types, grid
from buffycoat.site.rules import limits
from buffycoat.storage.stock import stock


@require_safe
def match(request: HttpRequest) -> HttpResponse:
    form = PatientForm(request.GET or None)
    shown: dict[str, object] = {"form": form}
    if request.GET and form.is_valid():
        now, site, wanted = datetime.now(UTC), limits(Book()), form.wanted
        units = stock(now, site)
        rows = grid(wanted, units, donor_types(units) if wanted.antibodies else {})
        history = History(
            species=wanted.species,
            kind=wanted.kind,
            transfused=form.cleaned_data["transfused"],
            days_since=form.cleaned_data["days_since"],
            had_reaction=form.cleaned_data["had_reaction"],
            has_antibody=bool(wanted.antibodies),
        )
        crossmatch = list(why_crossmatch(history, site.whole("crossmatch_after_days")))
        shown |= {"wanted": wanted, "rows": rows, "best": best(rows), "crossmatch": crossmatch}
    return render(request, "matching/match.html", shown)


@require_safe
def compatibility(request: HttpRequest) -> HttpResponse:
    shown = {"tables": (("Dogs", DOG), ("Cats", CAT)), "crossmatch": TABLE}
    return render(request, "matching/compatibility.html", shown)
