"""What is on the shelves at a moment, oldest first."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from buffycoat.donors.rules import TYPE_UNKNOWN
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import FRESH, PRODUCTS, Product
from buffycoat.science.shelf_life import after_years, days_left
from buffycoat.shell.words import clock_or_moment
from buffycoat.site.rules import Limits
from buffycoat.storage.models import ShelfRow
from buffycoat.storage.out_of_fridge import Outings, by_surface, in_minutes
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
    out: str
    back_by: datetime | None
    divided: bool
    aged: bool


def stocked(row: UnitRow, at: datetime, site: Limits) -> StockedUnit:
    shelf: ShelfRow = row.shelf
    lot, outings = row.donation.lot, shelf.outings
    now_late = lot is not None and aged(row.product, row.drawn_at, row.expires_at, at, site)
    held = "; ".join(filter(None, (shelf.held, row.donation.donor.held, lot.held if lot else "")))
    return StockedUnit(
        row=row,
        product=PRODUCTS[row.product],
        place=shelf.place.name if shelf.place else "",
        status=status(
            labelled=row.labelled_at is not None,
            put_away=shelf.place_id is not None,
            gone=bool(shelf.discarded),
            label_true=row.label_true,
            out=outings.since is not None,
            warm=outings.warm(at, site),
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
            label_true=row.label_true,
            warm=outings.warm(at, site),
            aged=now_late,
        ),
        out=_out(outings, at, site),
        back_by=outings.back_by(site),
        divided=shelf.divided,
        aged=now_late,
    )


def _out(outings: Outings, at: datetime, site: Limits) -> str:
    """Since when it is out, until when it may come back, and how long it was out before."""
    back_by = outings.back_by(site)
    if outings.since is None or back_by is None:
        return ""
    words = f"out since {clock_or_moment(outings.since, site.zone, at)}"
    if not by_surface(site):
        words += f", back by {clock_or_moment(back_by, site.zone, at)}"
    return f"{words}, {in_minutes(outings.before_s)} out before" if outings.before_s else words


def aged(product: str, drawn_at: datetime, expires_at: datetime, at: datetime, site: Limits) -> bool:
    """Fresh frozen plasma that came to its date and may now be labelled as frozen plasma."""
    late_end = after_years(drawn_at, site.whole("frozen_plasma_years"), site.zone)
    return product == FRESH and expires_at < at <= late_end


def why_stop(
    *,
    labelled: bool,
    label_type: str,
    donor_type: str,
    expired: bool,
    label_true: bool = True,
    warm: bool = False,
    aged: bool = False,
) -> str:
    """Why a unit shows stop, and what to do with it."""
    if aged:
        return "its date as fresh frozen plasma is over: print its label again, it is frozen plasma now"
    if expired:
        return "expired: discard it"
    if donor_type == TYPE_UNKNOWN:
        return "its donor's blood type is not known any more: type the donor, then print its label again"
    if label_type != donor_type:
        return f"its donor is now {donor_type}: print its label again, or discard it"
    if not label_true:
        return "its label is no longer true: print it again"
    if not labelled:
        return "its label was not scanned back: scan it from the bag, or print another"
    return "out of the fridge for too long: discard it" if warm else ""


def stock(at: datetime, site: Limits) -> list[StockedUnit]:
    """Every unit that stands in a place, or was taken out of it, and is not gone; the first to expire comes first."""
    here = Q(shelf__place__isnull=False) | Q(shelf__out_since__isnull=False)
    rows = UnitRow.objects.filter(here, shelf__discarded="").select_related(
        "shelf__place", "donation__donor", "donation__lot"
    )
    return [stocked(row, at, site) for row in rows]
