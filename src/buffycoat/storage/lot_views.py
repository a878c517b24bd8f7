"""What was made with a lot of bag sets, and where each unit of it is now."""

from datetime import UTC, datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from buffycoat.draws.models import BagSetLotRow, DonationRow
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.site.rules import limits
from buffycoat.storage.rules import GONE
from buffycoat.storage.stock import stocked


@require_safe
def units(request: HttpRequest, lot: str) -> HttpResponse:
    """Every unit first what is still here, then what is gone; and the donations that have no labelled unit yet."""
    row, now, site = get_object_or_404(BagSetLotRow, pk=lot), datetime.now(UTC), limits(Book())
    made = UnitRow.objects.filter(donation__lot=lot).select_related(
        "shelf__place", "donation__donor", "donation__lot"
    )
    units = [stocked(each, now, site) for each in made]
    unlabelled = DonationRow.objects.filter(lot=lot, units=None).select_related("donor")
    shown = {
        "lot": row,
        "here": [unit for unit in units if unit.status != GONE],
        "gone": [unit for unit in units if unit.status == GONE],
        "unlabelled": unlabelled,
    }
    return render(request, "storage/lot_units.html", shown)
