"""Counting a place: scan each unit that stands in it, look again for what is missing, and record the count."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from buffycoat.science.numbering import show_code
from buffycoat.shell.recording import recorded, seen
from buffycoat.storage.counting import CountPlace
from buffycoat.storage.forms import CountForm
from buffycoat.storage.models import PlaceRow, ShelfRow
from buffycoat.storage.places import Place, PlaceCounted


def count(request: HttpRequest, place: str) -> HttpResponse:
    """What the book expects is told only when the counting is done, so that nobody counts what is written."""
    row = get_object_or_404(PlaceRow, pk=place)
    standing = ShelfRow.objects.filter(place=place, discarded="")
    expected = tuple(standing.order_by("unit_id").values_list("unit_id", flat=True))
    form = CountForm(request.POST or None, seen=seen(f"{Place.stream}/{place}"))
    shown = {"form": form, "place": row, "found": (), "done": False}
    if request.method == "POST" and form.is_valid():
        found, done = form.found, not form.cleaned_data["unit"] and "add" not in request.POST
        missing = [unit for unit in expected if unit not in found]
        strange = [unit for unit in found if unit not in expected]
        if done and ("record" in request.POST or not (missing or strange)):
            command = CountPlace(place=place, found=found, expected=expected)
            if result := recorded(request, form, command):
                messages.success(request, _said(row, result.the(PlaceCounted)))
                return redirect("place", place)
        shown |= {"found": found, "done": done, "missing": missing, "strange": strange}
        if found and not done:
            shown["last"] = show_code(found[-1])
        form.carry_on()
    return render(request, "storage/count.html", shown)


def _said(row: PlaceRow, fact: PlaceCounted) -> str:
    counted = f"{row.name} is counted: {len(fact.found)} units."
    if not fact.missing and not fact.misplaced:
        return f"{counted} All as in the book."
    return (
        f"{counted} {len(fact.missing)} missing, {len(fact.misplaced)} that should not be there: "
        "each waits as a problem until somebody settles it."
    )
