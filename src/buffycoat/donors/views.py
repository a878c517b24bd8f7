"""The donors: finding one, registering one, and how one is today."""

import re
from datetime import date, timedelta
from typing import Any

from django.apps import apps
from django.contrib import messages
from django.db.models import F, Prefetch, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from buffycoat.donors.blood_types import IN_DOUBT, system_of
from buffycoat.donors.calendar import earliest_on, standing_of
from buffycoat.donors.forms import (
    DEFERRED,
    GIVING,
    NEVER,
    NOW,
    RESTED,
    RESTING,
    RETIRED,
    SOON,
    SOON_DAYS,
    ExamineForm,
    FindForm,
    RegisterForm,
    TypeForm,
)
from buffycoat.donors.models import DonorRow
from buffycoat.donors.paper import donor_card, donor_cards
from buffycoat.donors.pictures import curve
from buffycoat.donors.registering import read_back
from buffycoat.donors.rules import (
    ON_THE_LABEL,
    SYSTEMS,
    BloodTyped,
    Check,
    Donor,
    DonorExamined,
    DonorRegistered,
    ExamineDonor,
    RegisterDonor,
    TypeBlood,
    may_give,
    may_give_again_on,
    stream_of,
    why_not_today,
)
from buffycoat.donors.steps import steps_for
from buffycoat.donors.words import said
from buffycoat.journal.book import Book, story
from buffycoat.journal.facts import Fact
from buffycoat.people.forms import ContactForm
from buffycoat.people.may import may
from buffycoat.people.models import OwnerContact
from buffycoat.people.roles import roles_of
from buffycoat.photos.models import DonorPhoto
from buffycoat.science.numbering import show_code
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.shell.words import kilograms, permille_as_percent
from buffycoat.site.forms import shown
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import Limits, limits

MOST_ROWS = 100
SORTS: dict[str, list[Any]] = {
    "name": ["name", "donor"],
    "type": ["species", "blood_type", "name"],
    "weight": [F("weight_g").desc(nulls_last=True), "name"],
    "gave": [F("last_drawn_at").asc(nulls_first=True), "name"],
}


MORE = (
    "pcv_method",
    "total_protein_g_per_l",
    "temperature_deci_c",
    "pulse_per_min",
    "breaths_per_min",
    "mucous_membranes",
    "murmur",
)


@require_safe
def donors(request: HttpRequest) -> HttpResponse:
    """The list. Who gave longest ago can stand first: that is whom to call next."""
    form = FindForm(request.GET)
    form.is_valid()  # what is not among the choices narrows nothing
    sort = request.GET.get("sort", "name")
    rows = DonorRow.objects.filter(_narrowed(**form.cleaned_data)).order_by(*SORTS.get(sort, SORTS["name"]))
    site, today = limits(Book()), timezone.localdate()
    wanted = form.cleaned_data
    listed = [
        (row, standing_of(row, site, today))
        for row in rows
        if _fits(wanted.get("gave", ""), row, site, today)
        and _stands(wanted.get("standing", ""), row, site, today)
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
            "sort": sort if sort in SORTS else "name",
            "asked": asked.urlencode(),
        },
    )


def _narrowed(find: str = "", species: str = "", blood_type: str = "", **rest: str) -> Q:
    wanted = Q()
    if find:
        owned = OwnerContact.objects.filter(name__icontains=find).values("donor")
        number = re.sub(r"[\s-]", "", find)
        before = apps.get_model("earlier", "OldNumberRow")._default_manager.filter(old_number__iexact=find)
        wanted &= (
            Q(name__icontains=find)
            | Q(donor__icontains=number)
            | Q(donor__in=owned)
            | Q(donor__in=before.values("number"))
        )
    if species:
        wanted &= Q(species=species)
    if blood_type:
        wanted &= Q(blood_type=blood_type)
    return wanted


def _fits(gave: str, row: DonorRow, site: Limits, today: date) -> bool:
    last = row.last_drawn_at
    rested = last is None or may_give_again_on(row.species, last, site) <= today
    return {NEVER: last is None, RESTED: rested, RESTING: not rested}.get(gave, True)


def _stands(standing: str, row: DonorRow, site: Limits, today: date) -> bool:
    """By what the register knows: the calendar, deferrals, retirement. Today's weight and answers are not in it."""
    on, stopped = earliest_on(row, site, today), bool(row.held) or row.deferred_until_lifted
    giving = not row.retired
    may = giving and on is not None
    return {
        NOW: may and not row.held and on is not None and on <= today,
        SOON: may and on is not None and today < on <= today + timedelta(days=SOON_DAYS),
        DEFERRED: giving and (stopped or (row.not_before is not None and row.not_before > today)),
        GIVING: giving,
        RETIRED: not giving,
    }.get(standing, True)


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


def known(number: str) -> tuple[Donor, DonorRegistered]:
    donor = Book()(Donor, number)
    if donor.registered is None:
        raise Http404(f"No donor has the number {number}.")
    return donor, donor.registered


@require_safe
def donor(request: HttpRequest, donor: str) -> HttpResponse:
    """One donor: may it give today, and how much; what is known of it, and what became of its blood."""
    state, registered = known(donor)
    look, row = Book(), DonorRow.objects.get(donor=donor)
    answer, site = may_give(look, donor, timezone.now()), limits(look)
    return render(
        request,
        "donors/donor.html",
        {
            "donor": state,
            "registered": registered,
            "row": row,
            "answer": answer,
            "checks": [_check(each, site) for each in answer.checks],
            "types": [
                (system, state.type_in(system), state.readings.get(system, ()))
                for system in SYSTEMS[registered.species]
            ],
            "sees_owner": may(roles_of(request.user), "donor-owner"),
            "contact": OwnerContact.objects.filter(donor=donor).first(),
            "has_photo": DonorPhoto.objects.filter(donor=donor).exists(),
            "donations": _donations(row),
            "curve": curve(stream_of(donor)),
            "steps": list(steps_for(state)),
            "held_words": f"What it gave and is in date waits: {state.held}." if state.held else "",
            "story": [(told, _told(told.line.fact, state)) for told in story(stream_of(donor))],
        },
    )


def _check(check: Check, site: Limits) -> dict[str, Any]:
    """One row of the answer, with the limit and the source behind it."""
    limit = LIMITS.get(check.limit)
    value = shown(limit, site.set_here.get(limit.key, limit.default)) if limit else ""
    return {
        "check": check,
        "limit": limit,
        "value": value,
        "source": check.source or (limit.source if limit else ""),
    }


def _told(fact: Fact, state: Donor) -> str:
    """A reading stays out of sight while it contradicts another one."""
    if isinstance(fact, BloodTyped) and state.registered:
        system = system_of(state.registered.species, fact.blood_type)
        if state.type_in(system).how == IN_DOUBT:
            return f"{system} was read; not shown here until a third reading decides"
    return said(fact)


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
    """Weight and PCV of the day, and what else was looked at."""
    state, registered = known(donor)
    form = ExamineForm(request.POST or None, seen=seen(stream_of(donor)), initial=again(request))
    if request.method == "POST" and form.is_valid():
        given = form.values()
        if recorded(request, form, ExamineDonor(donor=donor, **given)):
            no = any(why_not_today(Book(), donor, timezone.now()))
            messages.success(
                request,
                f"Weighed {kilograms(given['weight_g'])}, PCV {permille_as_percent(given['pcv_permille'])}. "
                + ("Not to be drawn today: the reasons are below." if no else "Next: draw."),
            )
            return redirect("donor", donor)
    before = when_done(stream_of(donor), DonorExamined)
    more = [form[name] for name in MORE]
    shown = {"form": form, "donor": state, "registered": registered, "before": before, "more": more}
    shown["more_open"] = any(field.errors or field.value() for field in more)
    return render(request, "donors/examine.html", shown)


def type_blood(request: HttpRequest, donor: str) -> HttpResponse:
    """One reading. Neither this one nor an earlier one is shown while it is made, or while two differ."""
    state, registered = known(donor)
    systems = SYSTEMS[registered.species]
    system = request.GET.get("system", "")
    system = system if system in systems else ON_THE_LABEL[registered.species]
    drawn_from = seen(stream_of(donor))
    form = TypeForm(registered.species, system, request.POST or None, seen=drawn_from, initial=again(request))
    if request.method == "POST" and form.is_valid():
        blood_type, method = form.cleaned_data["blood_type"], form.cleaned_data["method"]
        reader = request.user.get_username()
        if recorded(
            request, form, TypeBlood(donor=donor, blood_type=blood_type, method=method, reader=reader)
        ):
            messages.success(request, read_back(Book()(Donor, donor), blood_type))
            return redirect("donor", donor)
    others = [each for each in systems if each != system]
    shown = {"form": form, "donor": state, "registered": registered, "system": system, "others": others}
    if system in state.readings:
        shown["before"] = when_done(stream_of(donor), BloodTyped)
    return render(request, "donors/type.html", shown)


def owner(request: HttpRequest, donor: str) -> HttpResponse:
    """How to reach the owner: kept beside the journal, so that it can be erased."""
    _, registered = known(donor)
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
    """To read and to scan; with the photo on request."""
    row = DonorRow.objects.filter(donor=donor).first()
    if row is None:
        raise Http404(f"No donor has the number {donor}.")
    kept = DonorPhoto.objects.filter(donor=donor).first() if "photo" in request.GET else None
    made = donor_card(row, limits(Book()), bytes(kept.jpeg) if kept else b"")
    return pdf_answer(made, f"donor-{donor}")


@require_safe
def cards(request: HttpRequest) -> HttpResponse:
    return pdf_answer(donor_cards(DonorRow.objects.all(), limits(Book())), "donors")
