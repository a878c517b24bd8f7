"""The journal as pages: reading it, checking that it is whole, and striking an entry."""

from collections.abc import Iterable
from datetime import timedelta
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from buffycoat.journal.book import Book, line_of
from buffycoat.journal.facts import EntryStruck, Line, Refused
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.strike import strike
from buffycoat.journal.verify import verify
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.shell.forms import BenchForm, WordsField
from buffycoat.shell.words import clock, grouped, moment
from buffycoat.site.rules import limits
from buffycoat.trace.scanning import page_of
from buffycoat.trace.telling import detail, title

PAGE = 100
LATE = timedelta(minutes=2)  # below that an entry was written when it was done


class StrikeForm(BenchForm):
    reason = WordsField(
        label="Why it is struck", lines=2, hint="The entry stays readable with this reason beside it."
    )


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


def strike_entry(request: HttpRequest, number: int) -> HttpResponse:
    entry = get_object_or_404(Entry, pk=number)
    form = StrikeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            command_id = form.cleaned_data["command_id"].hex
            strike(
                number,
                reason=form.cleaned_data["reason"],
                by=request.user.get_username(),
                command_id=command_id,
            )
        except Refused as refused:
            form.refuse(refused.reasons)
        else:
            messages.success(
                request, f"Entry {number} is struck and no longer counts. Write the right one now."
            )
            return redirect(_page_of_stream(entry.stream))
    zone = limits(Book()).zone
    together = [
        line_of(each) for each in Entry.objects.filter(command_id=entry.command_id).order_by("number")
    ]
    lines = [
        {"line": line, "title": title(line.fact), "detail": detail(line.fact, zone)} for line in together
    ]
    shown = {"form": form, "number": number, "lines": lines, "struck": _strikes([entry.stream]).get(number)}
    return render(request, "trace/strike.html", shown)


def _page_of_stream(stream: str) -> str:
    """Where the right entry is written: the page of the thing, if it still stands."""
    try:
        return page_of(read_code(stream.partition("/")[2])) or reverse("journal")
    except BadCode:
        return reverse("limits" if stream.startswith("site/") else "journal")
