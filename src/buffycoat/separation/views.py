"""The separation at the bench: one question a page, each page one command."""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.benches.weighing import Window, scale_of
from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import KeptWhole
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command, Fact
from buffycoat.journal.record import Recorded
from buffycoat.separation import forms, rules
from buffycoat.separation.contents import predict
from buffycoat.separation.pictures import bag_picture
from buffycoat.separation.weighings import ProductWeighed, Weighings, WeighProduct, empty_g, expected_g
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.shell.words import grams, millilitres, permille_as_percent
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import Limits, limits

Values = dict[str, Any]
PARTS = (rules.RED_CELLS, rules.PLASMA, rules.WHOLE_BLOOD)


@require_safe
def separations(request: HttpRequest) -> HttpResponse:
    """Every filled bag with something left to do; the one drawn first stands first."""
    rows = DonationRow.objects.filter(open_job__isnull=False, finished_at__isnull=False)
    rows = rows.select_related("donor", "separation").order_by("finished_at", "donation")
    return render(request, "separation/separations.html", {"donations": rows})


def express(request: HttpRequest, donation: str) -> HttpResponse:
    state, site = _opened(donation)
    if state.draw.finished is None or state.draw.brought_in:
        raise Http404
    prediction = predict(state.draw, site)
    bag_g = empty_g(state, rules.PLASMA)

    def say(values: Values, done: Recorded) -> str:
        off_g = values["plasma_g"] - prediction.express_g
        beside = (
            "as planned" if off_g == 0 else f"{grams(abs(off_g))} {'over' if off_g > 0 else 'under'} the plan"
        )
        return f"Plasma {grams(values['plasma_g'])}, {beside}."

    return _step(
        request,
        donation,
        partial(forms.ExpressForm, empty_g=bag_g),
        lambda values: rules.ExpressPlasma(
            donation=donation, plasma_g=values["plasma_g"], scale=values["scale"]
        ),
        say,
        "separation/express.html",
        _said_before(
            donation, f"The plasma is off already: {grams(state.expressed.plasma_g)}", rules.PlasmaExpressed
        )
        if state.expressed
        else "",
        {
            "prediction": prediction,
            "bags": f"{donation} {rules.bag_code(donation, rules.PLASMA)}",
            "stop_with_bag_g": prediction.express_g + bag_g,
            "window": Window(
                field="plasma_g",
                least_g=0,
                most_g=prediction.express_g,
                stop_g=prediction.express_g,
                empty_g=bag_g,
            ),
            "gives_plasma": state.draw.finished.gives_plasma,
            "picture": bag_picture(prediction),
            "limits": _with_sources(
                site, "plasma_left_percent", "packed_haematocrit_percent", "freezer_clock_h"
            ),
        },
    )


def keep_whole(request: HttpRequest, donation: str) -> HttpResponse:
    state, _ = _opened(donation)
    return _step(
        request,
        donation,
        forms.KeepWholeForm,
        lambda values: rules.KeepWhole(donation=donation),
        lambda values, done: "Kept as whole blood: it is not spun, and it keeps the date of whole blood.",
        "separation/keep_whole.html",
        _said_before(donation, "This donation is kept whole already", KeptWhole) if state.kept_whole else "",
    )


def additive(request: HttpRequest, donation: str) -> HttpResponse:
    state, _ = _opened(donation)
    assert state.draw.started
    bag_set = state.draw.started.bag_set

    def command(values: Values) -> Command:
        if values["outcome"] == forms.LOST:
            return rules.LoseAdditive(donation=donation, reason=values["reason"])
        return rules.AddAdditive(donation=donation, additive_ml=bag_set.additive_ml)

    def say(values: Values, done: Recorded) -> str:
        if values["outcome"] == forms.LOST:
            return "The additive is lost: the red cells keep the shorter date."
        return f"{millilitres(bag_set.additive_ml)} of {bag_set.additive} ran in: the red cells keep the longer date."

    already = ""
    if not bag_set.additive_ml:
        already = "This bag set has no additive."
    elif state.additive or state.additive_lost:
        words = "The additive ran in already" if state.additive else "The additive is lost already"
        already = _said_before(donation, words, rules.AdditiveAdded, rules.AdditiveLost)
    shown = {"bag_set": bag_set}
    return _step(
        request, donation, forms.AdditiveForm, command, say, "separation/additive.html", already, shown
    )


def clots(request: HttpRequest, donation: str) -> HttpResponse:
    state, _ = _opened(donation)

    def say(values: Values, done: Recorded) -> str:
        if values["clots"] == forms.CLOTS_SEEN:
            return "Clots seen: the donation is discarded. Put all its bags in the waste by your local rules."
        return "No clot seen."

    return _step(
        request,
        donation,
        forms.ClotsForm,
        lambda values: rules.LookForClots(donation=donation, clots=values["clots"] == forms.CLOTS_SEEN),
        say,
        "separation/clots.html",
        _said_before(donation, "Clots were looked for already", rules.ClotsLookedFor) if state.clots else "",
    )


def segments(request: HttpRequest, donation: str) -> HttpResponse:
    state, site = _opened(donation)
    return _step(
        request,
        donation,
        forms.SegmentsForm,
        lambda values: rules.SealSegments(donation=donation, segments=values["segments"]),
        lambda values, done: f"{values['segments']} segments are sealed and stay on the unit.",
        "separation/segments.html",
        _said_before(
            donation, f"The segments are sealed already: {state.segments.segments}", rules.SegmentsSealed
        )
        if state.segments
        else "",
        {"limits": _with_sources(site, "least_segments")},
    )


def weigh(request: HttpRequest, donation: str, part: str) -> HttpResponse:
    state, site = _opened(donation)
    if part not in PARTS:
        raise Http404
    name = part.replace("-", " ")
    shown: Values = {
        "part": name,
        "bags": rules.bag_code(donation, part),
        "limits": _with_sources(site, "weighing_tolerance_g"),
    }
    already = "" if part in state.parts else f"This donation gives no {name}."
    if not already:
        shown["empty_g"] = empty_g(state, part)
        gross_g = shown["expected_gross_g"] = expected_g(state, part, site) + empty_g(state, part)
        off_g = site.whole("weighing_tolerance_g")
        shown["window"] = Window(field="gross_g", least_g=gross_g - off_g, most_g=gross_g + off_g, auto=True)
    if weighed := Book()(Weighings, donation).weighed.get(part):
        words = f"The bag of {name} was weighed already: {grams(weighed.gross_g)}"
        already = _said_before(donation, words, ProductWeighed, part=part)

    def say(values: Values, done: Recorded) -> str:
        weighed = done.the(ProductWeighed)
        words = (
            f"{grams(weighed.gross_g)} less bag {grams(weighed.empty_g)} = {millilitres(weighed.volume_ml)}"
        )
        if part == rules.RED_CELLS:
            words += f", of it red cells with their plasma {millilitres(weighed.red_cell_part_ml)}"
            words += f"; haematocrit computed {permille_as_percent(weighed.haematocrit_permille)}"
        return f"{words}."

    return _step(
        request,
        donation,
        forms.WeighForm,
        lambda values: WeighProduct(
            donation=donation,
            part=part,
            gross_g=values["gross_g"],
            explained=values["explained"],
            scale=scale_of(values, "gross_g"),
        ),
        say,
        "separation/weigh.html",
        already,
        shown,
    )


def _said_before(donation: str, words: str, *kinds: type[Fact], **of: str) -> str:
    """A repeated step is recognised: what was done already, when and by whom."""
    return f"{words}, {when_done(f'donation/{donation}', *kinds, **of)}."


def _opened(donation: str) -> tuple[rules.Separation, Limits]:
    look = Book()
    state = look(rules.Separation, donation)
    if state.draw.started is None:
        raise Http404
    return state, limits(look)


def _with_sources(site: Limits, *keys: str) -> list[Values]:
    return [{"limit": LIMITS[key], "value": site.whole(key)} for key in keys]


def _freezer_due_at(donation: str) -> datetime | None:
    """The clock of plasma that is still at the bench, or None when no plasma comes of this donation."""
    state, site = _opened(donation)
    on_its_way = state.draw.finished and state.draw.finished.gives_plasma and not state.kept_whole
    return rules.freezer_due_at(state.draw, site) if on_its_way and not state.draw.discarded else None


def _step(
    request: HttpRequest,
    donation: str,
    form_class: Callable[..., forms.StepForm],
    command: Callable[[Values], Command],
    say: Callable[[Values, Recorded], str],
    template: str,
    already: str,
    shown: Values | None = None,
) -> HttpResponse:
    """One question: asks it, records the answer, says it back and goes on to the next step.

    `already` says that the question is answered or does not arise: then it is not asked again.
    """
    row = get_object_or_404(DonationRow.objects.select_related("donor"), pk=donation)
    if request.method != "POST" and (already or row.discarded):
        messages.info(request, already or "This donation was discarded.")
        return redirect("next-step", donation)
    form = form_class(request.POST or None, seen=seen(f"donation/{donation}"), initial=again(request))
    sent = request.method == "POST" and form.is_valid()
    if sent and (done := recorded(request, form, command(form.cleaned_data))):
        messages.success(request, say(form.cleaned_data, done))
        return redirect("next-step", donation)
    shown = {**(shown or {}), "form": form, "donation": row, "freezer_due_at": _freezer_due_at(donation)}
    return render(request, template, shown)
