"""Spins at the bench: choose the programme, scan and weigh the bags, load as drawn, start, and look at each bag."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from buffycoat.benches.weighing import Window
from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import Book
from buffycoat.science.errors import OutOfRange
from buffycoat.science.numbering import show_code
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.shell.words import grams, grouped
from buffycoat.site.rules import limits
from buffycoat.spins import forms
from buffycoat.spins.loading import Filling, Plan, next_filling
from buffycoat.spins.models import ProgrammeRow, SpinRow
from buffycoat.spins.paper import spin_sheet
from buffycoat.spins.pictures import rotor_of_proposal, rotor_of_spin
from buffycoat.spins.rotors import Rotor
from buffycoat.spins.rules import (
    LEAKED,
    POOR,
    WELL,
    BagOutcome,
    FinishSpin,
    SpinFinished,
    SpinStarted,
    propose,
)


@require_safe
def spins(request: HttpRequest) -> HttpResponse:
    rows = SpinRow.objects.select_related("rotor").prefetch_related("places__donation__donor")
    running = [(row, _stops_at(row)) for row in rows.filter(finished_at=None)]
    return render(
        request, "spins/spins.html", {"running": running, "recent": rows.exclude(finished_at=None)[:50]}
    )


def _stops_at(row: SpinRow) -> datetime:
    return row.started_at + timedelta(seconds=row.duration_s)


def new(request: HttpRequest) -> HttpResponse:
    """One question at a time: which programme, which bag, what it weighs, and go."""
    plan = Plan.from_address(request.GET)
    if not ProgrammeRow.objects.filter(rotor_id=plan.rotor, name=plan.programme).exists():
        return _choose_programme(request, plan)
    if request.method == "POST" and "take-out" in request.POST:
        return _to(plan.without(request.POST["take-out"]))
    if plan.pending:
        return _weigh_bag(request, plan)
    if "fill" in request.GET and (filling := next_filling(plan)):
        return _weigh_filler(request, plan, filling)
    if request.method == "POST" and "start" in request.POST:
        return _start(request, plan)
    return _scan_bag(request, plan)


def _to(plan: Plan) -> HttpResponse:
    return redirect(reverse("spin-new") + plan.address)


def _choose_programme(request: HttpRequest, plan: Plan) -> HttpResponse:
    waiting = DonationRow.objects.filter(pk=plan.pending).select_related("donor").first()
    form = forms.ProgrammeChoiceForm(request.POST or None, species=waiting.species if waiting else "")
    if request.method == "POST" and form.is_valid():
        row = ProgrammeRow.objects.get(pk=form.cleaned_data["programme"])
        return _to(plan.on(row.rotor_id, row.name))
    shown = {"form": form, "waiting": waiting}
    return render(request, "spins/choose_programme.html", shown)


def _scan_bag(request: HttpRequest, plan: Plan) -> HttpResponse:
    form = forms.BagForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        donation = form.cleaned_data["donation"]
        reasons = _why_not_added(plan, donation)
        if not reasons:
            return _to(plan.scanned(donation))
        form.refuse(reasons, "donation")
    return _plan_page(request, plan, form, forms.StartForm(seen=_seen(plan)))


def _why_not_added(plan: Plan, donation: str) -> list[str]:
    """Why a bag may not join this spin: said at the scan, before anyone weighs it."""
    if any(bag.donation == donation for bag in plan.bags):
        return [f"{show_code(donation)} is in this spin already: scan the next bag."]
    drawn_g = DonationRow.objects.filter(pk=donation).values_list("gross_g", flat=True).first()
    with_it = plan.scanned(donation).weighed(drawn_g or forms.BAG_G[0])
    return list(dict.fromkeys(with_it.command.why_not(Book(), datetime.now(UTC))))


def _weigh_bag(request: HttpRequest, plan: Plan) -> HttpResponse:
    without = plan.without(plan.pending)
    if reasons := _why_not_added(without, plan.pending):
        return _plan_page(request, without, forms.BagForm(), forms.StartForm(seen=_seen(without)), reasons)
    row = DonationRow.objects.select_related("donor").get(pk=plan.pending)
    form = forms.MassForm(request.POST or None, initial={"mass_g": row.gross_g})
    if request.method == "POST" and form.is_valid():
        mass_g = form.cleaned_data["mass_g"]
        said = f"{show_code(plan.pending)} weighs {grams(mass_g)}."
        messages.success(request, f"{said} Next: the next bag, or load as drawn.")
        return _to(plan.weighed(mass_g, form.data.get("reading", "")))
    shown = {"form": form, "donation": row, "drawn_g": row.gross_g, "back": without.address}
    shown["window"] = _bag_window(row.gross_g) if row.gross_g else None
    return render(request, "spins/weigh_bag.html", shown)


def _bag_window(drawn_g: int) -> Window:
    """A bag goes into its bucket as it was when the draw ended."""
    off_g = limits(Book()).whole("weighing_tolerance_g")
    return Window(field="mass_g", least_g=drawn_g - off_g, most_g=drawn_g + off_g, auto=True)


def _weigh_filler(request: HttpRequest, plan: Plan, filling: Filling) -> HttpResponse:
    form, window = forms.FillerForm(request.POST or None), filling.window
    if request.method == "POST" and form.is_valid():
        filler_g = form.cleaned_data["filler_g"]
        if window.least_g <= filler_g <= window.most_g:
            messages.success(request, f"{grams(filler_g)} of filler for place {filling.place}.")
            plan = plan.filled(filling.place, filler_g, form.data.get("reading", ""))
            return redirect(
                _filling_address(plan) if next_filling(plan) else reverse("spin-new") + plan.address
            )
        form.refuse(
            [
                f"With {grams(filler_g)} of filler, place {filling.place} and the one opposite are further apart than "
                f"this rotor allows: {window.words} is wanted. Add some or take some away, and weigh again."
            ],
            "filler_g",
        )
    shown = {
        "form": form,
        "filling": filling,
        "window": window,
        "back": plan.address,
        "address": _filling_address(plan),
    }
    return render(request, "spins/weigh_filler.html", shown)


def _filling_address(plan: Plan) -> str:
    return f"{reverse('spin-new')}{plan.address}&fill="


def _start(request: HttpRequest, plan: Plan) -> HttpResponse:
    form = forms.StartForm(request.POST)
    sent = form.is_valid()
    if filling := next_filling(plan):
        form.refuse([f"Weigh the filler of place {filling.place} first: it makes opposite buckets equal."])
    elif sent and (done := recorded(request, form, plan.command)):
        started = done.the(SpinStarted)
        many = f"{len(plan.bags)} {'bag' if len(plan.bags) == 1 else 'bags'}"
        messages.success(
            request,
            f"The spin of {many} started at {grouped(started.rcf)} × g. "
            "Next: wait until the rotor stands still, with the lid shut, then look at each bag.",
        )
        return redirect("spin-finish", started.spin)
    return _plan_page(request, plan, forms.BagForm(), form)


def _seen(plan: Plan) -> dict[str, int]:
    return seen(*(f"donation/{bag.donation}" for bag in plan.bags))


def _plan_page(
    request: HttpRequest,
    plan: Plan,
    bag_form: forms.BagForm,
    start_form: forms.StartForm,
    reasons: Sequence[str] = (),
) -> HttpResponse:
    look = Book()
    rotor = look(Rotor, plan.rotor)
    form = start_form if start_form.is_bound else bag_form
    if plan.bags and not reasons and not form.errors:
        reasons = tuple(plan.command.why_not(look, datetime.now(UTC)))
    try:
        loading = propose(plan.bags, rotor) if plan.bags else None
    except OutOfRange:
        loading = None  # the reason is among `reasons`
    rows = DonationRow.objects.select_related("donor").in_bulk([bag.donation for bag in plan.bags])
    places = {place.loads[0].label: place for place in loading.places if place.loads} if loading else {}
    shown = {
        "form": form,
        "bag_form": bag_form,
        "start_form": start_form,
        "reasons": tuple(dict.fromkeys(reasons)),
        "address": reverse("spin-new") + plan.address,
        "rotor": rotor.registered,
        "programme": rotor.programmes[plan.programme],
        "rcf": rotor.rcf(rotor.programmes[plan.programme]),
        "bags": [(bag, rows.get(bag.donation), places.get(bag.donation)) for bag in plan.bags],
        "picture": rotor_of_proposal(loading, rotor, plan.command.fillers) if loading else None,
        "filling": None if reasons else next_filling(plan),
        "filling_pairs": [*plan.pairs, ("fill", "")],
    }
    return render(request, "spins/plan.html", shown)


def finish(request: HttpRequest, spin: str) -> HttpResponse:
    row = get_object_or_404(SpinRow.objects.select_related("rotor"), pk=spin)
    if row.finished_at and request.method != "POST":
        done = when_done(f"spin/{spin}", SpinFinished)
        messages.info(request, f"How the bags came out is known already, {done}.")
        return redirect("spin", spin)
    places = list(row.places.select_related("donation__donor"))
    form = forms.OutcomesForm(
        request.POST or None, places=places, seen=seen(f"spin/{spin}"), initial=again(request)
    )
    if request.method == "POST" and form.is_valid():
        outcomes = tuple(
            BagOutcome(donation=each, outcome=form.cleaned_data[each]) for each in form.donations
        )
        if recorded(request, form, FinishSpin(spin=spin, outcomes=outcomes)):
            messages.success(request, _said(outcomes))
            return (
                redirect("next-step", outcomes[0].donation) if len(outcomes) == 1 else redirect("separations")
            )
    shown = {"form": form, "spin": row, "stops_at": _stops_at(row), "picture": rotor_of_spin(row, places)}
    return render(request, "spins/finish.html", shown)


def _said(outcomes: tuple[BagOutcome, ...]) -> str:
    """What came out, with its consequence; what comes next is said where one goes on."""
    consequence = {
        WELL: "well separated",
        POOR: "poorly separated, to be spun again",
        LEAKED: "leaked and is discarded: clean as the manual and your local rules say",
    }
    told = [f"{show_code(each.donation)} {consequence[each.outcome]}" for each in outcomes]
    return f"The spin is finished. {'; '.join(told)}."


@require_safe
def spin(request: HttpRequest, spin: str) -> HttpResponse:
    row = get_object_or_404(SpinRow.objects.select_related("rotor"), pk=spin)
    places = list(row.places.select_related("donation__donor"))
    shown = {"spin": row, "places": places, "picture": rotor_of_spin(row, places), "stops_at": _stops_at(row)}
    return render(request, "spins/spin.html", shown)


@require_safe
def sheet(request: HttpRequest, spin: str) -> HttpResponse:
    row = get_object_or_404(SpinRow.objects.select_related("rotor"), pk=spin)
    return pdf_answer(spin_sheet(row, datetime.now(UTC), limits(Book())), f"spin-{spin}")
