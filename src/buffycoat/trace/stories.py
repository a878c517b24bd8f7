"""Where the story of a code is told."""

from buffycoat.journal.book import Book
from buffycoat.labels.rules import UnitName

STREAMS = {"D": "donor", "G": "donation", "U": "unit", "P": "place", "R": "spin", "L": "lot", "T": "rotor"}


def stream_for(code: str) -> str:
    """The stream that tells of a code; a unit's story is its donation's."""
    if code[0] == "U":
        named = Book()(UnitName, code).named
        return f"donation/{named.donation}" if named else f"unit/{code}"
    return f"{STREAMS[code[0]]}/{code}"
