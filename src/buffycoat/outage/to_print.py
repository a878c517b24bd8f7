"""Blank sheets with spare numbers, for the printing queue."""

from datetime import UTC, datetime

from buffycoat.journal.book import Book
from buffycoat.outage.pack import usable_lots
from buffycoat.outage.paper import blank_sheets_pdf
from buffycoat.outage.sheets import blank_sheets
from buffycoat.printing.documents import Document, made_by
from buffycoat.site.rules import limits


@made_by("sheets")
def sheets(rest: str) -> Document | None:
    blank = blank_sheets()
    if rest != "blank" or not blank:
        return None
    site = limits(Book())
    title = f"{len(blank)} blank sheet{'s' if len(blank) > 1 else ''}"
    return Document(
        title=title, pdf=lambda: blank_sheets_pdf(blank, usable_lots(site), datetime.now(UTC), site)
    )
