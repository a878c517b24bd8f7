"""The stickers of one donation, for the printing queue."""

from buffycoat.draws.models import DonationRow
from buffycoat.draws.paper import donation_stickers
from buffycoat.journal.book import Book
from buffycoat.printing.documents import Document, made_by
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import limits


@made_by("stickers")
def stickers(donation: str) -> Document | None:
    row = DonationRow.objects.select_related("donor").filter(pk=donation).first()
    if row is None:
        return None
    title = f"Stickers of donation {show_code(donation)}"
    return Document(title=title, pdf=lambda: donation_stickers(row, limits(Book())))
