"""Spins at the bench: choose the programme, scan and weigh the bags, load as drawn, start, and look at each bag."""

from datetime import UTC, datetime, timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import Book
from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import show_code
from buffycoat.shell.recording import recorded, seen
from buffycoat.site.rules import limits
from buffycoat.spins import forms
from buffycoat.spins.loading import Plan
from buffycoat.spins.models import ProgrammeRow, SpinRow
from buffycoat.spins.paper import spin_sheet
from buffycoat.spins.pictures import rotor_of_proposal, rotor_of_spin
from buffycoat.spins.rotors import Rotor
from buffycoat.spins.rules import LEAKED, POOR, BagOutcome, FinishSpin, SpinBag, SpinStarted, propose, why_not_spun


@require_safe
def spins(request: HttpRequest) -> HttpResponse:
    rows = SpinRow.objects.select_related("rotor").prefetch_related("places__donation__donor")
    running = [(row, _stops_at(row)) for row in rows.filter(finished_at=None)]
    return render(request, "spins/spins.html", {"running": running, "recent": rows.exclude(finished_at=None)[:50]})


def _stops_at(row: SpinRow) -> datetime:
    return row.started_at + timedelta(seconds=row.duration_s)


def new(request: HttpRequest) -> HttpResponse:
    """One question at a time: which programme, which bag, what it weighs, and go."""
    plan = Plan.from_address(request.GET)
    if not (plan.rotor and plan.programme):
        return _choose_programme(request, plan)
    if request.method == "POST" and "take-out" in request.POST:
        return redirect(reverse("spin-new") + plan.without(request.POST["take-out"]).address)
    if plan.pending:
        return _weigh_bag(request, plan)
    if request.method == "POST" and "start" in request.POST:
        return _start(request, plan)
    return _scan_bag(request, plan)


def _choose_programme(request: HttpRequest, plan: Plan) -> HttpResponse:
    form = forms.ProgrammeChoiceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        row = ProgrammeRow.objects.get(pk=form.cleaned_data["programme"])
        return redirect(reverse("spin-new") + plan.on(row.rotor_id, row.name).address)
    none_yet = not ProgrammeRow.objects.exists()
    shown = {"form": form, "none_yet": none_yet}
    return render(request, "spins/choose_programme.html", shown)


def _scan_bag(request: HttpRequest, plan: Plan) -> HttpResponse:
    form = forms.BagForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        donation = form.cleaned_data["donation"]
        if any(bag.donation == donation for bag in plan.bags):
            form.refuse([f"{show_code(donation)} is in this spin already: scan the next bag."], "donation")
        else:
            return redirect(reverse("spin-new") + plan.scanned(donation).address)
    return _plan_page(request, plan, form, forms.StartForm())


def _weigh_bag(request: HttpRequest, plan: Plan) -> HttpResponse:
    """A bag that may not be spun is refused at the scan, before anyone weighs it."""
    now, row = datetime.now(UTC), DonationRow.objects.filter(pk=plan.pending).select_related("donor").first()
    drawn_g = row.gross_g if row and row.gross_g else 0
    reasons = tuple(why_not_spun(Book(), SpinBag(donation=plan.pending, mass_g=drawn_g or forms.BAG_G[0]), now))
    if reasons:
        return _plan_page(request, plan.without(plan.pending), forms.BagForm(), forms.StartForm(), reasons)
    form = forms.MassForm(request.POST or None, initial={"mass_g": drawn_g})
    if request.method == "POST" and form.is_valid():
        return redirect(reverse("spin-new") + plan.weighed(form.cleaned_data["mass_g"]).address)
    shown = {"form": form, "donation": row, "drawn_g": drawn_g, "back": plan.without(plan.pending).address}
    return render(request, "spins/weigh_bag.html", shown)


def _start(request: HttpRequest, plan: Plan) -> HttpResponse:
    form = forms.StartForm(request.POST, seen=seen(*(f"donation/{bag.donation}" for bag in plan.bags)))
    if form.is_valid() and (done := recorded(request, form, plan.command)):
        started = done.the(SpinStarted)
        messages.success(
            request,
            f"Spin of {len(plan.bags)} {'bag' if len(plan.bags) == 1 else 'bags'} started at {started.rcf} × g. "
            "Keep the lid shut until the rotor stands still.",
        )
        return redirect("spin-finish", started.spin)
    return _plan_page(request, plan, forms.BagForm(), form)


def _plan_page(request: HttpRequest, plan: Plan, form, start_form, reasons: tuple[str, ...] = ()) -> HttpResponse:
    look, now = Book(), datetime.now(UTC)
    rotor = look(Rotor, plan.rotor)
    if start_form.errors:
        reasons += tuple(str(error) for errors in start_form.errors.values() for error in errors)
    elif plan.bags:
        reasons += tuple(plan.command.why_not(look, now))
    if not start_form.is_bound:
        start_form = forms.StartForm(seen=seen(*(f"donation/{bag.donation}" for bag in plan.bags)))
    try:
        loading = propose(plan.bags, rotor) if plan.bags and rotor.registered else None
    except OutOfRange:
        loading = None  # the reason is among `reasons`
    rows = DonationRow.objects.select_related("donor").in_bulk([bag.donation for bag in plan.bags])
    shown = {
        "form": form,
        "start_form": start_form,
        "reasons": list(dict.fromkeys(reasons)),
        "rotor": rotor.registered,
        "programme": rotor.programmes.get(plan.programme),
        "rcf": rotor.rcf(rotor.programmes[plan.programme]) if plan.programme in rotor.programmes else None,
        "bags": [(bag, rows.get(bag.donation)) for bag in plan.bags],
        "picture": rotor_of_proposal(loading, rotor) if loading else None,
        "loading": loading,
    }
    return render(request, "spins/plan.html", shown)


def finish(request: HttpRequest, spin: str) -> HttpResponse:
    row = get_object_or_404(SpinRow.objects.select_related("rotor"), pk=spin)
    if row.finished_at:
        return redirect("spin", spin)
    places = list(row.places.select_related("donation__donor"))
    form = forms.OutcomesForm(request.POST or None, places=places, seen=seen(f"spin/{spin}"))
    if request.method == "POST" and form.is_valid():
        outcomes = tuple(BagOutcome(donation=each, outcome=form.cleaned_data[each]) for each in form.donations)
        if recorded(request, form, FinishSpin(spin=spin, outcomes=outcomes)):
            messages.success(request, _said(outcomes))
            return redirect("next-step", outcomes[0].donation) if len(outcomes) == 1 else redirect("separations")
    shown = {"form": form, "spin": row, "stops_at": _stops_at(row), "picture": rotor_of_spin(row, places)}
    return render(request, "spins/finish.html", shown)


def _said(outcomes: tuple[BagOutcome, ...]) -> str:
    bad = [f"{show_code(each.donation)} {each.outcome}" for each in outcomes if each.outcome in (POOR, LEAKED)]
    if not bad:
        return f"Spin finished, {len(outcomes)} well separated. Next: press off the plasma."
    return f"Spin finished. {'; '.join(bad)}. A leak discards the donation; a poor one is spun again."


@require_safe
def spin(request: HttpRequest, spin: str) -> HttpResponse:
    row = get_object_or_404(SpinRow.objects.select_related("rotor"), pk=spin)
    places = list(row.places.select_related("donation__donor"))
    shown = {"spin": row, "places": places, "picture": rotor_of_spin(row, places), "stops_at": _stops_at(row)}
    return render(request, "spins/spin.html", shown)


@require_safe
def sheet(request: HttpRequest, spin: str) -> HttpResponse:
    row = get_object_or_404(SpinRow.objects.select_related("rotor"), pk=spin)
    return HttpResponse(spin_sheet(row, datetime.now(UTC), limits(Book())), content_type="application/pdf")
