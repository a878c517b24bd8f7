"""The journal as pages: reading it, and checking that it is whole."""

from collections.abc import Iterable
from datetime import timedelta
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from buffycoat.journal.book import Book, line_of
from buffycoat.journal.facts import EntryStruck, Line
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.verify import verify
from buffycoat.shell.words import clock, grouped, moment
from buffycoat.site.rules import limits
from buffycoat.trace.telling import detail, title

PAGE = 100
LATE = timedelta(minutes=2)  # below that an entry was written when it was done


@require_safe
def journal(request: HttpRequest) -> HttpResponse:
    """The newest entries first, struck ones marked."""
    zone = limits(Book()).zone
    page = Paginator(Entry.objects.order_by("-number"), PAGE).get_page(request.GET.get("page"))
    lines = [line_of(entry) for entry in page]
    strikes = _strikes({line.stream for line in lines})
    rows = [
        {
            "line": line,
            "title": title(line.fact),
            "detail": detail(line.fact, zone),
            "struck": strikes.get(line.number),
            "is_strike": isinstance(line.fact, EntryStruck),
            "written": _written(line, zone),
        }
        for line in lines
    ]
    return render(
        request, "trace/journal.html", {"page": page, "lines": rows, "head": Head.objects.get(id=1)}
    )


def _written(line: Line, zone: ZoneInfo) -> str:
    """When it was written, if that was later than it was done."""
    if line.recorded_at - line.happened_at < LATE:
        return ""
    done, written = (at.astimezone(zone).date() for at in (line.happened_at, line.recorded_at))
    return clock(line.recorded_at, zone) if done == written else moment(line.recorded_at, zone)


def _strikes(streams: Iterable[str]) -> dict[int, Line]:
    """The strikes in these streams, by the number of the entry that each struck."""
    entries = Entry.objects.filter(kind=EntryStruck.kind, stream__in=streams)
    lines = [line_of(entry) for entry in entries]
    return {line.fact.struck_number: line for line in lines if isinstance(line.fact, EntryStruck)}


@require_POST
def check(request: HttpRequest) -> HttpResponse:
    """Reads the whole book once and says what it found."""
    verdict = verify()
    if verdict.wrong:
        what_to_do = "Stop work and tell whoever keeps the server."
        messages.error(request, f"The journal is NOT whole. {verdict.wrong} {what_to_do}")
    else:
        messages.success(
            request, f"The journal is whole: {grouped(verdict.entries)} entries, each seal fits."
        )
    return redirect("journal")
