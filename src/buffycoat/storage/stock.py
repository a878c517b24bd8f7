"""What is on the shelves at a moment, oldest first."""

from dataclasses import dataclass
from datetime import datetime

from buffycoat.donors.rules import TYPE_UNKNOWN
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import PRODUCTS, Product
from buffycoat.science.shelf_life import days_left
from buffycoat.site.rules import Limits
from buffycoat.storage.models import ShelfRow
from buffycoat.storage.rules import status


@dataclass(frozen=True, kw_only=True)
class StockedUnit:
    row: UnitRow
    product: Product
    place: str
    status: str
    days_left: int
    discarded: str
    held: str
    stop_because: str


def stocked(row: UnitRow, at: datetime, site: Limits) -> StockedUnit:
    shelf: ShelfRow = row.shelf
    held = "; ".join(filter(None, (shelf.held, row.donation.donor.held)))
    return StockedUnit(
        row=row,
        product=PRODUCTS[row.product],
        place=shelf.place.name if shelf.place else "",
        status=status(
            labelled=row.labelled_at is not None,
            put_away=shelf.place_id is not None,
            gone=bool(shelf.discarded),
            wrong_type=row.blood_type != row.donation.donor.blood_type,
            held=bool(held),
            expires_at=row.expires_at,
            at=at,
            site=site,
        ),
        days_left=days_left(row.expires_at, at, site.zone),
        discarded=shelf.discarded,
        held=held,
        stop_because=why_stop(
            labelled=row.labelled_at is not None,
            label_type=row.blood_type,
            donor_type=row.donation.donor.blood_type,
            expired=at > row.expires_at,
        ),
    )


def why_stop(*, labelled: bool, label_type: str, donor_type: str, expired: bool) -> str:
    """Why a unit shows stop, and what to do with it."""
    if expired:
        return "expired: discard it"
    if donor_type == TYPE_UNKNOWN:
        return "its donor's blood type is not known any more: type the donor, then print its label again"
    if label_type != donor_type:
        return f"its donor is now {donor_type}: print its label again, or discard it"
    return "" if labelled else "its label was not scanned back: scan it from the bag, or print another"


def stock(at: datetime, site: Limits) -> list[StockedUnit]:
    """Every unit that stands in a place and is not gone; the first to expire comes first."""
    rows = UnitRow.objects.filter(shelf__place__isnull=False, shelf__discarded="").select_related(
        "shelf__place", "donation__donor"
    )
    return [stocked(row, at, site) for row in rows]
