"""The journal as pages: reading it, checking that it is whole, and striking an entry."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from buffycoat.journal.book import Book, line_of, story
from buffycoat.journal.facts import EntryStruck, Refused
from buffycoat.journal.models import Entry, Head
from buffycoat.journal.strike import strike
from buffycoat.journal.verify import verify
from buffycoat.shell.forms import BenchForm, WordsField
from buffycoat.site.rules import limits
from buffycoat.trace.telling import detail, title

PAGE = 100


class StrikeForm(BenchForm):
    reason = WordsField(label="Why it is struck", lines=2, hint="The entry stays readable with this reason beside it.")


@require_safe
def journal(request: HttpRequest) -> HttpResponse:
    """The newest entries first, struck ones marked."""
    zone = limits(Book()).zone
    page = Paginator(Entry.objects.order_by("-number"), PAGE).get_page(request.GET.get("page"))
    lines = [line_of(entry) for entry in page]
    struck = {
        told.line.number: told for stream in {line.stream for line in lines} for told in story(stream) if told.struck
    }
    rows = [
        {
            "line": line,
            "title": title(line.fact),
            "detail": _strike_words(line.fact) if isinstance(line.fact, EntryStruck) else detail(line.fact, zone),
            "struck": struck[line.number].struck if line.number in struck else None,
            "reason": struck[line.number].struck_reason if line.number in struck else "",
            "is_strike": isinstance(line.fact, EntryStruck),
        }
        for line in lines
    ]
    return render(request, "trace/journal.html", {"page": page, "lines": rows, "head": Head.objects.get(id=1)})


def _strike_words(fact: EntryStruck) -> str:
    return f"Entry {fact.struck_number}: {fact.reason}"


@require_POST
def check(request: HttpRequest) -> HttpResponse:
    """Reads the whole book once and says what it found."""
    verdict = verify()
    if verdict.wrong:
        messages.error(request, f"The journal is NOT whole. {verdict.wrong} Stop work and tell whoever keeps the server.")
    else:
        messages.success(request, f"The journal is whole: {verdict.entries} entries, each seal fits.")
    return redirect("journal")


def strike_entry(request: HttpRequest, number: int) -> HttpResponse:
    entry = get_object_or_404(Entry, pk=number)
    zone, form = limits(Book()).zone, StrikeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            command_id = form.cleaned_data["command_id"].hex
            strike(number, reason=form.cleaned_data["reason"], by=request.user.get_username(), command_id=command_id)
        except Refused as refused:
            form.refuse(refused.reasons)
        else:
            messages.success(request, f"Entry {number} is struck. Write the right one now.")
            return redirect("journal")
    together = [line_of(each) for each in Entry.objects.filter(command_id=entry.command_id).order_by("number")]
    lines = [{"line": line, "title": title(line.fact), "detail": detail(line.fact, zone)} for line in together]
    shown = {"form": form, "number": number, "lines": lines}
    return render(request, "trace/strike.html", shown)
