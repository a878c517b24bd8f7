"""Temperatures of all places, the trace of one, and a thermometer read by hand."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.journal.book import Book
from buffycoat.science.numbering import show_code
from buffycoat.shell.recording import recorded, seen
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.models import PlaceRow
from buffycoat.temperatures import forms
from buffycoat.temperatures.alarms import temperatures
from buffycoat.temperatures.bands import CAUSES, Band, band_of
from buffycoat.temperatures.mail import tell_what_is_due
from buffycoat.temperatures.models import AlarmRow, Thermometer, WatchRan
from buffycoat.temperatures.pictures import draw_trace
from buffycoat.temperatures.rules import ReadTemperature
from buffycoat.temperatures.tracing import WINDOWS, traced
from buffycoat.temperatures.watching import look_at
from buffycoat.temperatures.words import band_words, degrees

WATCH_IS_LATE = timedelta(minutes=10)


@dataclass(frozen=True, kw_only=True)
class PlaceNow:
    """`state` says how its last reading stands to its band."""

    row: PlaceRow
    band: str
    last: str
    last_at: datetime | None
    state: str
    thermometers: list[Thermometer]


@require_safe
def all_places(request: HttpRequest) -> HttpResponse:
    now, site = datetime.now(UTC), limits(Book())
    by_place: dict[str, list[Thermometer]] = {}
    for each in Thermometer.objects.filter(in_use=True):
        by_place.setdefault(each.place, []).append(each)
    places = [_now(row, by_place.get(row.place, []), site) for row in PlaceRow.objects.all()]
    ran = WatchRan.objects.first()
    shown = {
        "places": places,
        "open": open_alarms(),
        "closed": with_names(AlarmRow.objects.filter(closed_at__isnull=False).order_by("-closed_at")[:20]),
        "watched": ran,
        "unwatched": by_place and (ran is None or now - ran.at > WATCH_IS_LATE),
    }
    return render(request, "temperatures/temperatures.html", shown)


def _now(row: PlaceRow, measured: list[Thermometer], site: Limits) -> PlaceNow:
    band = band_of(row.appliance, site)
    told = [(each.last_at, each.last_centi_c) for each in measured if each.last_at]
    if not measured:
        told = [(at, fact.now_centi_c) for at, fact in temperatures(Book(), row.place).read[-1:]]
    at, centi_c = max(told, key=lambda each: _beyond(each[1] or 0, band), default=(None, None))
    state = (
        "never measured" if centi_c is None else "in its range" if band.holds(centi_c) else "out of its range"
    )
    return PlaceNow(
        row=row,
        band=band_words(band),
        last="" if centi_c is None else degrees(centi_c),
        last_at=at,
        state=state,
        thermometers=measured,
    )


def _beyond(centi_c: int, band: Band) -> int:
    return max(centi_c - band.high_centi_c, band.low_centi_c - centi_c)


def with_names(alarms: Iterable[AlarmRow]) -> list[dict[str, object]]:
    names = dict(PlaceRow.objects.values_list("place", "name"))
    return [
        {"row": row, "place": names.get(row.place, row.place), "words": CAUSES[row.cause]} for row in alarms
    ]


def open_alarms() -> list[dict[str, object]]:
    """For the page Today."""
    return with_names(AlarmRow.objects.filter(closed_at=None))


@require_safe
def trace(request: HttpRequest, place: str) -> HttpResponse:
    row = get_object_or_404(PlaceRow, pk=place)
    asked = request.GET.get("days", "")
    days = int(asked) if asked in map(str, WINDOWS) else 1
    found = traced(row, datetime.now(UTC), days, limits(Book()))
    shown = {
        "place": row,
        "found": found,
        "picture": draw_trace(found) if found.lines else None,
        "days": days,
        "windows": WINDOWS,
        "thermometers": Thermometer.objects.filter(place=place),
        "alarms": with_names(AlarmRow.objects.filter(place=place).order_by("-opened_at")[:20]),
    }
    return render(request, "temperatures/trace.html", shown)


def find_place(request: HttpRequest) -> HttpResponse:
    form = forms.FindPlaceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        place = form.cleaned_data["place"]
        if PlaceRow.objects.filter(pk=place).exists():
            return redirect("temperature-read", place)
        form.refuse([f"No place has the number {show_code(place)}: scan the card on the door."], "place")
    return render(request, "temperatures/find_place.html", {"form": form})


def read(request: HttpRequest, place: str) -> HttpResponse:
    """Now, least and most, read at the door; the thermometer is set back afterwards."""
    row, site = get_object_or_404(PlaceRow, pk=place), limits(Book())
    form = forms.ReadForm(request.POST or None, seen=seen(f"temperatures/{place}"))
    if request.method == "POST" and form.is_valid():
        values = {name: form.cleaned_data[name] for name in ("now_centi_c", "least_centi_c", "most_centi_c")}
        if recorded(request, form, ReadTemperature(place=place, **values)):
            look_at(place)
            tell_what_is_due()
            said = f"{row.name}: {degrees(values['now_centi_c'])}, written down."
            alarm = AlarmRow.objects.filter(place=place, closed_at=None).first()
            messages.success(request, f"{said} Set the thermometer back.")
            return redirect("alarm", alarm.alarm) if alarm else redirect("temperature-find")
    before = temperatures(Book(), place).read[-1:]
    shown = {
        "form": form,
        "place": row,
        "band": band_words(band_of(row.appliance, site)),
        "before": before[0][0] if before else None,
        "every_h": site.whole("hand_reading_h"),
    }
    return render(request, "temperatures/read.html", shown)
