"""What a month of the shelf came to: as a picture, a table, and what the losses were worth."""

import re
from datetime import date, timedelta

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book
from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.pictures.waterfall import COMES, GOES, STANDS, Step, draw_waterfall
from buffycoat.site.rules import limits
from buffycoat.storage.waste import Month, bounds, month_of, passed


@require_safe
def waste(request: HttpRequest) -> HttpResponse:
    site, this = limits(Book()), timezone.localdate().replace(day=1)
    month = _asked(request.GET.get("month", ""), this)
    found = month_of(passed(site), *bounds(month, site.zone))
    before, after = (month - timedelta(days=1)).replace(day=1), (month + timedelta(days=32)).replace(day=1)
    shown = {
        "month": month,
        "found": found,
        "picture": picture(found, f"{month:%B %Y}"),
        "before": before,
        "after": after if after <= this else None,
        "currency": site.text("currency"),
    }
    return render(request, "storage/waste.html", shown)


def _asked(text: str, this: date) -> date:
    if not text:
        return this
    if not re.fullmatch(r"20[0-9]{2}-(0[1-9]|1[0-2])", text):
        raise Http404
    return date(int(text[:4]), int(text[5:]), 1)


def picture(found: Month, month: str) -> Picture:
    steps = [
        Step(name="In stock at the start", amount=found.start, kind=STANDS),
        Step(name="Came", amount=found.came, kind=COMES),
    ]
    if found.given:
        steps.append(Step(name="Given to patients", amount=found.given, kind=GOES))
    if found.divided:
        steps.append(Step(name="Divided into parts", amount=found.divided, kind=GOES))
    steps += [Step(name=reason.capitalize(), amount=count, kind=GOES) for reason, count in found.lost]
    steps.append(Step(name="In stock at the end", amount=found.end, kind=STANDS))
    given = f"{found.given} given, " if found.given else ""
    lost = f"{found.lost_in_all} lost" + (f" ({found.lost_percent:.0f} %)" if found.lost_percent else "")
    conclusion = f"{month}: {found.start} units at the start, {found.came} came, {given}{lost}, {found.end} at the end."
    return draw_waterfall(steps, unit="units", conclusion=conclusion)
