"""Today, the scan box, the next step, and the story of each donation and unit."""

from datetime import UTC, datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buffycoat.draws.models import DonationRow
from buffycoat.equipment.views import to_look_at
from buffycoat.issuing.models import RequestRow
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import dating_key
from buffycoat.problems.models import ProblemRow
from buffycoat.problems.rules import why_held
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import limits
from buffycoat.storage.rules import STOP, USE_FIRST, WAITING
from buffycoat.storage.stock import stock, stocked
from buffycoat.temperatures.views import open_alarms
from buffycoat.trace import pictures
from buffycoat.trace.jobs import jobs, next_step
from buffycoat.trace.scanning import page_of, why_no_page
from buffycoat.trace.setting_up import things
from buffycoat.trace.stories import has_story, lines_of


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    now, site = datetime.now(UTC), limits(Book())
    units, in_hand = stock(now, site), jobs()
    to_set_up = [] if units or in_hand else things(site)
    shown = {
        "jobs": in_hand,
        "units": len(units),
        "stop": [unit for unit in units if unit.status == STOP],
        "waiting": [unit for unit in units if unit.status == WAITING],
        "requests": RequestRow.objects.filter(closed="").select_related("patient"),
        "equipment": to_look_at(),
        "alarms": open_alarms(),
        "problems": ProblemRow.objects.filter(settled_at=None).count(),
        "use_first": [unit for unit in units if unit.status == USE_FIRST],
        "use_first_days": site.whole("use_first_days"),
        "things": to_set_up if any(not thing.done for thing in to_set_up) else [],
    }
    return render(request, "trace/today.html", shown)


@require_safe
def scan(request: HttpRequest) -> HttpResponse:
    """Any code of ours leads to its page; anything else is said in one sentence."""
    text = request.GET.get("code", "")
    try:
        code = read_code(text)
    except BadCode as wrong:
        return _leads_nowhere(request, text, str(wrong))
    if code.kind == "H":  # a badge: who comes next types their PIN and goes on where this one stood
        return redirect(f"{reverse('sign-in-badge')}?{request.GET.urlencode()}")
    if path := page_of(code):
        return redirect(path)
    return _leads_nowhere(request, text, why_no_page(code, limits(Book())))


def _leads_nowhere(request: HttpRequest, text: str, why: str) -> HttpResponse:
    return render(request, "trace/not_found.html", {"why": why, "text": text}, status=404)


def to_next_step(request: HttpRequest, donation: str) -> HttpResponse:
    """Leads to the page of the donation's next step; to its story when there is nothing left to do.

    What was said of the step before is followed by what comes next.
    """
    row = DonationRow.objects.filter(pk=donation).first()
    if row is None:
        return _of_nothing_that_stands(donation)
    step = next_step(Book(), donation)
    if step is None:
        done = "This donation was discarded: nothing is left to do with it."
        if not row.discarded:
            done = (
                "With that this donation is done: everything that came of it stands in its place or is gone."
            )
        messages.success(request, done)
        return redirect("donation", donation)
    if len(messages.get_messages(request)):
        messages.success(request, f"Next: {step.words[0].lower()}{step.words[1:]}.")
    return redirect(step.path)


@require_safe
def donation(request: HttpRequest, donation: str) -> HttpResponse:
    row = DonationRow.objects.select_related("donor", "lot").filter(pk=donation).first()
    if row is None:
        return _of_nothing_that_stands(donation)
    return render(request, "trace/donation.html", _story_of(row))


def _of_nothing_that_stands(code: str) -> HttpResponse:
    """What was struck whole has left the registers; its story is still told."""
    if not has_story(code):
        raise Http404
    return redirect("story", code)


@require_safe
def unit(request: HttpRequest, unit: str) -> HttpResponse:
    rows = UnitRow.objects.select_related("donation__donor", "donation__lot", "shelf__place")
    row = rows.filter(pk=unit).first()
    if row is None:
        return _of_nothing_that_stands(unit)
    now, site = datetime.now(UTC), limits(Book())
    unit_now = stocked(row, now, site)
    lot = row.donation.lot
    keys = [dating_key(unit_now.product, row.species, lot.anticoagulant)] if lot else []
    children = UnitRow.objects.filter(parent=unit)
    shown = {
        "unit": unit_now,
        "children": children,
        "limits": [{"limit": LIMITS[key], "value": site.whole(key)} for key in keys],
    }
    return render(request, "trace/unit.html", _story_of(row.donation) | shown)


@require_safe
def help_page(request: HttpRequest) -> HttpResponse:
    return render(request, "trace/help.html")


def _story_of(row: DonationRow) -> dict[str, object]:
    now, site = datetime.now(UTC), limits(Book())
    units = [stocked(each, now, site) for each in row.units.select_related("shelf__place", "donation__donor")]
    return {
        "donation": row,
        "held": "; ".join(why_held(Book(), row.donation, "")),
        "units": units,
        "step": next_step(Book(), row.donation),
        "family": pictures.family(row, units),
        "timeline": pictures.timeline(row, site.zone),
        "lines": lines_of(f"donation/{row.donation}", site),
    }
