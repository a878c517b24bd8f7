"""A unit's label in the printing queue: named with its copy, and wanted until that copy is on the bag."""

from buffycoat.benches.models import Bench
from buffycoat.journal.book import Book
from buffycoat.labels.models import UnitRow
from buffycoat.labels.paper import unit_label, unit_label_for
from buffycoat.labels.rules import LabelPrinted
from buffycoat.printing.documents import Document, made_by
from buffycoat.printing.models import PrintJob
from buffycoat.printing.sending import give
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import limits


@made_by("label")
def unit_label_document(rest: str) -> Document | None:
    unit, _, copy = rest.partition("/")
    rows = UnitRow.objects.select_related("donation__donor", "donation__lot", "shelf")
    row = rows.filter(pk=unit).first()
    if row is None:
        return None
    which = f", copy {row.copy}" if row.copy > 1 else ""
    return Document(
        title=f"Label of {show_code(row.unit)}{which}",
        pdf=lambda: unit_label(unit_label_for(row, row.printed_at, limits(Book()))),
        settled=_settled(row, copy),
        counted=True,
    )


def _settled(row: UnitRow, copy: str) -> str:
    if str(row.copy) != copy:
        return f"copy {row.copy} was printed since"
    if hasattr(row, "shelf") and row.shelf.discarded:
        return "the unit was discarded"
    return "scanned back" if row.labelled_at else ""


def document_name(label: LabelPrinted) -> str:
    return f"label/{label.unit}/{label.copy}"


def send_label(bench: Bench, label: LabelPrinted, *, by: str, command_id: str) -> PrintJob | None:
    return give(bench, document_name(label), by=by, command_id=command_id)


def job_of(label: LabelPrinted | None) -> PrintJob | None:
    """The newest job of this very copy."""
    if label is None:
        return None
    return PrintJob.objects.filter(document=document_name(label), cancelled_at=None).first()
