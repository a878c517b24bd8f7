"""Storage: put away, stock, discard, and the places themselves."""

from datetime import UTC, datetime

from django.contrib import messages
from django.db.models import Count, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.draws.rules import DonationDiscarded
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import FRESH, FRIDGE, PRODUCTS, storage_range
from buffycoat.labels.rules import UnitDiscarded, UnitPutAway
from buffycoat.science.numbering import BadCode, read_code, show_code
from buffycoat.separation.rules import Separation, freezer_due_at
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.shell.words import clock, moment
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import Limits, limits
from buffycoat.storage import forms
from buffycoat.storage.models import OpenJobRow, PlaceRow
from buffycoat.storage.out_of_fridge import by_surface, in_minutes
from buffycoat.storage.paper import place_card, place_cards
from buffycoat.storage.places import OpenPlace, PlaceOpened
from buffycoat.storage.rules import DiscardUnit, PutAway, TakeOut
from buffycoat.storage.stock import stock as units_in_stock
from buffycoat.storage.stock import stocked

RETURN = ("return_by", "out_each_min", "out_total_min", "return_most_c")


def put_away(request: HttpRequest) -> HttpResponse:
    """Scan the unit, then the card on the door."""
    if not (asked := request.GET.get("unit", "")):
        return _find_unit(request)
    row = _unit(asked)
    unit = row.unit
    if request.method != "POST" and (elsewhere := _not_to_be_put_away(request, row)):
        return elsewhere
    site, product, before = limits(Book()), PRODUCTS[row.product], row.shelf.place
    drawn_from = seen(f"donation/{row.donation_id}")
    outings = row.shelf.outings
    measured = outings.since is not None and by_surface(site)
    form_class = forms.BringBackForm if measured else forms.PutAwayForm
    form = form_class(request.POST or None, seen=drawn_from, initial=again(request))
    if request.method == "POST" and form.is_valid():
        command = PutAway(
            unit=unit,
            place=form.cleaned_data["place"],
            looks_well=form.cleaned_data["looks_well"],
            surface_c=form.cleaned_data.get("surface_c"),
        )
        if recorded(request, form, command):
            place = PlaceRow.objects.get(pk=command.place)
            good_until = moment(row.expires_at, site.zone)
            kept = f"It is kept at {storage_range(product, site)} and is good until {good_until}."
            if row.shelf.held:
                kept = f"It waits there until this is settled: {row.shelf.held}."
            messages.success(request, f"{product.name} {show_code(unit)} is in {place.name}. {kept}")
            return redirect("unit", unit) if before else redirect("next-step", row.donation_id)
    shown = {
        "form": form,
        "unit": row,
        "product": product,
        "range": storage_range(product, site),
        "before": before,
        "before_when": when_done(f"donation/{row.donation_id}", UnitPutAway, unit=unit) if before else "",
        "places": PlaceRow.objects.filter(appliance=product.kept_in),
        "freezer_due_at": _freezer_due_at(row, site),
        "back_by": None if measured else outings.back_by(site),
        "out_before": in_minutes(outings.before_s) if outings.before_s else "",
        "may_go_out": before is not None and product.kept_in == FRIDGE,
    }
    return render(request, "storage/put_away.html", shown)


def _unit(text: str) -> UnitRow:
    try:
        unit = read_code(text, "U").text
    except BadCode:
        raise Http404 from None
    return get_object_or_404(UnitRow.objects.select_related("donation__donor", "shelf__place"), pk=unit)


def _find_unit(request: HttpRequest) -> HttpResponse:
    form = forms.FindUnitForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        unit = form.cleaned_data["unit"]
        if UnitRow.objects.filter(pk=unit).exists():
            return redirect(f"{request.path}?unit={unit}")
        form.refuse([f"No unit has the number {show_code(unit)}: scan its label again."], "unit")
    return render(request, "storage/find_unit.html", {"form": form})


def _not_to_be_put_away(request: HttpRequest, row: UnitRow) -> HttpResponse | None:
    if row.shelf.discarded:
        gone = when_done(f"donation/{row.donation_id}", UnitDiscarded, DonationDiscarded)
        messages.info(request, f"{show_code(row.unit)} is gone and cannot be put away: {gone}.")
        return redirect("unit", row.unit)
    if row.labelled_at is None:
        messages.info(
            request, f"Before {show_code(row.unit)} is put away, its label is scanned back from the bag."
        )
        return redirect("label-scan-back", row.donation_id)
    return None


def _freezer_due_at(row: UnitRow, site: Limits) -> datetime | None:
    if row.product != FRESH or row.shelf.put_away_at:
        return None
    return freezer_due_at(Book()(Separation, row.donation_id).draw, site)


def take_out(request: HttpRequest, unit: str) -> HttpResponse:
    """Out of the fridge with a scan of the bag: from then on its time runs."""
    row, site = _unit(unit), limits(Book())
    if row.shelf.place is None and request.method != "POST":
        return redirect("unit", unit)
    form = forms.TakeOutForm(request.POST or None, seen=seen(f"donation/{row.donation_id}"))
    if request.method == "POST" and form.is_valid():
        if form.cleaned_data["unit"] != unit:
            form.refuse([f"This is {show_code(form.cleaned_data['unit'])}: put that one back."], "unit")
        elif recorded(request, form, TakeOut(unit=unit)):
            back = "Where it comes back, its surface is measured."
            back_by = _unit(unit).shelf.outings.back_by(site)
            if back_by and not by_surface(site):
                back = f"Back by {clock(back_by, site.zone)}, or it is discarded."
            messages.success(request, f"{row.product_name} {show_code(unit)} is out. {back}")
            return redirect("unit", unit)
    before_s = row.shelf.out_before_s
    shown = {
        "form": form,
        "unit": row,
        "before": in_minutes(before_s) if before_s else "",
        "limits": [{"limit": LIMITS[key], "value": site.text(key)} for key in RETURN],
    }
    return render(request, "storage/take_out.html", shown)


def discard(request: HttpRequest, unit: str) -> HttpResponse:
    row = _unit(unit)
    if row.shelf.discarded and request.method != "POST":
        gone = when_done(f"donation/{row.donation_id}", UnitDiscarded, DonationDiscarded)
        messages.info(request, f"{show_code(unit)} is gone already, {gone}.")
        return redirect("unit", unit)
    form = forms.DiscardForm(request.POST or None, seen=seen(f"donation/{row.donation_id}"))
    if request.method == "POST" and form.is_valid():
        in_work = OpenJobRow.objects.filter(pk=row.donation_id).exists()
        if recorded(request, form, DiscardUnit(unit=unit, reason=form.reason)):
            messages.success(request, f"{show_code(unit)} is discarded and out of the stock: {form.reason}.")
            return redirect("next-step", row.donation_id) if in_work else redirect("unit", unit)
    shown = {"form": form, "unit": stocked(row, datetime.now(UTC), limits(Book()))}
    return render(request, "storage/discard.html", shown)


@require_safe
def places(request: HttpRequest) -> HttpResponse:
    holding = Count("units", filter=Q(units__discarded=""))
    return render(request, "storage/places.html", {"places": PlaceRow.objects.annotate(holding=holding)})


def new_place(request: HttpRequest) -> HttpResponse:
    form = forms.PlaceForm(request.POST or None, initial=again(request))
    if request.method == "POST" and form.is_valid():
        values = {name: form.cleaned_data[name] for name in ("name", "appliance", "room", "quarantine")}
        command = OpenPlace(**values, capacity=form.cleaned_data["capacity"] or 0)
        if done := recorded(request, form, command):
            said = f"The {command.appliance} {command.name} is open."
            messages.success(request, f"{said} Next: print its card for the door.")
            return redirect("place", done.the(PlaceOpened).place)
    return render(request, "storage/new_place.html", {"form": form})


@require_safe
def place(request: HttpRequest, place: str) -> HttpResponse:
    row, now, site = get_object_or_404(PlaceRow, pk=place), datetime.now(UTC), limits(Book())
    units = [unit for unit in units_in_stock(now, site) if unit.row.shelf.place_id == place]
    kept = [product for product in PRODUCTS.values() if product.kept_in == row.appliance]
    shown = {"place": row, "units": units, "kept": kept, "range": storage_range(kept[0], site)}
    return render(request, "storage/place.html", shown)


@require_safe
def card(request: HttpRequest, place: str) -> HttpResponse:
    row = get_object_or_404(PlaceRow, pk=place)
    return pdf_answer(place_card(row, limits(Book())), f"place-{place}")


@require_safe
def cards(request: HttpRequest) -> HttpResponse:
    return pdf_answer(place_cards(PlaceRow.objects.all(), limits(Book())), "places")
