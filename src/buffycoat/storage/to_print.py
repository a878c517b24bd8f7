"""The cards of all places, for the printing queue."""

from buffycoat.journal.book import Book
from buffycoat.printing.documents import Document, made_by
from buffycoat.site.rules import limits
from buffycoat.storage.models import PlaceRow
from buffycoat.storage.paper import place_cards


@made_by("places")
def cards(rest: str) -> Document | None:
    rows = PlaceRow.objects.all()
    if rest != "all" or not rows:
        return None
    return Document(title="Cards of all places", pdf=lambda: place_cards(rows, limits(Book())))
