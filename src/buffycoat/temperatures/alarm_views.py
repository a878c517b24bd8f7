"""One alarm from its opening to the last decision."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import PRODUCTS
from buffycoat.shell.recording import recorded, seen
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import limits
from buffycoat.storage.models import PlaceRow
from buffycoat.temperatures import forms
from buffycoat.temperatures.alarms import Alarm, Stays, temperatures
from buffycoat.temperatures.bands import CAUSES, SILENT, band_of
from buffycoat.temperatures.facts import ExposureJudged
from buffycoat.temperatures.judging import VERDICTS, Advice
from buffycoat.temperatures.models import AlarmRow
from buffycoat.temperatures.rules import AcknowledgeAlarm, JudgeExposed, advice_for
from buffycoat.temperatures.words import band_words, degrees


@dataclass(frozen=True, kw_only=True)
class Inside:
    """A unit that was in there; `field` is its choice on the form, while it waits."""

    unit: str
    product: str
    minutes: int
    rule: str
    because: str
    judged: ExposureJudged | None
    verdict: str
    field: object = None


def alarm(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(AlarmRow, pk=number)
    found = temperatures(Book(), row.place).alarms[number]
    form = forms.AcknowledgeForm(request.POST or None, seen=seen(f"temperatures/{row.place}"))
    if request.method == "POST" and form.is_valid():
        command = AcknowledgeAlarm(place=row.place, alarm=number, note=form.cleaned_data["note"])
        if recorded(request, form, command):
            messages.success(request, f"Alarm {number} is yours: {command.note}")
            return redirect("alarm", number)
    return render(request, "temperatures/alarm.html", _shown(found) | {"form": form})


def judge(request: HttpRequest, number: int) -> HttpResponse:
    row = get_object_or_404(AlarmRow, pk=number)
    found = temperatures(Book(), row.place).alarms[number]
    waiting = [(unit, rule.verdict) for unit in found.to_judge if (rule := advice_for(Book(), unit, found))]
    form = forms.JudgeForm(request.POST or None, units=waiting, seen=seen(f"temperatures/{row.place}"))
    if request.method == "POST" and form.is_valid():
        command = JudgeExposed(
            place=row.place,
            alarm=number,
            verdicts=form.verdicts,
            judged_by=request.user.get_username(),
            why=form.cleaned_data["why"],
        )
        if recorded(request, form, command):
            messages.success(request, _said(command))
            return redirect("alarm", number)
    return render(request, "temperatures/judge.html", _shown(found, form) | {"form": form})


def _said(command: JudgeExposed) -> str:
    by_verdict = {
        words: sum(each.verdict == verdict for each in command.verdicts)
        for verdict, words in VERDICTS.items()
    }
    told = ", ".join(f"{words.lower()} {many}" for words, many in by_verdict.items() if many)
    return f"Decided: {told}. Take what is discarded off the shelf now."


def _shown(found: Alarm, form: forms.JudgeForm | None = None) -> dict[str, object]:
    site, place = limits(Book()), PlaceRow.objects.get(pk=found.place)
    rows = {row.unit: row for row in UnitRow.objects.filter(pk__in=found.units)}
    band = found.cause != SILENT
    inside = [_inside(rows[unit], found, form) for unit in found.units if unit in rows] if band else []
    keys = dict.fromkeys(key for unit in found.units if (rule := _rule(unit, found)) for key in rule.keys)
    return {
        "alarm": found,
        "place": place,
        "cause": CAUSES[found.cause],
        "band": band_words(band_of(place.appliance, site)),
        "extreme": "" if found.extreme_centi_c is None else degrees(found.extreme_centi_c),
        "inside": inside,
        "limits": [{"limit": LIMITS[key], "value": site.whole(key)} for key in keys],
    }


def _rule(unit: str, found: Alarm) -> Advice | None:
    return advice_for(Book(), unit, found) if found.extreme_centi_c is not None else None


def _inside(row: UnitRow, found: Alarm, form: forms.JudgeForm | None) -> Inside:
    judged, rule = found.judged.get(row.unit), _rule(row.unit, found)
    asked = form is not None and row.unit in form.fields
    return Inside(
        unit=row.unit,
        product=PRODUCTS[row.product].name,
        minutes=judged.minutes if judged else Book()(Stays, row.donation_id).minutes(row.unit, found),
        rule=VERDICTS[judged.rule] if judged else VERDICTS[rule.verdict] if rule else "",
        because=judged.because if judged else rule.because if rule else "",
        judged=judged,
        verdict=VERDICTS[judged.verdict] if judged else "",
        field=form[row.unit] if form is not None and asked else None,
    )
