"""Backups, the sheet of the day, and the shelf at a past moment."""

from datetime import UTC, datetime
from pathlib import Path

from django import forms
from django.conf import settings
from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from buffycoat.donors.rules import Donor
from buffycoat.journal.book import line_of
from buffycoat.journal.models import Entry, Head
from buffycoat.keeping import notes
from buffycoat.keeping.backup import back_up
from buffycoat.keeping.notes import CopyNote, DrillNote
from buffycoat.keeping.past import Compared, as_it_was, as_told_then, compare, shelf
from buffycoat.keeping.sealed_text import Damaged
from buffycoat.shell.fields import MomentField
from buffycoat.shell.words import grouped
from buffycoat.site.rules import STREAM
from buffycoat.storage.places import Place

SHOWN = 10


def backups(request: HttpRequest) -> HttpResponse:
    """The last good copy and the last drill; POST makes a copy now."""
    if request.method == "POST":
        return _copy_now(request)
    copies, drills, head = notes.read(CopyNote), notes.read(DrillNote), Head.objects.get(id=1)
    newest = copies[0] if copies else None
    shown = {
        "newest": newest,
        "newer": head.number - newest.entries if newest else head.number,
        "copies": copies[:SHOWN],
        "drill": drills[0] if drills else None,
        "head": head,
        "same_disk": _same_disk(settings.COPIES),
        "copies_folder": settings.COPIES,
    }
    return render(request, "keeping/backups.html", shown)


def _copy_now(request: HttpRequest) -> HttpResponse:
    try:
        note = back_up()
    except (OSError, Damaged) as trouble:
        words = getattr(trouble, "strerror", None) or str(trouble)
        messages.error(request, f"No copy was made: {words} Tell whoever keeps the server.")
    else:
        messages.success(request, f"A copy of {grouped(note.entries)} entries is made and was read back.")
    return redirect("backups")


def _same_disk(folder: Path) -> bool:
    """A copy beside its bank goes where the bank goes."""
    try:
        return folder.stat().st_dev == settings.DATA.stat().st_dev
    except OSError:
        return settings.DATA in folder.parents


@require_safe
def daily_sheet(request: HttpRequest) -> HttpResponse:
    """The head on paper, in groups that can be read aloud."""
    head, zone = Head.objects.get(id=1), timezone.get_current_timezone()
    today = datetime.now(UTC).astimezone(zone).date()
    of_today = Entry.objects.filter(
        recorded_at__gte=datetime.combine(today, datetime.min.time(), tzinfo=zone)
    ).count()
    groups = [head.hash[start : start + 8] for start in range(0, len(head.hash), 8)]
    shown = {"head": head, "groups": groups, "now": datetime.now(UTC), "of_today": of_today}
    return render(request, "keeping/daily_sheet.html", shown)


class MomentForm(forms.Form):
    moment = MomentField(label="What stood on the shelf at", required=True)


@require_safe
def stock_at(request: HttpRequest) -> HttpResponse:
    """The shelf as it was, beside what the book said of it at that moment."""
    form = MomentForm(request.GET if "moment" in request.GET else None)
    shown: dict[str, object] = {"form": form}
    if form.is_valid():
        at = form.cleaned_data["moment"]
        if at > datetime.now(UTC):
            form.add_error("moment", "That moment is still to come.")
        else:
            rows = shelf_twice(at)
            shown |= {"at": at, "rows": rows, "differing": sum(not row.same for row in rows)}
    return render(request, "keeping/stock_at.html", shown)


def shelf_twice(at: datetime) -> list[Compared]:
    """Reads the donations that had a unit put away by then, and what their state hangs on besides."""
    put_away = Entry.objects.filter(kind="unit-put-away", happened_at__lte=at).values("stream")
    wanted = (
        Q(stream__in=put_away)
        | Q(stream=STREAM)
        | Q(stream__startswith=f"{Place.stream}/")
        | Q(
            stream__startswith=f"{Donor.stream}/",
            kind__in=("donor-registered", "blood-typed", "entry-struck"),
        )
    )
    lines = [line_of(entry) for entry in Entry.objects.filter(wanted).order_by("number").iterator(2_000)]
    was, told = as_it_was(lines, at), as_told_then(lines, at)
    return compare(*(shelf(book, book.numbers("donation"), at) for book in (was, told)))
