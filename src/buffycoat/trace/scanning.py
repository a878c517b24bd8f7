"""Where a scanned code leads, when no page asked for it."""

from django.db.models import Model
from django.urls import reverse

from buffycoat.donors.models import DonorRow
from buffycoat.draws.models import BagSetLotRow, DonationRow, SpareRow
from buffycoat.draws.stickers import BAGS, KINDS_OF_STICKERS, donation_of
from buffycoat.equipment.models import EquipmentRow
from buffycoat.issuing.models import RequestRow
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.patients.models import PatientRow
from buffycoat.science.numbering import Code, read_code
from buffycoat.site.rules import Limits
from buffycoat.spins.models import RotorRow, SpinRow
from buffycoat.storage.models import PlaceRow
from buffycoat.trace.jobs import next_step
from buffycoat.trace.stories import has_story

PAGES: dict[str, tuple[type[Model], str]] = {
    "D": (DonorRow, "donor"),
    "G": (DonationRow, "donation"),
    "U": (UnitRow, "unit"),
    "P": (PlaceRow, "place"),
    "R": (SpinRow, "spin"),
    "L": (BagSetLotRow, "bag-set"),
    "T": (RotorRow, "rotor"),
    "E": (EquipmentRow, "equipment-piece"),
    "A": (PatientRow, "patient"),
    "Q": (RequestRow, "request"),
}


def page_of(code: Code) -> str | None:
    """The address for a code: a bag in work leads to its next step; None if we know nothing by that number.

    A tube or a paper with the donation's sticker leads to its story: there is nothing to do with them at the bench.
    """
    in_hand = code.kind
    if in_hand in KINDS_OF_STICKERS:
        code = read_code(donation_of(code))
    if code.kind not in PAGES:
        return None
    model, name = PAGES[code.kind]
    if not model._default_manager.filter(pk=code.text).exists():
        if SpareRow.objects.filter(sheet=code.text).exists():
            return f"{reverse('catch-up')}?sheet={code.text}"
        return reverse("story", args=[code.text]) if has_story(code.text) else None
    if in_hand in BAGS and next_step(Book(), code.text):
        return reverse("next-step", args=[code.text])
    return reverse(name, args=[code.text])


def why_no_page(code: Code, site: Limits) -> str:
    """Why a code that is right in itself opens nothing here."""
    if code.kind not in PAGES and code.kind not in KINDS_OF_STICKERS:
        return f"This is the code of a {code.noun}, and that opens no page: scan a bag, a donor, a place or a sheet."
    if code.site != site.text("site_code"):
        return (
            f"This is the code of a {code.noun} from another site ({code.site}; ours has {site.text('site_code')}): "
            "its story is in that site's book."
        )
    return f"This is a good code of a {code.noun}, but nothing by that number is in the book. Is it from another book?"
