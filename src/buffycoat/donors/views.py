"""The donors: finding one, registering one, and how one is today."""

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

from django.apps import apps
from django.contrib import messages
from django.db.models import F, Max, Prefetch, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from buffycoat.donors.forms import NEVER, RESTED, RESTING, ExamineForm, FindForm, RegisterForm, TypeForm
from buffycoat.donors.models import DonorRow
from buffycoat.donors.paper import donor_card, donor_cards
from buffycoat.donors.rules import (
    BloodTyped,
    Donor,
    DonorExamined,
    DonorRegistered,
    ExamineDonor,
    RegisterDonor,
    TypeBlood,
    may_give_again_on,
    stream_of,
    why_not_today,
)
from buffycoat.journal.book import Book, story
from buffycoat.people.forms import ContactForm
from buffycoat.people.models import OwnerContact
from buffycoat.science.numbering import show_code
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.shell.words import kilograms, permille_as_percent
from buffycoat.site.forms import shown
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import Limits, limits

MOST_ROWS = 300
SORTS: dict[str, list[Any]] = {
    "name": ["name", "donor"],
    "type": ["species", "blood_type", "name"],
    "weight": [F("weight_g").desc(nulls_last=True), "name"],
    "gave": [F("gave_at").asc(nulls_first=True), "name"],
}
DECIDING = (
    "least_age_months",
    "most_age_months",
    "draw_interval_days",
    "least_weight_g",
    "least_pcv_permille",
)


@require_safe
def donors(request: HttpRequest) -> HttpResponse:
    """The list. Who gave longest ago can stand first: that is whom to call next."""
    form = FindForm(request.GET)
    form.is_valid()  # what is not among the choices narrows nothing
    sort = request.GET.get("sort", "name")
    rows = DonorRow.objects.annotate(gave_at=Max("donations__started_at"))
    rows = rows.filter(_narrowed(**form.cleaned_data)).order_by(*SORTS.get(sort, SORTS["name"]))
    site, today = limits(Book()), timezone.localdate()
    listed = [
        (row, again_on)
        for row in rows
        for again_on in [may_give_again_on(row.species, row.gave_at, site) if row.gave_at else None]
        if _fits(form.cleaned_data.get("gave", ""), again_on, today)
    ]
    asked = request.GET.copy()
    asked.pop("sort", None)
    return render(
        request,
        "donors/donors.html",
        {
            "find": form,
            "rows": listed[:MOST_ROWS],
            "count": len(listed),
            "all": DonorRow.objects.count(),
            "today": today,
            "sort": sort if sort in SORTS else "name",
            "asked": asked.urlencode(),
        },
    )


def _narrowed(find: str = "", species: str = "", blood_type: str = "", **rest: str) -> Q:
    wanted = Q()
    if find:
        owned = OwnerContact.objects.filter(name__icontains=find).values("donor")
        number = re.sub(r"[\s-]", "", find)
        wanted &= Q(name__icontains=find) | Q(donor__icontains=number) | Q(donor__in=owned)
    if species:
        wanted &= Q(species=species)
    if blood_type:
        wanted &= Q(blood_type=blood_type)
    return wanted


def _fits(gave: str, again_on: date | None, today: date) -> bool:
    rested = again_on is None or again_on <= today
    return {NEVER: again_on is None, RESTED: rested, RESTING: not rested}.get(gave, True)


def new_donor(request: HttpRequest) -> HttpResponse:
    form = RegisterForm(request.POST or None, initial=again(request))
    if request.method == "POST" and form.is_valid():
        given = {
            name: form.cleaned_data[name]
            for name in ("name", "species", "sex", "born_on", "breed", "cautions")
        }
        if done := recorded(request, form, RegisterDonor(**given)):
            registered = done.the(DonorRegistered)
            messages.success(
                request,
                f"{registered.name} is registered as {show_code(registered.donor)}. "
                "Next: the owner's contact, the blood type, and weight and PCV on the day of the draw.",
            )
            return redirect("donor", registered.donor)
    return render(request, "donors/new.html", {"form": form})


def _known(number: str) -> tuple[Donor, DonorRegistered]:
    donor = Book()(Donor, number)
    if donor.registered is None:
        raise Http404(f"No donor has the number {number}.")
    return donor, donor.registered


@require_safe
def donor(request: HttpRequest, donor: str) -> HttpResponse:
    """One donor: may it give today, what is known of it, and what became of its blood."""
    state, registered = _known(donor)
    site, row = limits(Book()), DonorRow.objects.get(donor=donor)
    examined_today = (
        state.examined_at is not None and timezone.localdate(state.examined_at) == timezone.localdate()
    )
    why_not = list(why_not_today(state, timezone.now(), site))
    return render(
        request,
        "donors/donor.html",
        {
            "donor": state,
            "registered": registered,
            "why_not": why_not,
            "only_weighing_misses": len(why_not) == 1 and not examined_today,
            "deciding": list(_deciding(registered.species, site)),
            "contact": OwnerContact.objects.filter(donor=donor).first(),
            "donations": _donations(row),
            "story": story(stream_of(donor)),
        },
    )


def _deciding(species: str, site: Limits) -> Iterator[dict[str, Any]]:
    """The limits behind the answer, each with its source."""
    for key in DECIDING:
        limit = LIMITS[f"{species}_{key}"]
        yield {"limit": limit, "value": shown(limit, site.whole(limit.key))}


def _donations(row: DonorRow) -> list[dict[str, Any]]:
    """What became of each. Later chapters are read through the relations of the registers, never imported."""
    units = apps.get_model("labels", "UnitRow")._default_manager.select_related("shelf__place")
    drawn = row.donations.select_related("open_job").prefetch_related(Prefetch("units", units))
    return [{"row": each, "units": [_unit(unit) for unit in each.units.all()]} for each in drawn]


def _unit(unit: Any) -> dict[str, str]:
    shelf = getattr(unit, "shelf", None)
    if shelf and shelf.discarded:
        became = f"discarded: {shelf.discarded}"
    else:
        became = f"in {shelf.place.name}" if shelf and shelf.place else "not put away yet"
    product = unit.product.replace("-additive", " in additive").replace("-", " ")
    return {"unit": unit.unit, "product": product, "became": became}


def examine(request: HttpRequest, donor: str) -> HttpResponse:
    """Weight and PCV of the day."""
    state, registered = _known(donor)
    form = ExamineForm(request.POST or None, seen=seen(stream_of(donor)), initial=again(request))
    if request.method == "POST" and form.is_valid():
        given = {name: form.cleaned_data[name] for name in ("weight_g", "pcv_permille", "cautions")}
        if recorded(request, form, ExamineDonor(donor=donor, **given)):
            now, _ = _known(donor)
            no = any(why_not_today(now, timezone.now(), limits(Book())))
            messages.success(
                request,
                f"Weighed {kilograms(given['weight_g'])}, PCV {permille_as_percent(given['pcv_permille'])}. "
                + ("Not to be drawn today: the reasons are below." if no else "Next: draw."),
            )
            return redirect("donor", donor)
    before = when_done(stream_of(donor), DonorExamined)
    shown = {"form": form, "donor": state, "registered": registered, "before": before}
    return render(request, "donors/examine.html", shown)


def type_blood(request: HttpRequest, donor: str) -> HttpResponse:
    """The first typing, or a second one that must agree with it."""
    state, registered = _known(donor)
    drawn_from = seen(stream_of(donor))
    form = TypeForm(registered.species, request.POST or None, seen=drawn_from, initial=again(request))
    if request.method == "POST" and form.is_valid():
        blood_type, method = form.cleaned_data["blood_type"], form.cleaned_data["method"]
        if recorded(request, form, TypeBlood(donor=donor, blood_type=blood_type, method=method)):
            words = "Both readings agree." if state.typed else "It goes on every label of this donor."
            messages.success(request, f"{registered.name} is {blood_type}. {words}")
            return redirect("donor", donor)
    before = when_done(stream_of(donor), BloodTyped)
    shown = {"form": form, "donor": state, "registered": registered, "before": before}
    return render(request, "donors/type.html", shown)


def owner(request: HttpRequest, donor: str) -> HttpResponse:
    """How to reach the owner: kept beside the journal, so that it can be erased."""
    _, registered = _known(donor)
    kept = OwnerContact.objects.filter(donor=donor)
    if request.method == "POST" and "erase" in request.POST:
        kept.delete()
        messages.success(request, f"The contact of {registered.name}'s owner is erased.")
        return redirect("donor", donor)
    form = ContactForm(request.POST or None, initial=dict(kept.values().first() or {}))
    if request.method == "POST" and form.is_valid():
        OwnerContact(donor=donor, **form.cleaned_data).save()
        messages.success(request, f"The contact of {registered.name}'s owner is kept.")
        return redirect("donor", donor)
    facts = {"form": form, "donor": donor, "registered": registered, "kept": kept.exists()}
    return render(request, "donors/owner.html", facts)


@require_safe
def card(request: HttpRequest, donor: str) -> HttpResponse:
    row = DonorRow.objects.filter(donor=donor).first()
    if row is None:
        raise Http404(f"No donor has the number {donor}.")
    return pdf_answer(donor_card(row, limits(Book())), f"donor-{donor}")


@require_safe
def cards(request: HttpRequest) -> HttpResponse:
    return pdf_answer(donor_cards(DonorRow.objects.all(), limits(Book())), "donors")
