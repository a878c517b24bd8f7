"""A label to try a printer with. Its matrix code carries what the scanner's test card does."""

from dataclasses import asdict
from pathlib import Path

from buffycoat.benches.keyboard import CARD
from buffycoat.journal.book import Book
from buffycoat.printing.documents import Document, made_by
from buffycoat.shell.paper import CODE_128, DATA_MATRIX, pdf, symbol
from buffycoat.site.rules import limits

TEMPLATE = Path(__file__).parent / "typ" / "test_label.typ"
BARS = "TEST-LABEL-000"  # as long as a code of ours, and none
TEST_LABEL = "test/label"


@made_by("test")
def trial(rest: str) -> Document | None:
    return Document(title="Test label", pdf=_pdf) if rest == "label" else None


def _pdf() -> bytes:
    symbols = {"bars": asdict(symbol(BARS, CODE_128)), "matrix": asdict(symbol(CARD, DATA_MATRIX))}
    return pdf(TEMPLATE, {"text": BARS, "site": limits(Book()).text("site_name"), **symbols})
