"""Thermometers: set up, their keys, their files, and what sensors send."""

import hmac
import tempfile
from pathlib import Path

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from buffycoat.journal.facts import Refused
from buffycoat.shell.words import grouped
from buffycoat.storage.models import PlaceRow
from buffycoat.temperatures import forms
from buffycoat.temperatures.coming_in import (
    Imported,
    Wrong,
    declared_of,
    import_file,
    read_pushed,
    take,
    too_often,
)
from buffycoat.temperatures.formats import Unclear
from buffycoat.temperatures.models import LOGGER, Thermometer, hash_of


def new(request: HttpRequest, place: str) -> HttpResponse:
    row = get_object_or_404(PlaceRow, pk=place)
    form = forms.ThermometerForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        made = Thermometer.objects.create(place=place, **form.cleaned_data)
        next_step = "read its first file in" if made.kind == LOGGER else "make its key"
        messages.success(request, f"{made.name} measures {row.name} from now on. Next: {next_step}.")
        return redirect("thermometer", made.pk)
    return render(request, "temperatures/new_thermometer.html", {"form": form, "place": row})


def thermometer(request: HttpRequest, number: int) -> HttpResponse:
    """Sent: it is taken out of use; its readings stay."""
    found = get_object_or_404(Thermometer, pk=number)
    if request.method == "POST":
        found.in_use, found.key_hash = False, None
        found.save(update_fields=["in_use", "key_hash"])
        messages.success(request, f"{found.name} is out of use. Its readings stay.")
        return redirect("temperature-trace", found.place)
    return _page(request, found)


def _page(request: HttpRequest, found: Thermometer, key: str = "") -> HttpResponse:
    shown = {"thermometer": found, "place": PlaceRow.objects.get(pk=found.place), "key": key}
    shown["said"] = declared_of(found)
    return render(request, "temperatures/thermometer.html", shown)


@require_POST
def new_key(request: HttpRequest, number: int) -> HttpResponse:
    """The key stands on this one answer and nowhere else: only its hash is kept."""
    found = get_object_or_404(Thermometer, pk=number, in_use=True)
    return _page(request, found, found.new_key())


def file(request: HttpRequest, number: int) -> HttpResponse:
    found = get_object_or_404(Thermometer, pk=number, in_use=True)
    sent = request.method == "POST"
    form = forms.FileForm(
        request.POST if sent else None, request.FILES if sent else None, before=declared_of(found)
    )
    if sent and form.is_valid():
        try:
            done = _imported(found, form)
        except (Unclear, Refused) as refused:
            for reason in refused.reasons:
                form.add_error(None, reason)
        else:
            messages.success(request, said_of(found, done))
            return redirect("temperature-trace", found.place)
    place = PlaceRow.objects.get(pk=found.place)
    return render(request, "temperatures/file.html", {"form": form, "thermometer": found, "place": place})


def _imported(found: Thermometer, form: forms.FileForm) -> Imported:
    sent: UploadedFile = form.cleaned_data["file"]
    with tempfile.NamedTemporaryFile(suffix=".txt") as kept:
        for piece in sent.chunks():
            kept.write(piece)
        kept.flush()
        return import_file(found, Path(kept.name), form.declared)


def said_of(found: Thermometer, done: Imported) -> str:
    more = [
        f"{grouped(many)} {words}"
        for many, words in (
            (done.added.known, "were there already"),
            (done.file.repeated, "stood in the file twice"),
            (done.file.without_value, "had no temperature"),
        )
        if many
    ]
    told = f"{found.name}: {grouped(done.added.new)} new readings of {grouped(done.file.rows)} rows"
    return ". ".join(filter(None, (told, ", ".join(more)))) + "."


@csrf_exempt
@require_POST
def readings(request: HttpRequest) -> HttpResponse:
    """A sensor tells what it measured. It is known by its key, not by a person."""
    key = request.headers.get("Authorization", "").removeprefix("Bearer ")
    found = Thermometer.objects.filter(key_hash=hash_of(key), in_use=True).first() if key else None
    if found is None or not hmac.compare_digest(found.key_hash or "", hash_of(key)):
        return JsonResponse(
            {"why": "No thermometer has this key."}, status=401, headers={"WWW-Authenticate": "Bearer"}
        )
    if too_often(found):
        return JsonResponse(
            {"why": "Too often: send several readings at once."}, status=429, headers={"Retry-After": "60"}
        )
    try:
        added = take(found, read_pushed(request.body))
    except Wrong as wrong:
        return JsonResponse({"why": str(wrong)}, status=400)
    except Refused as refused:
        return JsonResponse({"why": str(refused)}, status=409)
    return JsonResponse({"new": added.new, "known": added.known})
