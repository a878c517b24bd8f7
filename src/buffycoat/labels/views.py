"""Labels: print one, stick it on, scan it back."""

from datetime import UTC, datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from buffycoat.draws.models import DonationRow
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.labels.paper import unit_label, unit_label_for
from buffycoat.labels.products import dating_key, expires_at, product_of, storage_range
from buffycoat.labels.rules import Labelling, LabelPrinted, PrintLabel, ScanLabelBack
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import Separation
from buffycoat.shell.forms import BenchForm, CodeField, MomentField, WordsField
from buffycoat.shell.recording import recorded, seen
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import limits


class PrintForm(BenchForm):
    reason = WordsField(
        label="Why another one",
        required=False,
        hint="For example: smeared, torn, wrong roll. Destroy the old label first.",
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
    if part not in state.parts:
        raise Http404("This donation gives no such product.")
    before = look(Labelling, donation).printed.get(part)
    form = PrintForm(request.POST or None, seen=seen(f"donation/{donation}"))
    if request.method == "POST" and form.is_valid():
        command = PrintLabel(donation=donation, part=part, reason=form.cleaned_data["reason"])
        if done := recorded(request, form, command):
            printed = done.the(LabelPrinted)
            messages.success(request, f"Label of {show_code(printed.unit)} is ready. Next: stick it on and scan it.")
            return redirect("next-step", donation)
    product = product_of(state, part, now, site)
    key = dating_key(product, row.species, state.draw.started.bag_set.anticoagulant) if state.draw.started else ""
    shown = {
        "form": form,
        "donation": row,
        "part": part,
        "before": before,
        "product": product,
        "becomes": before is not None and before.product != product.key,
        "expires_at": expires_at(product, state, site),
        "storage": storage_range(product, site),
        "limits": [{"limit": LIMITS[key], "value": site.whole(key)}],
    }
    return render(request, "labels/print.html", shown)


@require_safe
def label_pdf(request: HttpRequest, donation: str, part: str) -> HttpResponse:
    row = get_object_or_404(
        UnitRow.objects.select_related("donation__donor", "donation__lot"), donation_id=donation, part=part
    )
    pdf = unit_label(unit_label_for(row, datetime.now(UTC), limits(Book())))
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{row.unit}.pdf"'},
    )


def scan_back(request: HttpRequest, donation: str) -> HttpResponse:
    """The label counts only when it was scanned from the bag itself."""
    row = get_object_or_404(DonationRow.objects.select_related("donor"), pk=donation)
    awaited = Book()(Labelling, donation).awaited
    form = ScanBackForm(request.POST or None, seen=seen(f"donation/{donation}"))
    if request.method == "POST" and form.is_valid():
        command = ScanLabelBack(donation=donation, unit=form.cleaned_data["unit"])
        if recorded(request, form, command):
            messages.success(request, f"{show_code(command.unit)} is labelled. Next is below.")
            return redirect("next-step", donation)
    if awaited is None and not form.errors:
        return redirect("next-step", donation)
    shown = {"form": form, "donation": row, "awaited": awaited}
    return render(request, "labels/scan_back.html", shown)
