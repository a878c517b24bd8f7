"""A list kept before: its columns are said, every row is looked at, then it comes in. And lists to take away."""

import hashlib
import json
from datetime import UTC, datetime
from pathlib import PurePath

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from buffycoat.journal.facts import Refused
from buffycoat.lists.columns import Kind
from buffycoat.lists.deciding import HERE, REFUSED, TAKEN, Judged, Told, bring_in, fingerprint, judged
from buffycoat.lists.forms import BringForm, ColumnsForm, FileForm
from buffycoat.lists.models import KnownColumns, ListInHand, as_text, throw_away_old
from buffycoat.lists.out import FORMS, TABLES, as_csv, refused_lines
from buffycoat.lists.rows import Choices
from buffycoat.lists.sheet import Sheet
from buffycoat.people.may import may
from buffycoat.people.roles import roles_of

SHOWN = 100  # rows of one verdict on a page
FIRST_ROWS = 3


def lists(request: HttpRequest) -> HttpResponse:
    now = datetime.now(UTC)
    throw_away_old(now)
    sent = request.method == "POST"
    form = FileForm(request.POST, request.FILES) if sent else FileForm()
    if sent and form.is_valid():
        return _taken_in_hand(request, form, now)
    shown = {
        "form": form,
        "in_hand": ListInHand.objects.all(),
        "kinds": [(kind, list(FORMS)) for kind in TABLES],
        "may_bring_in": may(roles_of(request.user), "lists", "POST"),
        "problems_title": "Not read",
    }
    return render(request, "lists/lists.html", shown)


def _taken_in_hand(request: HttpRequest, form: FileForm, now: datetime) -> HttpResponse:
    sheet: Sheet = form.cleaned_data["sheet"]
    held = ListInHand(
        kind=form.cleaned_data["kind"],
        file_name=_name(form.cleaned_data["file"].name),
        by=request.user.get_username(),
        came_at=now,
        table=as_text(sheet),
    )
    known = KnownColumns.objects.filter(pk=_digest(held.of, sheet)).first()
    held.choices = known.choices if known else ""
    held.save()
    if known:
        messages.info(
            request, "A list with these headings was here before: its columns are chosen as they were then."
        )
        return redirect("list-rows", held.pk)
    return redirect("list", held.pk)


def _name(given: str) -> str:
    name = "".join(each for each in PurePath(given.replace("\\", "/")).name if each.isprintable())
    return name[-80:] or "list"


def _digest(kind: Kind, sheet: Sheet) -> str:
    return hashlib.sha256(json.dumps([kind.key, *sheet.headings]).encode()).hexdigest()


def columns(request: HttpRequest, number: int) -> HttpResponse:
    held = get_object_or_404(ListInHand, pk=number)
    sheet = held.sheet
    chosen = held.chosen if held.choices else None
    form = ColumnsForm(held.of, sheet, request.POST or None, choices=chosen)
    if request.method == "POST" and form.is_valid():
        held.choices = json.dumps(form.choices().as_text())
        held.save(update_fields=["choices"])
        known = json.dumps(Choices(columns=form.choices().columns).as_text())
        KnownColumns(headings=_digest(held.of, sheet), choices=known).save()
        return redirect("list-rows", number)
    shown = {
        "form": form,
        "held": held,
        "sheet": sheet,
        "first": _first_rows(sheet),
        "problems_title": "Not clear yet",
    }
    return render(request, "lists/columns.html", shown)


def _first_rows(sheet: Sheet) -> list[tuple[int, list[str]]]:
    width = len(sheet.headings)
    padded = ((row.number, [*row.cells, *[""] * width][:width]) for row in sheet.rows[:FIRST_ROWS])
    return [(number, [cell[:40] for cell in cells]) for number, cells in padded]


def _told(held: ListInHand) -> Told:
    chosen: Choices = held.chosen
    return Told(kind=held.of, sheet=held.sheet, choices=chosen, source=held.file_name)


def rows(request: HttpRequest, number: int) -> HttpResponse:
    """Every row with its verdict; sending it brings in all that are taken, or none."""
    held = get_object_or_404(ListInHand, pk=number)
    if not held.choices:
        return redirect("list", number)
    told = _told(held)
    reasons: tuple[str, ...] = ()
    form = BringForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            done = bring_in(told, by=request.user.get_username(), expected=form.cleaned_data["expected"])
        except Refused as refused:
            reasons = refused.reasons
        else:
            messages.success(request, _said(done))
            return redirect("list-rows", number)
    found = judged(told)
    shown = {
        "held": held,
        "reasons": reasons,
        "form": BringForm(initial={"expected": fingerprint(found)}),
        "tables": [
            _table(found, *each)
            for each in ((REFUSED, "Refused"), (TAKEN, "To be brought in"), (HERE, "Here already"))
        ],
        "count": {"taken": _of(found, TAKEN), "refused": _of(found, REFUSED), "here": _of(found, HERE)},
        "problems_title": "Nothing was brought in",
    }
    return render(request, "lists/rows.html", shown)


def _of(found: list[Judged], verdict: str) -> int:
    return sum(row.verdict == verdict for row in found)


def _table(found: list[Judged], verdict: str, title: str) -> dict[str, object]:
    those = [row for row in found if row.verdict == verdict]
    return {"title": title, "verdict": verdict, "rows": those[:SHOWN], "more": max(0, len(those) - SHOWN)}


def _said(done: list[Judged]) -> str:
    taken, refused = _of(done, TAKEN), _of(done, REFUSED)
    said = f"Rows brought in: {taken}."
    return (
        f"{said} Refused and left out: {refused}. Take them away as a list, correct them, and bring that in."
        if refused
        else said
    )


@require_safe
def refused(request: HttpRequest, number: int) -> HttpResponse:
    """The refused rows as they came, with the reasons before them."""
    held = get_object_or_404(ListInHand, pk=number)
    if not held.choices:
        raise Http404
    told = _told(held)
    return _file(as_csv(refused_lines(told, judged(told))), "text/csv; charset=utf-8", "refused.csv")


@require_POST
def close(request: HttpRequest, number: int) -> HttpResponse:
    get_object_or_404(ListInHand, pk=number).delete()
    messages.success(request, "The list is thrown away here. What was brought in stays.")
    return redirect(reverse("lists"))


@require_safe
def out(request: HttpRequest, kind: str, form: str) -> HttpResponse:
    if kind not in TABLES or form not in FORMS:
        raise Http404
    write, content_type = FORMS[form]
    owners = may(roles_of(request.user), "donor-owner")
    content = write(TABLES[kind](owners=owners, now=datetime.now(UTC)))
    return _file(content, content_type, f"{kind}.{form}")


def _file(content: bytes, content_type: str, name: str) -> HttpResponse:
    named = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return HttpResponse(content, content_type=content_type, headers=named)
