"""Labels: print one, stick it on, scan it back."""

from datetime import UTC, datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.benches.here import bench_of
from buffycoat.donors.rules import TYPE_UNKNOWN
from buffycoat.draws.models import DonationRow, SpareRow
from buffycoat.draws.rules import stream_of
from buffycoat.journal.book import Book, standing
from buffycoat.labels.changes import OWN_END, Changes, parts_of, root_of, weighed_parts
from buffycoat.labels.models import UnitRow, unit_to_be
from buffycoat.labels.paper import unit_label, unit_label_for, unit_label_picture
from buffycoat.labels.products import PRODUCTS, dating_key, storage_range
from buffycoat.labels.rules import (
    Labelling,
    LabelPrinted,
    LabelScannedBack,
    PrintLabel,
    ScanLabelBack,
    due_now,
)
from buffycoat.labels.to_print import job_of, send_label
from buffycoat.printing.models import PrintJob
from buffycoat.printing.sending import why_not_again
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import PLASMA, RED_CELLS, WHOLE_BLOOD, Separation, bag_code, freezer_due_at
from buffycoat.shell.answers import pdf_answer
from buffycoat.shell.forms import BenchForm, CodeField, MomentField, WordsField
from buffycoat.shell.recording import again, recorded, seen, when_done
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import Limits, limits

PARTS = (RED_CELLS, PLASMA, WHOLE_BLOOD)


class PrintForm(BenchForm):
    reason = WordsField(
        label="Why another one",
        required=False,
        hint="For example: smeared, torn, wrong roll. Destroy the old label first.",
    )
    number = CodeField(
        label="Number from the paper sheet",
        kinds="U",
        required=False,
        hint="If one of the sheet's numbers was copied onto this bag, scan it: the unit keeps it.",
    )


class ScanBackForm(BenchForm):
    unit = CodeField(label="Unit number on the bag", kinds="U")
    happened_at = MomentField(label="Done at", required=False)


@require_safe
def labels(request: HttpRequest) -> HttpResponse:
    """Labels that were printed and not scanned back."""
    rows = UnitRow.objects.filter(labelled_at=None, shelf__discarded="").select_related("donation__donor")
    return render(request, "labels/labels.html", {"units": rows})


def print_label(request: HttpRequest, donation: str, part: str) -> HttpResponse:
    """Shows what the label will say; printing records it and goes on to the scan-back."""
    row = get_object_or_404(DonationRow.objects.select_related("donor"), pk=donation)
    look, now = Book(), datetime.now(UTC)
    site, state = limits(look), look(Separation, donation)
    if root_of(part) not in PARTS or state.draw.finished is None:
        raise Http404
    if part not in parts_of(look, donation) and request.method != "POST":
        divided = part in look(Changes, donation).divided
        gives = "It was divided: each part has a label of its own."
        messages.info(request, gives if divided else f"This donation gives no {part.replace('-', ' ')}.")
        return redirect("next-step", donation)
    form = PrintForm(request.POST or None, seen=seen(f"donation/{donation}"), initial=again(request))
    if request.method == "POST" and form.is_valid():
        values = form.cleaned_data
        command = PrintLabel(
            donation=donation, part=part, reason=values["reason"], number=values["number"] or ""
        )
        if done := recorded(request, form, command):
            printed = done.the(LabelPrinted)
            copy = f", copy {printed.copy}" if printed.copy > 1 else ""
            job = _to_the_printer(request, printed, form.for_record()["command_id"])
            how = "was given to the printer" if job else "is ready to be printed"
            messages.success(request, f"The label of {show_code(printed.unit)}{copy} {how}.")
            return redirect("next-step", donation)
    return render(request, "labels/print.html", _label_to_be(row, state, part, now, site) | {"form": form})


def _to_the_printer(request: HttpRequest, label: LabelPrinted, command_id: str) -> PrintJob | None:
    """At a bench with a printer the label comes out by itself; how that went stands on the next page."""
    bench = bench_of(request)
    if bench is None or not bench.printer_address:
        return None
    return send_label(bench, label, by=request.user.get_username(), command_id=command_id)


def _label_to_be(
    row: DonationRow, state: Separation, part: str, at: datetime, site: Limits
) -> dict[str, Any]:
    """What the label will say if it is printed now."""
    look = Book()
    labels, changes = look(Labelling, row.donation), look(Changes, row.donation)
    before, now = labels.printed.get(part), due_now(look, row.donation, part, at)
    product, weighed = PRODUCTS[now.product], weighed_parts(look, row.donation).get(part)
    assert state.draw.started
    key = dating_key(product, row.species, state.draw.started.bag_set.anticoagulant)
    keys = () if state.draw.brought_in else (key, "freezer_clock_h")
    return {
        "donation": row,
        "part": part,
        "from_before": state.draw.brought_in,
        "before": before,
        "before_when": when_done(stream_of(row.donation), LabelPrinted, part=part),
        "from_paper": before is None and SpareRow.objects.filter(sheet=row.donation).exists(),
        "product": product,
        "changed": changes.words(part),
        "because": now.because if now.because != OWN_END else "",
        "becomes": before is not None
        and (
            part in labels.untrue
            or (before.product, before.blood_type) != (product.key, row.donor.blood_type)
        ),
        "volume_ml": weighed.volume_ml if weighed else None,
        "untyped": row.donor.blood_type == TYPE_UNKNOWN,
        "expires_at": now.expires_at,
        "storage": storage_range(product, site),
        "freezer_due_at": freezer_due_at(state.draw, site) if part == PLASMA and before is None else None,
        "limits": [{"limit": LIMITS[each], "value": site.whole(each)} for each in keys],
    }


@require_safe
def label_pdf(request: HttpRequest, donation: str, part: str) -> HttpResponse:
    row = get_object_or_404(
        UnitRow.objects.select_related("donation__donor", "donation__lot"), donation_id=donation, part=part
    )
    return pdf_answer(unit_label(unit_label_for(row, row.printed_at, limits(Book()))), f"unit-{row.unit}")


@require_safe
def label_picture(request: HttpRequest, donation: str, part: str) -> HttpResponse:
    """The label as it was printed while it waits to be scanned back, else as it would be printed now."""
    look, now = Book(), datetime.now(UTC)
    awaited = look(Labelling, donation).awaited
    if awaited and awaited.part == part:
        row = UnitRow.objects.select_related("donation__lot").get(pk=awaited.unit)
        label = unit_label_for(row, row.printed_at, limits(look))
    elif part in parts_of(look, donation) and part in weighed_parts(look, donation):
        fact = next(fact for _, fact in PrintLabel(donation=donation, part=part).facts(look, now))
        row = unit_to_be(donation, part, standing(stream_of(donation)), fact, now)
        label = unit_label_for(row, now, limits(look))
    else:
        raise Http404
    return HttpResponse(
        unit_label_picture(label), content_type="image/png", headers={"Cache-Control": "no-store"}
    )


def scan_back(request: HttpRequest, donation: str) -> HttpResponse:
    """The label counts only when it was scanned from the bag itself."""
    row = get_object_or_404(DonationRow.objects.select_related("donor"), pk=donation)
    awaited = Book()(Labelling, donation).awaited
    form = ScanBackForm(request.POST or None, seen=seen(f"donation/{donation}"), initial=again(request))
    if request.method == "POST" and form.is_valid():
        command = ScanLabelBack(donation=donation, unit=form.cleaned_data["unit"])
        if done := recorded(request, form, command):
            unit = UnitRow.objects.get(pk=done.the(LabelScannedBack).unit)
            messages.success(request, f"{show_code(unit.unit)} is labelled: {unit.product_name}.")
            return redirect("next-step", donation)
    if awaited is None and not form.errors:
        if before := when_done(stream_of(donation), LabelScannedBack):
            messages.info(request, f"The last label was scanned back already, {before}.")
        return redirect("next-step", donation)
    product = PRODUCTS[awaited.product] if awaited else None
    shown = {"form": form, "donation": row, "awaited": awaited, "product": product}
    job = job_of(awaited)
    shown |= {"job": job, "may_try_again": job is not None and not why_not_again(job)}
    shown["bags"] = bag_code(donation, awaited.part) if awaited and awaited.part in PARTS else ""
    return render(request, "labels/scan_back.html", shown)
