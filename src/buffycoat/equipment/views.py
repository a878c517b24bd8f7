"""Equipment: what is due, what is out of use, and one piece with its checks."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from buffycoat.equipment.forms import PASSED, CheckForm, EquipmentForm, WhyForm
from buffycoat.equipment.models import EquipmentRow
from buffycoat.equipment.paper import equipment_card, equipment_cards
from buffycoat.equipment.rules import (
    CheckEquipment,
    Equipment,
    EquipmentChecked,
    EquipmentRegistered,
    PutBack,
    PutBackInUse,
    RegisterEquipment,
    TakenOutOfUse,
    TakeOutOfUse,
)
from buffycoat.journal.book import Book, standing
from buffycoat.journal.facts import Fact
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.forms import BenchForm
from buffycoat.shell.recording import again, recorded, seen
from buffycoat.site.rules import limits

ASKED = [name for name in EquipmentForm.base_fields if name not in BenchForm.base_fields]


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One row of the list, with the word that tells how it stands."""

    row: EquipmentRow
    status: str
    word: str
    words: str = ""


def pieces() -> list[Piece]:
    """What is out of use first, then what is due soonest."""
    today, soon_days = timezone.localdate(), limits(Book()).whole("check_soon_days")
    found = [_piece(row, (row.due_on - today).days, soon_days) for row in EquipmentRow.objects.all()]
    return sorted(found, key=lambda piece: not piece.row.out_of_use)


def _piece(row: EquipmentRow, days: int, soon_days: int) -> Piece:
    if row.out_of_use:
        return Piece(row=row, status="stop", word="Out of use", words=row.out_of_use)
    if days < 0:
        return Piece(row=row, status="waiting", word="Overdue", words=f"Its check is {_days(-days)} overdue")
    if days <= soon_days:
        due = f"in {_days(days)}" if days else "today"
        return Piece(row=row, status="use-first", word="Due soon", words=f"Its check is due {due}")
    return Piece(row=row, status="ready", word="In use")


def _days(days: int) -> str:
    return f"{days} day{'' if days == 1 else 's'}"


def to_look_at() -> int:
    """How many pieces are out of use, or due soon or overdue for their check."""
    return sum(piece.status != "ready" for piece in pieces())


@require_safe
def every_piece(request: HttpRequest) -> HttpResponse:
    return render(request, "equipment/equipment.html", {"pieces": pieces()})


def new(request: HttpRequest) -> HttpResponse:
    form = EquipmentForm(request.POST or None, initial=again(request))
    if request.method == "POST" and form.is_valid():
        values: dict[str, Any] = {name: form.cleaned_data[name] or "" for name in ASKED}
        if done := recorded(request, form, RegisterEquipment(**values)):
            made = done.the(EquipmentRegistered)
            messages.success(request, f"{made.name} is registered. Next: print its card and put it on.")
            return redirect("equipment-piece", made.equipment)
    return render(request, "equipment/new.html", {"form": form})


@require_safe
def piece(request: HttpRequest, equipment: str) -> HttpResponse:
    row = get_object_or_404(EquipmentRow, pk=equipment)
    lines = [(line, *_told(line.fact)) for line in standing(f"{Equipment.stream}/{equipment}")]
    shown = {
        "piece": _piece(
            row, (row.due_on - timezone.localdate()).days, limits(Book()).whole("check_soon_days")
        ),
        "row": row,
        "lines": [line for line in reversed(lines) if line[1]],
        "taken_out": Book()(Equipment, equipment).taken_out,
    }
    return render(request, "equipment/piece.html", shown)


def _told(fact: Fact) -> tuple[str, str]:
    """What was done and what was found; nothing of facts that stand on the page already."""
    match fact:
        case EquipmentChecked():
            return "Passed its check" if fact.passed else "Did not pass its check", fact.found
        case TakenOutOfUse():
            return "Taken out of use", fact.reason
        case PutBackInUse():
            return "Back in use", fact.why
    return "", ""


def check(request: HttpRequest, equipment: str) -> HttpResponse:
    row = get_object_or_404(EquipmentRow, pk=equipment)
    form = CheckForm(request.POST or None, seen=seen(f"{Equipment.stream}/{equipment}"))
    if request.method == "POST" and form.is_valid():
        passed = form.cleaned_data["outcome"] == PASSED
        command = CheckEquipment(equipment=equipment, passed=passed, found=form.cleaned_data["found"])
        if done := recorded(request, form, command):
            due_on = done.the(EquipmentChecked).due_on
            became = f"The next check is due on {due_on:%d %b %Y}." if passed else "It is out of use now."
            messages.success(request, f"The check of {row.name} is recorded. {became}")
            return redirect("equipment-piece", equipment)
    return render(request, "equipment/check.html", {"form": form, "row": row})


def use(request: HttpRequest, equipment: str) -> HttpResponse:
    """Takes a piece out of use, or puts one back that was taken out."""
    row = get_object_or_404(EquipmentRow, pk=equipment)
    back = bool(Book()(Equipment, equipment).taken_out)
    form = WhyForm(request.POST or None, seen=seen(f"{Equipment.stream}/{equipment}"))
    form.fields["why"].label = "What was done, and how it was seen that it works" if back else "What is wrong"
    if request.method == "POST" and form.is_valid():
        why = form.cleaned_data["why"]
        command = (
            PutBack(equipment=equipment, why=why) if back else TakeOutOfUse(equipment=equipment, reason=why)
        )
        if recorded(request, form, command):
            messages.success(request, f"{row.name} is {'in use again' if back else 'out of use'}.")
            return redirect("equipment-piece", equipment)
    return render(request, "equipment/use.html", {"form": form, "row": row, "back": back})


@require_safe
def card(request: HttpRequest, equipment: str) -> HttpResponse:
    row = get_object_or_404(EquipmentRow, pk=equipment)
    return pdf_answer(equipment_card(row, limits(Book())), f"equipment-{equipment}")


@require_safe
def cards(request: HttpRequest) -> HttpResponse:
    return pdf_answer(equipment_cards(EquipmentRow.objects.all(), limits(Book())), "equipment")
