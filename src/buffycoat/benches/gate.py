"""What stands around a bench and is out of use stops the steps that need it, also when the number is typed."""

from datetime import UTC, datetime

from django.http import HttpRequest

from buffycoat.benches.here import bench_of
from buffycoat.equipment.rules import Equipment, overdue, why_late, why_not_in_use
from buffycoat.journal.book import Book
from buffycoat.shell.recording import page_of
from buffycoat.site.rules import limits

# The pages whose step needs it, by what the bench calls it.
NEEDED = {
    "scale_equipment": ("draw-new", "draw-finish", "spin-new", "separation-express", "separation-weigh"),
    "sealer_equipment": ("separation-segments",),
}


def in_use(request: HttpRequest) -> tuple[list[str], list[str]]:
    """Why a step cannot be recorded at this bench, or what is said when it is."""
    page = page_of(request)
    against: list[str] = []
    told: list[str] = []
    for name, pages in NEEDED.items():
        bench = bench_of(request) if page in pages else None
        if bench is None or not (equipment := getattr(bench, name)):
            continue
        book, at = Book(), datetime.now(UTC)
        against += why_not_in_use(book, equipment, at)
        state = book(Equipment, equipment)
        if not against and overdue(state, at, limits(book)):
            told.append(f"{why_late(state)}.")
    return against, told
