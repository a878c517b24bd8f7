"""Today, the scan box, the next step, and the story of each donation and unit."""

from datetime import UTC, datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import Book, story
from buffycoat.labels.models import UnitRow
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.rules import STOP, USE_FIRST
from buffycoat.storage.stock import stock, stocked
from buffycoat.trace import pictures
from buffycoat.trace.jobs import jobs, next_step
from buffycoat.trace.scanning import page_of
from buffycoat.trace.telling import detail, title


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    now, site = datetime.now(UTC), limits(Book())
    units = stock(now, site)
    shown = {
        "jobs": jobs(),
        "units": len(units),
        "stop": [unit for unit in units if unit.status == STOP],
        "use_first": [unit for unit in units if unit.status == USE_FIRST],
    }
    return render(request, "trace/today.html", shown)


@require_safe
def scan(request: HttpRequest) -> HttpResponse:
    """Any code of ours leads to its page; anything else is said in one sentence."""
    text = request.GET.get("code", "")
    try:
        code = read_code(text)
    except BadCode as wrong:
        return render(request, "trace/not_found.html", {"reasons": [str(wrong)], "text": text}, status=404)
    if path := page_of(code):
        return HttpResponseRedirect(path)
    reasons = [f"It is a good code of a {code.noun}, but this bank has none by that number. Is it from another site?"]
    return render(request, "trace/not_found.html", {"reasons": reasons, "text": text}, status=404)


def to_next_step(request: HttpRequest, donation: str) -> HttpResponse:
    """Leads to the page of the donation's next step; to its story when there is nothing left to do."""
    get_object_or_404(DonationRow, pk=donation)
    step = next_step(Book(), donation)
    if step is None:
        messages.info(request, "Nothing is left to do with this donation.")
        return redirect("donation", donation)
    return HttpResponseRedirect(step.path)


@require_safe
def donation(request: HttpRequest, donation: str) -> HttpResponse:
    row = get_object_or_404(DonationRow.objects.select_related("donor", "lot"), pk=donation)
    return render(request, "trace/donation.html", _story_of(row))


@require_safe
def unit(request: HttpRequest, unit: str) -> HttpResponse:
    row = get_object_or_404(UnitRow.objects.select_related("donation__donor", "donation__lot", "shelf__place"), pk=unit)
    now, site = datetime.now(UTC), limits(Book())
    return render(request, "trace/unit.html", _story_of(row.donation) | {"unit": stocked(row, now, site)})


@require_safe
def help_page(request: HttpRequest) -> HttpResponse:
    return render(request, "trace/help.html")


def _story_of(row: DonationRow) -> dict[str, object]:
    now, site = datetime.now(UTC), limits(Book())
    units = [stocked(each, now, site) for each in row.units.select_related("shelf__place")]
    return {
        "donation": row,
        "units": units,
        "step": next_step(Book(), row.donation),
        "family": pictures.family(row, units),
        "timeline": pictures.timeline(row, site.zone),
        "lines": lines_of(f"donation/{row.donation}", site),
    }


def lines_of(stream: str, site: Limits) -> list[dict[str, object]]:
    """A stream as a table: one row a line, struck ones with their reason."""
    return [
        {
            "line": told.line,
            "title": title(told.line.fact),
            "detail": detail(told.line.fact, site.zone),
            "struck": told.struck,
            "reason": told.struck_reason,
        }
        for told in story(stream)
    ]
