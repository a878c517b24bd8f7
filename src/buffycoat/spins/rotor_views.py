"""Rotors and their programmes, at the desk."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book
from buffycoat.people.second_person import checked_by
from buffycoat.science.centrifuge import rpm_from_rcf
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import again, recorded, seen
from buffycoat.shell.words import grouped
from buffycoat.site.rules import limits
from buffycoat.spins import forms
from buffycoat.spins.estimates import packed
from buffycoat.spins.models import RotorRow
from buffycoat.spins.paper import rotor_card, rotor_cards
from buffycoat.spins.rotors import ProgrammeWritten, RegisterRotor, Rotor, RotorRegistered, WriteProgramme


@require_safe
def rotors(request: HttpRequest) -> HttpResponse:
    return render(request, "spins/rotors.html", {"rotors": RotorRow.objects.prefetch_related("programmes")})


def new(request: HttpRequest) -> HttpResponse:
    form = forms.RotorForm(request.POST or None, initial=again(request))
    if request.method == "POST" and form.is_valid():
        values = {name: form.cleaned_data[name] for name in RegisterRotor.__dataclass_fields__}
        if done := recorded(request, form, RegisterRotor(**values)):
            said = f"{values['centrifuge']}, {values['name']} is registered with {values['places']} places."
            messages.success(request, f"{said} Next: write its validated programmes.")
            return redirect("rotor", done.the(RotorRegistered).rotor)
    return render(request, "spins/new_rotor.html", {"form": form})


def rotor(request: HttpRequest, rotor: str) -> HttpResponse:
    """The rotor with its programmes; the form writes a new one, or one anew under its name."""
    row = get_object_or_404(RotorRow, pk=rotor)
    form = forms.ProgrammeForm(request.POST or None, seen=seen(f"rotor/{rotor}"), initial=again(request))
    sent = request.method == "POST" and form.is_valid()
    second = checked_by(request, form) if sent else None
    command = (
        _programme(row, form.cleaned_data, request.user.get_username(), second)
        if second is not None
        else None
    )
    if command and (done := recorded(request, form, command)):
        written = done.the(ProgrammeWritten).programme
        force = f"{grouped(written.rpm)} rpm = {grouped(Book()(Rotor, rotor).rcf(written))} × g"
        messages.success(
            request, f"Programme {written.name} is written: {force}. It can be chosen for a spin now."
        )
        return redirect("rotor", rotor)
    depth_mm = limits(Book()).whole("bag_depth_mm")
    programmes = [(each, packed(each, depth_mm)) for each in row.programmes.all()]
    shown = {"form": form, "rotor": row, "programmes": programmes, "depth_mm": depth_mm}
    return render(request, "spins/rotor.html", shown)


def _programme(row: RotorRow, values: dict[str, Any], name: str, second: str) -> WriteProgramme:
    rpm = values["rpm"] or round(rpm_from_rcf(rcf=values["rcf"], radius_mm=row.radius_mm))
    return WriteProgramme(
        rotor=row.rotor,
        name=values["name"],
        species=values["species"],
        rpm=rpm,
        duration_s=values["minutes"] * 60,
        temperature_c=values["temperature_c"],
        brake=values["brake"],
        validated=values["validated"],
        set_by=name,
        checked_by=second,
    )


@require_safe
def card(request: HttpRequest, rotor: str) -> HttpResponse:
    row = get_object_or_404(RotorRow, pk=rotor)
    return pdf_answer(rotor_card(row, limits(Book())), f"rotor-{rotor}")


@require_safe
def cards(request: HttpRequest) -> HttpResponse:
    return pdf_answer(rotor_cards(RotorRow.objects.all(), limits(Book())), "rotors")
