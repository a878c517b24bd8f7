"""Lists that leave the bank: CSV and workbook, which a spreadsheet opens and which can be brought in again."""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import Donor
from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import Draw
from buffycoat.earlier.models import EarlierDonationRow, OldNumberRow
from buffycoat.journal.book import Book
from buffycoat.lists.columns import DONATIONS, DONORS, STOCK
from buffycoat.lists.deciding import REFUSED, Judged, Told
from buffycoat.people.models import OwnerContact
from buffycoat.site.rules import limits
from buffycoat.storage.stock import stock

Line = Sequence[str]
OWNER = ("Owner's name", "Owner's phone", "Owner's e-mail")
TURNED_INTO_FORMULAS = ("=", "+", "-", "@", "\t", "\r")


def harmless(text: str) -> str:
    """A cell that a spreadsheet would take for a formula begins with an apostrophe."""
    return f"'{text}" if text.startswith(TURNED_INTO_FORMULAS) else text


def as_csv(lines: Iterable[Line]) -> bytes:
    """UTF-8 with its mark, by which spreadsheet programs know it."""
    text = io.StringIO(newline="")
    csv.writer(text).writerows([harmless(cell) for cell in line] for line in lines)
    return text.getvalue().encode("utf-8-sig")


def as_workbook(lines: Iterable[Line]) -> bytes:
    import openpyxl  # here: it would make every start a quarter of a second longer

    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("List")
    for line in lines:
        sheet.append([harmless(cell) for cell in line])
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


FORMS: dict[str, tuple[Callable[[Iterable[Line]], bytes], str]] = {
    "csv": (as_csv, "text/csv; charset=utf-8"),
    "xlsx": (as_workbook, "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
}


def donors(*, owners: bool, now: datetime) -> Iterator[Line]:
    old = dict(OldNumberRow.objects.values_list("number", "old_number"))
    contacts = {contact.donor: contact for contact in OwnerContact.objects.all()} if owners else {}
    yield (
        *(
            "Number",
            "Name",
            "Species",
            "Sex",
            "Born",
            "Breed",
            "Chip",
            "Blood type",
            "Weight (kg)",
            "PCV (%)",
        ),
        *("Weighed on", "Cautions", "Older number", "Retired", *(OWNER if owners else ())),
    )
    zone = limits(Book()).zone
    for row in DonorRow.objects.order_by("donor"):
        contact = contacts.get(row.donor)
        reached = (contact.name, contact.phone, contact.email) if contact else ("", "", "")
        yield (
            row.donor,
            row.name,
            row.species,
            row.sex,
            row.born_on.isoformat(),
            row.breed,
            row.chip,
            row.blood_type,
            _scaled(row.weight_g, 1000),
            _scaled(row.pcv_permille, 10),
            _weighed_on(row, zone),
            row.cautions,
            old.get(row.donor, ""),
            row.retired,
            *(reached if owners else ()),
        )


def _weighed_on(row: DonorRow, zone: ZoneInfo) -> str:
    if row.examined_at:
        return row.examined_at.astimezone(zone).date().isoformat()
    came = Book()(Donor, row.donor).brought_in if row.weight_g or row.pcv_permille else None
    return came.measured_on.isoformat() if came and came.measured_on else ""


def donations(*, owners: bool, now: datetime) -> Iterator[Line]:
    yield (
        "Donor",
        "Name",
        "Gave on",
        "Donation's number before",
        "Volume (mL)",
        "Weight (kg)",
        "PCV (%)",
        "Discarded",
    )
    look, zone = Book(), limits(Book()).zone
    for earlier in EarlierDonationRow.objects.select_related("donor"):
        yield (
            earlier.donor_id,
            earlier.donor.name,
            _moment(earlier.gave_at, zone),
            earlier.old_number,
            _scaled(earlier.volume_ml, 1),
            _scaled(earlier.weight_g, 1000),
            _scaled(earlier.pcv_permille, 10),
            "",
        )
    for row in (
        DonationRow.objects.filter(finished_at__isnull=False, lot__isnull=False)
        .select_related("donor")
        .order_by("started_at")
    ):
        started = look(Draw, row.donation).started
        yield (
            row.donor_id,
            row.donor.name,
            _moment(row.started_at, zone),
            row.donation,
            _scaled(row.volume_ml, 1),
            _scaled(started.weight_g if started else None, 1000),
            _scaled(started.pcv_permille if started else None, 10),
            row.discarded,
        )


def units(*, owners: bool, now: datetime) -> Iterator[Line]:
    site = limits(Book())
    yield (
        *(
            "Unit's number before",
            "Product",
            "Species",
            "Blood type",
            "Volume (mL)",
            "Drawn on",
            "Expires",
            "Place",
        ),
        *("Donor", "State"),
    )
    for unit in stock(now, site):
        row = unit.row
        yield (
            row.unit,
            unit.product.name,
            row.species,
            row.blood_type,
            _scaled(row.volume_ml, 1),
            _moment(row.drawn_at, site.zone),
            _moment(row.expires_at, site.zone),
            unit.place,
            row.donation.donor_id,
            unit.status,
        )


def _scaled(value: int | None, by: int) -> str:
    return "" if value is None else f"{value / by:g}" if by > 1 else str(value)


def _moment(at: datetime, zone: ZoneInfo) -> str:
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M}"


def refused_lines(told: Told, rows: Iterable[Judged]) -> Iterator[Line]:
    """The refused rows as they came, with the reasons before them."""
    cells = {row.number: row.cells for row in told.sheet.rows}
    yield "Row before", "Why it was refused", *told.sheet.headings
    for row in rows:
        if row.verdict == REFUSED:
            yield str(row.number), " ".join(row.reasons), *cells[row.number]


TABLES = {DONORS: donors, DONATIONS: donations, STOCK: units}
