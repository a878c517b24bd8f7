"""Where a scanned code leads, when no page asked for it."""

from django.urls import reverse

from buffycoat.draws.models import DonationRow
from buffycoat.donors.models import DonorRow
from buffycoat.draws.models import BagSetLotRow
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.science.numbering import Code
from buffycoat.spins.models import RotorRow, SpinRow
from buffycoat.storage.models import PlaceRow
from buffycoat.trace.jobs import next_step

PAGES = {
    "D": (DonorRow, "donor"),
    "G": (DonationRow, "donation"),
    "U": (UnitRow, "unit"),
    "P": (PlaceRow, "place"),
    "R": (SpinRow, "spin"),
    "L": (BagSetLotRow, "bag-set"),
    "T": (RotorRow, "rotor"),
}


def page_of(code: Code) -> str | None:
    """The address for a code: a donation in work leads to its next step; None if we know nothing by that number."""
    model, name = PAGES.get(code.kind, (None, ""))
    if model is None or not model._default_manager.filter(pk=code.text).exists():
        return None
    if code.kind == "G" and next_step(Book(), code.text):
        return reverse("next-step", args=[code.text])
    return reverse(name, args=[code.text])
