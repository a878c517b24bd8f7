"""The separation at the bench: one question a page, each page one command."""

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Command
from buffycoat.separation import forms, rules
from buffycoat.separation.contents import predict
from buffycoat.separation.pictures import bag_picture
from buffycoat.separation.weighings import ProductWeighed, WeighProduct, empty_g, expected_g
from buffycoat.shell.recording import recorded, seen
from buffycoat.shell.words import grams, millilitres, permille_as_percent
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import limits


@require_safe
def separations(request: HttpRequest) -> HttpResponse:
    """Every filled bag with something left to do."""
    rows = DonationRow.objects.filter(open_job__isnull=False, finished_at__isnull=False)
    return render(request, "separation/separations.html", {"donations": rows.select_related("donor", "separation")})


def express(request: HttpRequest, donation: str) -> HttpResponse:
    look, state, site = _opened(donation)
    prediction = predict(state.draw, site) if state.draw.finished else None
    if prediction is None:
        raise Http404("This draw is not finished.")

    def command(values: dict) -> Command:
        return rules.ExpressPlasma(donation=donation, plasma_g=values["plasma_g"])

    def say(values: dict) -> str:
        off_g = values["plasma_g"] - prediction.express_g
        beside = "as planned" if off_g == 0 else f"{grams(abs(off_g))} {'over' if off_g > 0 else 'under'} the plan"
        return f"Plasma {grams(values['plasma_g'])}, {beside}."

    shown = {
        "prediction": prediction,
        "stop_with_bag_g": prediction.express_g + empty_g(state, rules.PLASMA),
        "gives_plasma": state.draw.finished.gives_plasma,
        "freezer_due_at": rules.freezer_due_at(state.draw, site),
        "picture": bag_picture(prediction),
        "limits": _with_sources(site, "plasma_left_percent", "packed_haematocrit_percent", "freezer_clock_h"),
    }
    return _step(request, donation, forms.ExpressForm, command, say, "separation/express.html", shown)


def keep_whole(request: HttpRequest, donation: str) -> HttpResponse:
    return _step(
        request,
        donation,
        forms.KeepWholeForm,
        lambda values: rules.KeepWhole(donation=donation),
        lambda values: "Kept as whole blood. Next: look for clots.",
        "separation/keep_whole.html",
        {},
    )


def additive(request: HttpRequest, donation: str) -> HttpResponse:
    look, state, site = _opened(donation)
    assert state.draw.started
    bag_set = state.draw.started.bag_set

    def command(values: dict) -> Command:
        if values["outcome"] == forms.LOST:
            return rules.LoseAdditive(donation=donation, reason=values["reason"])
        return rules.AddAdditive(donation=donation, additive_ml=bag_set.additive_ml)

    def say(values: dict) -> str:
        if values["outcome"] == forms.LOST:
            return "Additive lost: the red cells keep the shorter date. Next: look for clots."
        return f"{millilitres(bag_set.additive_ml)} of {bag_set.additive} ran in. Next: look for clots."

    return _step(request, donation, forms.AdditiveForm, command, say, "separation/additive.html", {"bag_set": bag_set})


def clots(request: HttpRequest, donation: str) -> HttpResponse:
    def say(values: dict) -> str:
        if values["clots"] == forms.CLOTS_SEEN:
            return "Clots seen: this donation is discarded. Put the bags in the waste by your local rules."
        return "No clot. Next: seal the segments."

    return _step(
        request,
        donation,
        forms.ClotsForm,
        lambda values: rules.LookForClots(donation=donation, clots=values["clots"] == forms.CLOTS_SEEN),
        say,
        "separation/clots.html",
        {},
    )


def segments(request: HttpRequest, donation: str) -> HttpResponse:
    return _step(
        request,
        donation,
        forms.SegmentsForm,
        lambda values: rules.SealSegments(donation=donation, segments=values["segments"]),
        lambda values: f"{values['segments']} segments sealed. Next: weigh.",
        "separation/segments.html",
        {"limits": _with_sources(limits(Book()), "least_segments")},
    )


def weigh(request: HttpRequest, donation: str, part: str) -> HttpResponse:
    look, state, site = _opened(donation)
    if part not in state.parts:
        raise Http404("This donation gives no such product.")

    def say(values: dict) -> str:
        weighed = values["recorded"].the(ProductWeighed)
        words = f"{grams(weighed.gross_g)} less bag {grams(weighed.empty_g)} = {millilitres(weighed.volume_ml)}"
        if part == rules.RED_CELLS:
            words += f", of it red cells with their plasma {millilitres(weighed.red_cell_part_ml)}"
            words += f"; haematocrit computed {permille_as_percent(weighed.haematocrit_permille)}"
        return f"{words}."

    shown = {
        "part": part.replace("-", " "),
        "empty_g": empty_g(state, part),
        "expected_gross_g": expected_g(state, part, site) + empty_g(state, part),
        "limits": _with_sources(site, "weighing_tolerance_g"),
    }
    return _step(
        request,
        donation,
        forms.WeighForm,
        lambda values: WeighProduct(
            donation=donation, part=part, gross_g=values["gross_g"], explained=values["explained"]
        ),
        say,
        "separation/weigh.html",
        shown,
    )


def _opened(donation: str):
    look = Book()
    state = look(rules.Separation, donation)
    if state.draw.started is None:
        raise Http404("No donation has this number.")
    return look, state, limits(look)


def _with_sources(site, *keys: str) -> list[dict]:
    return [{"limit": LIMITS[key], "value": site.whole(key)} for key in keys]


def _step(
    request: HttpRequest,
    donation: str,
    form_class: type[forms.StepForm],
    command: Callable[[dict], Command],
    say: Callable[[dict], str],
    template: str,
    shown: dict,
) -> HttpResponse:
    """One question: asks it, records the answer, says it back and goes on to the next step."""
    row = get_object_or_404(DonationRow.objects.select_related("donor"), pk=donation)
    form = form_class(request.POST or None, seen=seen(f"donation/{donation}"))
    if request.method == "POST" and form.is_valid():
        done = recorded(request, form, command(form.cleaned_data))
        if done:
            messages.success(request, say({**form.cleaned_data, "recorded": done}))
            return redirect("next-step", donation)
    shown = {**shown, "form": form, "donation": row}
    return render(request, template, shown)
