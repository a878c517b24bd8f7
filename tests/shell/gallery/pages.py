"""A page for every part of the shell, with invented data. It lives with the tests; the product has no such page."""

from datetime import date, timedelta

from django import forms as django_forms
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import include, path
from django.utils import timezone

from buffycoat.science.numbering import make_code
from buffycoat.shell.forms import (
    BenchForm,
    ChoiceField,
    CodeField,
    DayField,
    GramsField,
    KilogramsField,
    ListField,
    MomentField,
    PercentField,
    TickField,
    WordsField,
)
from buffycoat.shell.pictures import Picture, shapes
from buffycoat.shell.pictures.bag import Layer, StopLine, draw_bag
from buffycoat.shell.pictures.family import Node, draw_family
from buffycoat.shell.pictures.rotor import Place, draw_rotor
from buffycoat.shell.pictures.shelf_strip import Unit as ShelfUnit
from buffycoat.shell.pictures.shelf_strip import draw_shelf_strip
from buffycoat.shell.pictures.timeline import Event, draw_timeline

DONATION = make_code("G", "KTRA", 4217)


class WeighForm(BenchForm):
    plasma_g = GramsField(label="Plasma with its bag", most=1500, usual=(180, 320))


class LookForm(BenchForm):
    look = ChoiceField(
        label="Look",
        choices=[("clear", "Clear"), ("red", "Red"), ("milky", "Milky"), ("clots", "Clots")],
        notes={
            "red": "Cells have burst: the plasma is not used.",
            "clots": "A clot discards the whole donation.",
        },
    )
    bag = CodeField(label="Bag", kinds="U", hint="Scan it, or type its code.")
    sure = TickField(label="Both clamps are closed")


class DonorForm(BenchForm):
    name = WordsField(label="Name", hint="As the owner calls the animal.")
    born_on = DayField(label="Born on")
    species = ListField(label="Species", choices=[("dog", "Dog"), ("cat", "Cat")])
    weight_g = KilogramsField(label="Weight", least=1000, most=120_000)
    pcv_permille = PercentField(label="PCV of the day", usual=(380, 550), required=False)
    examined_at = MomentField(label="Examined at", required=False)
    cautions = WordsField(label="Cautions", lines=3, required=False)


def _form(request: HttpRequest, kind: type[BenchForm], **typed: str) -> django_forms.Form:
    if "wrong" not in request.GET:
        return kind()
    return kind({"command_id": "3b0e1f6c-5d1f-4f6d-9a64-0f2d8f1d8a11", **typed})


def scanned(request: HttpRequest) -> HttpResponse:
    """Says back what came, so that a test sees what a scan sent."""
    came = request.POST.get("bag", "") if request.method == "POST" else request.GET.get("code", "")
    return HttpResponse(f"<!doctype html><title>{request.method} {came}</title>")


def weigh(request: HttpRequest) -> HttpResponse:
    due = timezone.now() + timedelta(minutes=134)
    form = _form(request, WeighForm, plasma_g="23l g")
    return render(
        request, "gallery/weigh.html", {"form": form, "due": due, "donation": DONATION, "picture": bag()}
    )


def choose(request: HttpRequest) -> HttpResponse:
    if request.method == "POST":
        return scanned(request)
    return render(request, "gallery/choose.html", {"form": _form(request, LookForm), "donation": DONATION})


def today(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    jobs = [
        {
            "words": "Express the plasma",
            "code": DONATION,
            "species": "dog",
            "label": "Freezer by",
            "due": now + timedelta(hours=3),
        },
        {
            "words": "Take out of the centrifuge",
            "code": make_code("R", "KTRA", 88),
            "species": "dog",
            "label": "Due",
            "due": now + timedelta(minutes=4),
        },
        {
            "words": "Put away the red cells",
            "code": make_code("U", "KTRA", 120),
            "species": "cat",
            "label": "Due",
            "due": now - timedelta(minutes=12),
        },
    ]
    form = _form(request, DonorForm, name="", weight_g="23,4", born_on="3/4/2020", pcv_permille="44.55")
    return render(request, "gallery/today.html", {"jobs": jobs, "form": form, "due": now})


def stock(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    products = ["Red cells in additive", "Fresh frozen plasma", "Whole blood", "Frozen plasma"]
    units = [
        {
            "code": make_code("U", "KTRA", 4200 + number),
            "species": "cat" if number % 4 == 3 else "dog",
            "product": products[number % 4],
            "type": "A" if number % 4 == 3 else "DEA 1 positive",
            "ml": 180 + 37 * number,
            "place": "Fridge 2, shelf B",
            "expires": now + timedelta(days=3 + 5 * number),
            "status": list(shapes.WORDS)[number % 7],
        }
        for number in range(9)
    ]
    return render(
        request,
        "gallery/stock.html",
        {"units": units, "statuses": list(shapes.WORDS), "pictures": [family(), strip()]},
    )


def pictures(request: HttpRequest) -> HttpResponse:
    return render(
        request,
        "gallery/many.html",
        {"pictures": [rotor(), rotor(4, 0), rotor(12, 5), family(), timeline(), strip(), bag()]},
    )


LAYERS = (Layer("plasma", 258, 265), Layer("buffy coat", 5, 5), Layer("red cells", 250, 270))


def bag() -> Picture:
    return draw_bag(LAYERS, stop_line=StopLine(express_ml=225, express_g=231, leave_ml=33))


def rotor(count: int = 6, fill: int = 8) -> Picture:
    codes = [make_code("G", "KTRA", 4210 + number) for number in range(count)]
    masses = [583, 590, 601, 583, 582, 597, 580, 590, 601, 583, 582, 597]
    places = [
        Place(label=str(i + 1), bag_code=codes[i], bag_g=masses[i % 12], filler_g=fill if i % 3 == 1 else 0)
        for i in range(count)
    ]
    places[-1] = Place(label=str(count), filler_g=612)
    return draw_rotor(places, pair_limit_g=10)


def family() -> Picture:
    nodes = [
        Node(
            key="d", title="Bramble (invented)", lines=("dog, DEA 1 negative", "DKTRA-0000012-41"), href="/"
        ),
        Node(
            key="g",
            title="Donation 4217",
            lines=("24 Oct 2026, 09:10", "450 mL into a bag set of three"),
            href="/",
        ),
        Node(
            key="r",
            title="Red cells",
            lines=("in additive, 318 mL", "Fridge 2, shelf B"),
            status="ready",
            href="/",
        ),
        Node(key="p", title="Plasma", lines=("225 mL", "Freezer 1"), status="promised", href="/"),
        Node(
            key="x", title="Plasma, label 1", lines=("printed twice by mistake",), status="stop", struck=True
        ),
    ]
    return draw_family(nodes, [("d", "g"), ("g", "r"), ("g", "p"), ("g", "x")])


def timeline() -> Picture:
    at = "24 Oct 2026, "
    events = [
        Event(
            at_text=at + "09:10",
            minute_offset=0,
            title="Draw begun",
            detail="Bag set lot 22-118, anticoagulant 63 mL",
            by="Ines Okafor",
        ),
        Event(
            at_text=at + "09:19",
            minute_offset=9,
            title="Draw ended",
            detail="450 mL, 474 g",
            by="Ines Okafor",
        ),
        Event(
            at_text=at + "09:24",
            minute_offset=14,
            title="Weighed 541 g",
            detail="Struck: read from the wrong scale",
            by="Tom Bell",
            struck=True,
        ),
        Event(
            at_text=at + "11:02",
            minute_offset=112,
            title="Spun",
            detail="Rotor 2, place 4, programme “dog, hard spin”: 4 200 rpm for 12 min at 4 °C",
            by="Tom Bell",
        ),
        Event(
            at_text=at + "11:40", minute_offset=150, title="Plasma pressed off", detail="231 g", by="Tom Bell"
        ),
        Event(
            at_text="25 Oct 2026, 08:05",
            minute_offset=1375,
            title="Put away",
            detail="Freezer 1, drawer 3",
            by="Ines Okafor",
        ),
    ]
    return draw_timeline(events)


def strip() -> Picture:
    today = date(2026, 10, 24)
    units = [
        ShelfUnit(
            name=f"…{4200 + i} red cells in additive",
            note="dog, DEA 1 negative",
            starts_on=today - timedelta(days=max(0, 30 - 5 * i)),
            expires_on=today + timedelta(days=-1 + 6 * i),
            promised=i % 3 == 1,
        )
        for i in range(7)
    ]
    units.append(
        ShelfUnit(
            name="…4310 fresh frozen plasma", note="dog", starts_on=today, expires_on=date(2027, 10, 20)
        )
    )
    return draw_shelf_strip(units, today=today)


urlpatterns = [
    path("", include("buffycoat.shell.urls")),
    path("scan/", scanned),
    path("still-here/", lambda request: JsonResponse({"left_s": 1800})),
    path("weigh/", weigh),
    path("choose/", choose),
    path("today/", today),
    path("stock/", stock),
    path("pictures/", pictures),
]
