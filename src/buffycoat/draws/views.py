"""Drawing: from the donor's card to the mass on the scale, one question a page."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe
from django_htmx.http import replace_url

from buffycoat.benches.weighing import Window, scale_of
from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import stream_of as donor_stream
from buffycoat.draws.forms import QUESTIONS, DiscardForm, FinishForm, Question, StartForm, VolumeForm
from buffycoat.draws.models import DonationRow
from buffycoat.draws.paper import donation_stickers
from buffycoat.draws.rules import (
    AS_WANTED,
    DiscardDonation,
    DonationDiscarded,
    Draw,
    DrawFinished,
    DrawStarted,
    FinishDraw,
    StartDraw,
    stream_of,
    usual_range_ml,
)
from buffycoat.draws.starting import Draft
from buffycoat.journal.book import Book
from buffycoat.science.numbering import show_code
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.shell.words import density, grams, millilitres
from buffycoat.site.forms import shown
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import Limits, limits

RECENT = 50
BESIDE = ("number", "happened_at", "reading")  # of a draw that is written later, and how its tare came in
LARGEST = ("blood_volume_ml_per_kg", "largest_draw_percent", "largest_draw_ml_per_kg")


@require_safe
def draws(request: HttpRequest) -> HttpResponse:
    """What is running, with its clock, and what was drawn lately and became of it."""
    rows = DonationRow.objects.filter(lot__isnull=False).select_related("donor", "lot")
    longest = timedelta(minutes=limits(Book()).whole("longest_draw_min"))
    running = rows.filter(finished_at=None, discarded="").order_by("started_at")
    recent = rows.exclude(finished_at=None, discarded="").prefetch_related("units")[:RECENT]
    tiles = [{"row": row, "due_at": row.started_at + longest} for row in running]
    return render(request, "draws/draws.html", {"running": tiles, "recent": recent})


def new_draw(request: HttpRequest) -> HttpResponse:
    """Donor, set, tare, volume. What is answered stands in the address: Back and reload lose nothing."""
    form = StartForm(request.POST) if request.method == "POST" else None
    if form is not None and form.is_valid() and (started := _started(request, form)):
        return started
    draft, question = _answers(request.GET)
    if draft.donor and (why_not := draft.why_not_donor()):
        return render(request, "draws/start_stop.html", {"draft": draft, "why_not": why_not})
    if question is not None:
        return render(request, f"draws/start_{question.name}.html", _asking(request.GET, draft, question))
    return render(request, "draws/start_volume.html", _last_question(request.GET, draft, form))


def _started(request: HttpRequest, form: StartForm) -> HttpResponse | None:
    values = {name: form.cleaned_data[name] for name in ("donor", "lot", "tare_g", "wanted_ml")}
    scale = scale_of(form.cleaned_data, "tare_g")
    command = StartDraw(**values, number=form.cleaned_data["number"] or "", scale=scale)
    if result := recorded(request, form, command):
        started = result.the(DrawStarted)
        messages.success(
            request,
            f"Draw {show_code(started.donation)} has begun: {grams(started.tare_g)} of empty set and "
            f"{millilitres(started.wanted_ml)} at {density(started.blood_density_mg_per_ml)} make "
            f"{grams(started.target_g)}. Next: a sticker on every bag of the set.",
        )
        return redirect("draw-finish", started.donation)
    return None


def _answers(given: QueryDict) -> tuple[Draft, Question | None]:
    """The draft by the address, and the first question that has no good answer there."""
    draft = Draft.empty(_when(given))
    for kind in QUESTIONS:
        question = kind(given if kind.name in given else None, draft=draft)
        if not question.is_valid():
            return draft, question
        draft = question.after
        if draft.why_not_donor():
            break
    return draft, None


def _when(given: QueryDict) -> datetime:
    try:
        return StartForm.base_fields["happened_at"].clean(given.get("happened_at")) or datetime.now(UTC)
    except ValidationError:
        return datetime.now(UTC)  # the last question shows what was given, and says what is wrong with it


def _asking(given: QueryDict, draft: Draft, question: Question) -> dict[str, Any]:
    order = [kind.name for kind in QUESTIONS]
    before = order[: order.index(question.name)]
    kept = {
        name: given[name]
        for name in [*order, "wanted_ml", *BESIDE]
        if name in given and name != question.name
    }
    return {
        "draft": draft,
        "form": question,
        "kept": kept,
        "back": _address(given, before[:-1]) if before else "",
        "window": _tare_window(draft) if question.name == "tare_g" else None,
    }


def _tare_window(draft: Draft) -> Window:
    least_g, most_g = draft.usual_tare_g
    return Window(field="tare_g", least_g=least_g, most_g=most_g, auto=True)


def _address(given: QueryDict, names: Iterable[str]) -> str:
    kept = {name: given[name] for name in [*names, *BESIDE] if name in given}
    return reverse("draw-new") + (f"?{urlencode(kept)}" if kept else "")


def _last_question(given: QueryDict, draft: Draft, form: StartForm | None) -> dict[str, Any]:
    start = {**_values(draft), "wanted_ml": given.get("wanted_ml") or draft.default_ml}
    start |= {name: given.get(name) for name in BESIDE}
    if form is None:
        form = StartForm(initial=start, seen=seen(donor_stream(start["donor"])))
    form.live(f"{reverse('draw-target')}?{urlencode(_values(draft))}")
    volume = VolumeForm({"wanted_ml": form["wanted_ml"].value()})
    target = draft.target(volume.cleaned_data["wanted_ml"]) if volume.is_valid() else None
    return {
        "draft": draft,
        "form": form,
        "target": target,
        "back": _address(given, ("donor", "lot")),
        "density": _limits(draft.site, f"{draft.registered.species}_blood_density_mg_per_ml"),
        "limits": _limits(
            draft.site,
            *(f"{draft.registered.species}_{key}" for key in LARGEST),
            "usual_range_percent",
        ),
    }


def _values(draft: Draft) -> dict[str, Any]:
    assert draft.donor and draft.lot
    return {"donor": draft.donor.number, "lot": draft.lot.number, "tare_g": draft.tare_g}


@require_safe
def target(request: HttpRequest) -> HttpResponse:
    """The target mass while the volume is typed; the address of the page goes along, so that reload keeps it."""
    draft, question = _answers(request.GET)
    if question is not None or draft.tare_g is None:
        raise Http404("Answer the questions before first: donor, bag set, empty set.")
    volume = VolumeForm(request.GET)
    if not volume.is_valid():
        return render(request, "draws/_target.html", {"draft": draft, "target": None})
    wanted_ml = volume.cleaned_data["wanted_ml"]
    page = render(request, "draws/_target.html", {"draft": draft, "target": draft.target(wanted_ml)})
    return replace_url(page, f"{reverse('draw-new')}?{urlencode(_values(draft) | {'wanted_ml': wanted_ml})}")


def finish(request: HttpRequest, donation: str) -> HttpResponse:
    """The running draw, and once it is finished what it gave."""
    draw = _known(donation)
    form = FinishForm(request.POST or None, seen=seen(stream_of(donation)), initial=again(request))
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        gross_g, scale = values["gross_g"], scale_of(values, "gross_g")
        command = FinishDraw(donation=donation, gross_g=gross_g, scale=scale)
        if result := recorded(request, form, command):
            messages.success(request, _read_back(draw, result.the(DrawFinished)))
            return redirect("draw-finish", donation)
        draw = _known(donation)
    page = "draws/running.html" if draw.finished is None and draw.discarded is None else "draws/result.html"
    return render(request, page, _of(draw) | {"form": form, "window": _filling_window(draw)})


def _filling_window(draw: Draw) -> Window:
    assert draw.started
    stop_g = draw.started.target_g
    return Window(field="gross_g", least_g=draw.started.tare_g, most_g=stop_g, stop_g=stop_g)


def _read_back(draw: Draw, finished: DrawFinished) -> str:
    assert draw.started
    return (
        f"{grams(finished.gross_g)} less {grams(draw.started.tare_g)} of empty set is {grams(finished.blood_g)}: "
        f"{millilitres(finished.volume_ml)} at {density(draw.started.blood_density_mg_per_ml)}, {finished.filling}."
    )


def discard(request: HttpRequest, donation: str) -> HttpResponse:
    draw = _known(donation)
    if draw.discarded and request.method != "POST":
        done = when_done(stream_of(donation), DonationDiscarded)
        messages.info(request, f"{show_code(donation)} is discarded already, {done}.")
        return redirect("draw-finish", donation)
    because = " ".join(draw.finished.because) if draw.finished and not draw.finished.usable else ""
    form = DiscardForm(request.POST or None, seen=seen(stream_of(donation)), initial={"reason": because})
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        if recorded(request, form, DiscardDonation(donation=donation, reason=reason)):
            messages.success(
                request, f"{show_code(donation)} is discarded and not offered any more: {reason}"
            )
            return redirect("next-step", donation)
        draw = _known(donation)
    return render(request, "draws/discard.html", _of(draw) | {"form": form})


@require_safe
def stickers_pdf(request: HttpRequest, donation: str) -> HttpResponse:
    row = get_object_or_404(DonationRow.objects.select_related("donor"), pk=donation)
    return pdf_answer(donation_stickers(row, limits(Book())), f"stickers-{donation}")


def _known(donation: str) -> Draw:
    draw = Book()(Draw, donation)
    if draw.started is None or draw.started_at is None:
        raise Http404(f"No donation has the number {donation}: scan the bag again.")
    return draw


def _of(draw: Draw) -> dict[str, Any]:
    assert draw.started and draw.started_at
    site = limits(Book())
    return {
        "draw": draw,
        "donor": DonorRow.objects.get(donor=draw.started.donor),
        "due_at": draw.started_at + timedelta(minutes=site.whole("longest_draw_min")),
        "longest_min": site.whole("longest_draw_min"),
        "lasted_s": int((draw.finished_at - draw.started_at).total_seconds()) if draw.finished_at else None,
        "range_ml": usual_range_ml(draw.started.bag_set.nominal_ml, site),
        "recorded": when_done(stream_of(draw.number), DrawFinished),
        "gives": _gives(draw.finished) if draw.finished else "",
        "limits": _limits(
            site,
            f"{draw.started.species}_blood_density_mg_per_ml",
            "usual_range_percent",
            "red_cells_only_from_permille",
            "longest_draw_min",
        ),
    }


def _gives(finished: DrawFinished) -> str:
    if not finished.usable:
        return "nothing: discard the bag"
    if finished.gives_plasma:
        return "red cells and plasma, or whole blood"
    return "red cells or whole blood, no plasma" if finished.filling == AS_WANTED else "red cells only"


def _limits(site: Limits, *keys: str) -> list[dict[str, str]]:
    """Limits as a page shows them beside what they decide."""
    return [
        {
            "key": key,
            "title": LIMITS[key].title,
            "value": shown(LIMITS[key], site.set_here.get(key, LIMITS[key].default)),
            "source": LIMITS[key].source,
            "set_here": "yes" if key in site.set_here else "",
        }
        for key in keys
    ]
