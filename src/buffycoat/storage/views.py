"""Storage: put away, stock, discard, and the places themselves."""

from datetime import UTC, datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import PRODUCTS, storage_range
from buffycoat.science.numbering import show_code
from buffycoat.shell.recording import recorded, seen
from buffycoat.site.rules import limits
from buffycoat.storage import forms
from buffycoat.storage.models import PlaceRow
from buffycoat.storage.paper import place_card
from buffycoat.storage.pictures import shelf_strip
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import DiscardUnit, PutAway
from buffycoat.storage.stock import stock as units_in_stock
from buffycoat.storage.stock import stocked


def put_away(request: HttpRequest) -> HttpResponse:
    """Scan the unit, then the card on the door."""
    unit = request.GET.get("unit", "")
    if not unit:
        form = forms.FindUnitForm(request.POST or None)
        if request.method == "POST" and form.is_valid():
            return redirect(f"{request.path}?unit={form.cleaned_data['unit']}")
        return render(request, "storage/find_unit.html", {"form": form})
    row = get_object_or_404(UnitRow.objects.select_related("donation__donor", "shelf__place"), pk=unit)
    site, product = limits(Book()), PRODUCTS[row.product]
    form = forms.PutAwayForm(request.POST or None, seen=seen(f"donation/{row.donation_id}"))
    if request.method == "POST" and form.is_valid():
        command = PutAway(unit=unit, place=form.cleaned_data["place"], looks_well=form.cleaned_data["looks_well"])
        if recorded(request, form, command):
            place = PlaceRow.objects.get(pk=command.place)
            messages.success(request, f"{product.name} {show_code(unit)} is in {place.name}.")
            return redirect("next-step", row.donation_id)
    shown = {"form": form, "unit": row, "product": product, "range": storage_range(product, site)}
    return render(request, "storage/put_away.html", shown)


@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    """What is on the shelves, the first to expire first."""
    now, site = datetime.now(UTC), limits(Book())
    units = [unit for unit in units_in_stock(now, site) if _wanted(request, unit.row)]
    shown = {"units": units, "strip": shelf_strip(units, now, site), "counts": _counts(units), "asked": request.GET}
    return render(request, "storage/stock.html", shown)


def _wanted(request: HttpRequest, row: UnitRow) -> bool:
    asked = {name: request.GET.get(name) for name in ("species", "product", "blood_type")}
    return all(not value or getattr(row, name) == value for name, value in asked.items())


def _counts(units: list) -> list[dict]:
    """How many units of each kind, with the first day on which one of them expires."""
    kinds: dict[tuple[str, str, str], list] = {}
    for unit in units:
        kinds.setdefault((unit.row.species, unit.product.name, unit.row.blood_type), []).append(unit)
    return [
        {
            "species": species,
            "product": product,
            "blood_type": blood_type,
            "count": len(found),
            "first": found[0].row.expires_at,
            "product_key": found[0].row.product,
        }
        for (species, product, blood_type), found in sorted(kinds.items())
    ]


def discard(request: HttpRequest, unit: str) -> HttpResponse:
    row = get_object_or_404(UnitRow.objects.select_related("donation__donor", "shelf__place"), pk=unit)
    form = forms.DiscardForm(request.POST or None, seen=seen(f"donation/{row.donation_id}"))
    if request.method == "POST" and form.is_valid():
        reason = ": ".join(filter(None, (form.cleaned_data["why"].capitalize(), form.cleaned_data["more"])))
        if recorded(request, form, DiscardUnit(unit=unit, reason=reason)):
            messages.success(request, f"{show_code(unit)} is discarded. {reason}.")
            return redirect("unit", unit)
    now, site = datetime.now(UTC), limits(Book())
    shown = {"form": form, "unit": stocked(row, now, site)}
    return render(request, "storage/discard.html", shown)


@require_safe
def places(request: HttpRequest) -> HttpResponse:
    return render(request, "storage/places.html", {"places": PlaceRow.objects.prefetch_related("units")})


def new_place(request: HttpRequest) -> HttpResponse:
    form = forms.PlaceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        command = OpenPlace(name=form.cleaned_data["name"], appliance=form.cleaned_data["appliance"])
        if done := recorded(request, form, command):
            messages.success(request, f"{command.name} is open. Print its card and fix it to the door.")
            return redirect("place", done.the(PlaceOpened).place)
    return render(request, "storage/new_place.html", {"form": form})


@require_safe
def place(request: HttpRequest, place: str) -> HttpResponse:
    row, now, site = get_object_or_404(PlaceRow, pk=place), datetime.now(UTC), limits(Book())
    units = [unit for unit in units_in_stock(now, site) if unit.row.shelf.place_id == place]
    return render(request, "storage/place.html", {"place": row, "units": units})


@require_safe
def card(request: HttpRequest, place: str) -> HttpResponse:
    row = get_object_or_404(PlaceRow, pk=place)
    return HttpResponse(place_card(row, limits(Book())), content_type="application/pdf")
