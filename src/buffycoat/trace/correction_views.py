"""Taking back: the last step of a job, one entry, or a whole job. Each page tells the effect before it asks."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buffycoat.donors.models import DonorRow
from buffycoat.journal.book import Book, story
from buffycoat.journal.facts import EntryStruck, Line
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import Correction, StrikeEntry, UndoLast, VoidJob, last_step
from buffycoat.science.numbering import BadCode, read_code, show_code
from buffycoat.shell.forms import BenchForm, ChoiceField, WordsField
from buffycoat.shell.recording import recorded, seen
from buffycoat.site.rules import limits
from buffycoat.trace.again import page_again
from buffycoat.trace.effects import effects_of
from buffycoat.trace.scanning import page_of
from buffycoat.trace.stories import has_story, lines_of, stream_for
from buffycoat.trace.telling import detail, title

WRONG_NUMBER, WRONG_BAG, MISTAKE, OTHER = "wrong weight", "wrong bag scanned", "pressed by mistake", "other"


class ReasonForm(BenchForm):
    reason = WordsField(
        label="Why it is struck", lines=2, hint="The entry stays readable with this reason beside it."
    )


class UndoForm(BenchForm):
    """`entry_number` is what the person was shown as the last step."""

    entry_number = forms.IntegerField(widget=forms.HiddenInput)
    why = ChoiceField(
        label="Why",
        choices=[
            (WRONG_NUMBER, "Wrong weight or number"),
            (WRONG_BAG, "Wrong bag or animal"),
            (MISTAKE, "Pressed by mistake"),
            (OTHER, "Other words"),
        ],
    )
    more = WordsField(label="Other words", required=False)

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("why") == OTHER and not values.get("more"):
            self.add_error("more", "Say it in your words: “other” alone tells nobody why.")
        return values

    @property
    def reason(self) -> str:
        why, more = self.cleaned_data["why"].capitalize(), self.cleaned_data["more"].rstrip(".")
        return more if self.cleaned_data["why"] == OTHER else f"{why}: {more}" if more else why


def undo(request: HttpRequest, code: str) -> HttpResponse:
    """The last step of a job, taken back; then its page again, with the old values."""
    stream = _stream_of(code)
    last = last_step(stream)
    if not last and request.method != "POST":
        messages.info(request, "Nothing stands here that could be taken back.")
        return redirect("story", code)
    form = UndoForm(request.POST or None, seen=_seen(last), initial={"entry_number": _number(last)})
    if request.method == "POST" and form.is_valid():
        command = UndoLast(stream=stream, entry_number=form.cleaned_data["entry_number"], reason=form.reason)
        if recorded(request, form, command):
            return _done_again(request, command, form)
        last = last_step(stream)
    asked = UndoLast(stream=stream, entry_number=_number(last), reason="asked")
    job = stream.partition("/")[2]
    shown = {"code": job, "noun": read_code(job).noun, "leave": _page_of(stream), "animal": _animal(job)}
    return render(request, "trace/undo.html", shown | _told(request, asked, form))


def _animal(code: str) -> DonorRow | None:
    return DonorRow.objects.filter(Q(donor=code) | Q(donations__donation=code)).first()


def _number(lines: Sequence[Line]) -> int:
    return lines[0].number if lines else 0


def _done_again(request: HttpRequest, command: UndoLast, form: UndoForm) -> HttpResponse:
    """To the page of the step; the values of a wrong bag are not offered for the right one."""
    zone, taken = limits(Book()).zone, command.lines()
    own = next(line for line in taken if line.number == command.entry_number)
    said = f"Taken back: {title(own.fact).lower()}. It stays readable in the book."
    path = page_again([own, *taken], zone)
    if path is None or form.cleaned_data["why"] == WRONG_BAG:
        messages.success(request, said)
        return redirect(_page_of(command.stream))
    messages.success(request, f"{said} What was written is filled in: change what is wrong.")
    return redirect(path)


def void(request: HttpRequest, code: str) -> HttpResponse:
    """A whole job that should never have been."""
    stream = _stream_of(code, unit_alone=True)
    command = VoidJob(stream=stream, reason="asked")
    form = ReasonForm(request.POST or None, seen=_seen(command.lines()))
    if request.method != "POST" and not command.lines():
        messages.info(request, "Nothing stands here that could be voided.")
        return redirect("story", code)
    sent = request.method == "POST" and form.is_valid()
    if sent and recorded(request, form, replace(command, reason=form.cleaned_data["reason"])):
        messages.success(request, f"{show_code(code)} is voided. All that was written of it stays readable.")
        return redirect("story", code)
    shown = _told(request, command, form) | {"code": code, "noun": read_code(code).noun}
    return render(request, "trace/void.html", shown)


def strike_entry(request: HttpRequest, number: int) -> HttpResponse:
    entry = get_object_or_404(Entry, pk=number)
    command = StrikeEntry(entry_number=number, reason="asked")
    form = ReasonForm(request.POST or None, seen=_seen(command.lines()))
    sent = request.method == "POST" and form.is_valid()
    if sent and recorded(request, form, replace(command, reason=form.cleaned_data["reason"])):
        messages.success(request, f"Entry {number} is struck and no longer counts. Write the right one now.")
        return redirect(_page_of(entry.stream))
    strikes = (told.struck for told in story(entry.stream) if told.line.number == number)
    shown = _told(request, command, form) | {
        "number": number,
        "struck": next(strikes, None),
        "is_strike": entry.kind == EntryStruck.kind,
    }
    return render(request, "trace/strike.html", shown)


@require_safe
def whole_story(request: HttpRequest, code: str) -> HttpResponse:
    """Every line about a code, also of what was voided and has no other page any more."""
    lines = lines_of(_stream_of(code, unit_alone=True), limits(Book()))
    shown = {
        "code": code,
        "noun": read_code(code).noun,
        "lines": lines,
        "stands": any(each["struck"] is None for each in lines),
        "page": page_of(read_code(code)),
    }
    return render(request, "trace/story.html", shown)


def _stream_of(code: str, *, unit_alone: bool = False) -> str:
    """The stream of the job; a unit is in hand with its donation, unless it is asked for alone."""
    if not has_story(code):
        raise Http404
    return f"unit/{code}" if unit_alone and code[0] == "U" else stream_for(code)


def _seen(lines: Sequence[Line]) -> dict[str, int]:
    return seen(*dict.fromkeys(line.stream for line in lines))


def _told(request: HttpRequest, asked: Correction, form: BenchForm) -> dict[str, Any]:
    """What would be struck, why it cannot be, or what follows from it."""
    now, zone, lines = datetime.now(UTC), limits(Book()).zone, asked.lines()
    why_not = list(dict.fromkeys(asked.why_not(Book(), now)))
    return {
        "form": form,
        "lines": [
            {"line": line, "title": title(line.fact), "detail": detail(line.fact, zone)} for line in lines
        ],
        "why_not": why_not,
        "effects": None if why_not else effects_of(lines, now),
        "others": sorted({line.by for line in lines} - {request.user.get_username()}),
    }


def _page_of(stream: str) -> str:
    """Where the right entry is written: the page of the thing, if it still stands."""
    code = stream.partition("/")[2]
    try:
        return page_of(read_code(code)) or reverse("story", args=[code])
    except BadCode:
        return reverse("limits" if stream.startswith("site/") else "journal")
