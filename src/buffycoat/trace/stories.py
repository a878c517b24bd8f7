"""Where the story of a code is told, and its lines."""

from buffycoat.journal.book import Book, story
from buffycoat.journal.models import Entry
from buffycoat.labels.rules import UnitName
from buffycoat.site.rules import Limits
from buffycoat.trace.telling import detail, title

STREAMS = {
    "D": "donor",
    "G": "donation",
    "U": "unit",
    "P": "place",
    "R": "spin",
    "L": "lot",
    "T": "rotor",
    "E": "equipment",
    "A": "patient",
    "Q": "request",
}


def stream_for(code: str) -> str:
    """The stream that tells of a code; a unit's story is its donation's."""
    if code[0] == "U":
        named = Book()(UnitName, code).named
        return f"donation/{named.donation}" if named else f"unit/{code}"
    return f"{STREAMS[code[0]]}/{code}"


def has_story(code: str) -> bool:
    """Something was once written under this code, whether it still stands or not."""
    return code[0] in STREAMS and Entry.objects.filter(stream=f"{STREAMS[code[0]]}/{code}").exists()


def lines_of(stream: str, site: Limits) -> list[dict[str, object]]:
    """A stream as a table: one row for each line, struck ones with their reason."""
    return [
        {
            "line": told.line,
            "title": title(told.line.fact),
            "detail": detail(told.line.fact, site.zone),
            "struck": told.struck,
            "reason": told.struck_reason,
        }
        for told in story(stream)
    ]
