"""Changes of state at the bench: choose what happens to a unit, then one question a page."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buffycoat.benches.weighing import Window, scale_of
from buffycoat.changes import forms
from buffycoat.changes.rules import (
    DivideUnit,
    FreezeUnit,
    InHand,
    IrradiateUnit,
    OpenUnit,
    SeparateCryo,
    ThawUnit,
    WeighPart,
    why_not_in_hand,
)
from buffycoat.changes.weighing import balance_of
from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command
from buffycoat.journal.record import Recorded
from buffycoat.labels.changes import Changes
from buffycoat.labels.facts import CHANGES, PartWeighed, UnitDivided, parent_of
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import CRYO, FRESH, THAWED
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import PLASMA
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.shell.words import grams, millilitres, moment
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.stock import stocked

Values = dict[str, Any]


@require_safe
def change(request: HttpRequest, unit: str) -> HttpResponse:
    """What may happen to this unit now, and why nothing may."""
    row, now = _row(unit), datetime.now(UTC)
    in_hand = _in_hand(unit, now)
    fitting = [(words, note, reverse(name, args=[unit])) for words, note, name in _fits(in_hand)]
    reasons = list(dict.fromkeys(why_not_in_hand(Book(), unit, now)))
    shown = {
        "unit": row,
        "reasons": reasons,
        "choices": [] if reasons else fitting,
        "stocked": stocked(row, now, in_hand.site),
    }
    return render(request, "changes/change.html", shown)


def _fits(in_hand: InHand) -> list[tuple[str, str, str]]:
    """The changes that this unit can go through as it is."""
    plasma, product = in_hand.product.part == PLASMA, in_hand.due.product
    every = (
        (in_hand.frozen and product != CRYO, "Thaw", "In a water bath, sealed in an over-bag", "unit-thaw"),
        (in_hand.frozen and product == FRESH, "Make cryoprecipitate", "And cryo-poor plasma", "unit-cryo"),
        (not in_hand.frozen, "Divide into parts", "Each is weighed and has its own label", "unit-divide"),
        (
            not in_hand.frozen and "opened" not in in_hand.said,
            "It was opened",
            "It keeps for hours only",
            "unit-open",
        ),
        (
            not plasma and "irradiated" not in in_hand.said,
            "It was irradiated",
            "Its date may come nearer",
            "unit-irradiate",
        ),
        (
            product in THAWED.values() and not in_hand.said,
            "Freeze again",
            "While it is still cold",
            "unit-freeze",
        ),
        (
            in_hand.part in in_hand.shelf.put_away and not in_hand.frozen,
            "Take out",
            "Its time runs",
            "unit-take-out",
        ),
    )
    return [(words, note, name) for fits, words, note, name in every if fits]


def thaw(request: HttpRequest, unit: str) -> HttpResponse:
    return _step(
        request,
        unit,
        forms.ThawForm,
        lambda values: ThawUnit(
            unit=unit, bath_c=values["bath_c"], minutes=values["minutes"], over_bag=values["over_bag"]
        ),
        "changes/thaw.html",
        ("thaw_bath_least_c", "thaw_bath_most_c", "thaw_most_min", "thawed_plasma_h"),
    )


def open_it(request: HttpRequest, unit: str) -> HttpResponse:
    return _step(
        request,
        unit,
        forms.OpenForm,
        lambda values: OpenUnit(unit=unit, reason=values["reason"]),
        "changes/open.html",
        ("opened_h",),
    )


def irradiate(request: HttpRequest, unit: str) -> HttpResponse:
    return _step(
        request,
        unit,
        forms.IrradiateForm,
        lambda values: IrradiateUnit(unit=unit, dose_gy=values["dose_gy"]),
        "changes/irradiate.html",
        ("irradiated_days",),
    )


def freeze(request: HttpRequest, unit: str) -> HttpResponse:
    return _step(
        request,
        unit,
        forms.FreezeForm,
        lambda values: FreezeUnit(unit=unit, surface_c=values["surface_c"]),
        "changes/freeze.html",
        ("refreeze", "refreeze_most_c", "frozen_plasma_years"),
    )


def divide(request: HttpRequest, unit: str) -> HttpResponse:
    return _step(
        request,
        unit,
        forms.DivideForm,
        lambda values: DivideUnit(
            unit=unit,
            parts=values["parts"],
            empty_g=values["empty_g"],
            closed=values["closed"] == forms.CLOSED,
        ),
        "changes/divide.html",
        ("parts_tolerance_g", "opened_h"),
    )


def cryo(request: HttpRequest, unit: str) -> HttpResponse:
    return _step(
        request,
        unit,
        forms.CryoForm,
        lambda values: SeparateCryo(
            unit=unit, cryo_empty_g=values["cryo_empty_g"], poor_empty_g=values["poor_empty_g"]
        ),
        "changes/cryo.html",
        ("cryoprecipitate_years", "cryo_poor_plasma_years", "parts_tolerance_g"),
    )


def _step(
    request: HttpRequest,
    unit: str,
    form_class: type[forms.ChangeForm],
    command: Callable[[Values], Command],
    template: str,
    keys: tuple[str, ...],
) -> HttpResponse:
    """One question about a unit; then its label, or the weighing of its first part."""
    row, site = _row(unit), limits(Book())
    form = form_class(request.POST or None, seen=seen(f"donation/{row.donation_id}"), initial=again(request))
    if request.method != "POST" and list(why_not_in_hand(Book(), unit, datetime.now(UTC))):
        return redirect("unit-change", unit)
    sent = request.method == "POST" and form.is_valid()
    if sent and (done := recorded(request, form, command(form.cleaned_data))):
        return _go_on(request, row, done, site)
    shown = {"form": form, "unit": row, "limits": _with_sources(site, *keys)}
    return render(request, template, shown)


def _go_on(request: HttpRequest, row: UnitRow, done: Recorded, site: Limits) -> HttpResponse:
    fact, donation = done.lines[0].fact, row.donation_id
    if isinstance(fact, UnitDivided):
        into = f"{show_code(row.unit)} is divided into {len(fact.children)}"
        messages.success(request, f"{into}. Next: weigh each part.")
        return redirect("part-weigh", donation, fact.children[0].part)
    assert isinstance(fact, CHANGES)
    becomes = fact.becomes
    until = f"until {moment(becomes.expires_at, site.zone)} ({becomes.because})"
    messages.success(
        request, f"{show_code(row.unit)} is good {until}. Next: its new label; destroy the old one."
    )
    return redirect("label-print", donation, row.part)


def weigh(request: HttpRequest, donation: str, part: str) -> HttpResponse:
    """Each part of a divided unit, with what is left of what the unit held."""
    row = get_object_or_404(DonationRow.objects.select_related("donor"), pk=donation)
    look, name = Book(), part.replace("-", " ")
    changes, site = look(Changes, donation), limits(look)
    child = changes.children.get(part)
    if child is None:
        raise Http404
    if part in changes.weighed and request.method != "POST":
        when = when_done(f"donation/{donation}", PartWeighed, part=part)
        messages.info(
            request, f"The {name} were weighed already: {grams(changes.weighed[part].gross_g)}, {when}."
        )
        return redirect("next-step", donation)
    form = forms.WeighForm(request.POST or None, seen=seen(f"donation/{donation}"), initial=again(request))
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        command = WeighPart(
            donation=donation,
            part=part,
            gross_g=values["gross_g"],
            explained=values["explained"],
            scale=scale_of(values, "gross_g"),
        )
        if done := recorded(request, form, command):
            weighed = done.the(PartWeighed)
            less = f"{grams(weighed.gross_g)} less bag {grams(weighed.empty_g)}"
            messages.success(request, f"{name.capitalize()}: {less} = {millilitres(weighed.volume_ml)}.")
            return redirect("next-step", donation)
    balance = balance_of(look, donation, changes.divided[parent_of(part)])
    tolerance_g = site.whole("parts_tolerance_g")
    last = balance.to_weigh == (part,)
    most_g = balance.left_g + child.empty_g + tolerance_g
    shown = {
        "form": form,
        "donation": row,
        "name": name,
        "child": child,
        "balance": balance,
        "expected_gross_g": balance.left_g + child.empty_g if last else None,
        "window": Window(
            field="gross_g",
            least_g=most_g - 2 * tolerance_g if last else child.empty_g,
            most_g=most_g,
            auto=last,
        ),
        "limits": _with_sources(site, "parts_tolerance_g"),
    }
    return render(request, "changes/weigh.html", shown)


def _row(unit: str) -> UnitRow:
    rows = UnitRow.objects.select_related("donation__donor", "donation__lot", "shelf__place")
    return get_object_or_404(rows, pk=unit)


def _in_hand(unit: str, at: datetime) -> InHand:
    in_hand = InHand.of(Book(), unit, at)
    if in_hand is None:
        raise Http404
    return in_hand


def _with_sources(site: Limits, *keys: str) -> list[Values]:
    return [{"limit": LIMITS[key], "value": site.text(key)} for key in keys]
