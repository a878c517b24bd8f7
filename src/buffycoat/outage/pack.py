"""The morning pack: stock, open jobs and blank sheets as they are now, on paper."""

from collections.abc import Sequence
from datetime import UTC, datetime

from buffycoat.draws.bag_sets import BagSetLot, BagSetLotReceived
from buffycoat.draws.models import BagSetLotRow
from buffycoat.journal.book import Book
from buffycoat.outage.paper import morning_pack_pdf
from buffycoat.outage.sheets import Sheet
from buffycoat.site.rules import Limits, limits
from buffycoat.storage.stock import stock
from buffycoat.trace.jobs import jobs


def usable_lots(site: Limits) -> list[BagSetLotReceived]:
    today, look = datetime.now(site.zone).date(), Book()
    states = [look(BagSetLot, row.lot) for row in BagSetLotRow.objects.filter(expires_on__gte=today)]
    return [state.received for state in states if state.received]


def morning_pack(sheets: Sequence[Sheet]) -> bytes:
    at, site = datetime.now(UTC), limits(Book())
    units = sorted(
        stock(at, site), key=lambda unit: (unit.row.species, unit.product.name, unit.row.expires_at)
    )
    return morning_pack_pdf(units, jobs(), sheets, usable_lots(site), at, site)
