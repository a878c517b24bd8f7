"""The head of the book kept at a second place: a chain alone cannot show that its end was cut off.

One line each: when, how many entries, the seal of the last one. The text is only ever added to.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from buffycoat.journal.chain import START
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry, Head


@dataclass(frozen=True, kw_only=True)
class KeptHead:
    at: str
    number: int
    hash: str

    def __str__(self) -> str:
        return f"{self.at} {self.number} {self.hash}"


def head_now() -> KeptHead:
    head = Head.objects.get(id=1)
    return KeptHead(at=datetime.now(UTC).isoformat(timespec="seconds"), number=head.number, hash=head.hash)


def hash_of(number: int) -> str | None:
    """The seal of an entry as the book holds it now."""
    if number == 0:
        return START
    return Entry.objects.filter(number=number).values_list("hash", flat=True).first()


def read_kept(path: Path) -> list[KeptHead]:
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as trouble:
        raise Refused(
            f"{path} cannot be read: {getattr(trouble, 'strerror', None) or 'it is no text'}."
        ) from None
    return [_kept(line, f"Line {place} of {path}") for place, line in enumerate(lines, 1) if line.strip()]


def _kept(line: str, where: str) -> KeptHead:
    words = line.split()
    if len(words) != 3 or not words[1].isdecimal() or len(words[2]) != len(START):
        raise Refused(
            f"{where} is not a time, a number and a seal of {len(START)} characters: it was changed."
        )
    return KeptHead(at=words[0], number=int(words[1]), hash=words[2])


def why_not_the_same_book(kept: Sequence[KeptHead], seal_of: Callable[[int], str | None]) -> str | None:
    """The first kept head that the book does not bear out; None when all fit."""
    good = 0
    for place, head in enumerate(kept, 1):
        here = seal_of(head.number)
        if here == head.hash:
            good = max(good, head.number)
            continue
        where = f"Line {place} ({head.at}, {head.number} entries) does not fit this book:"
        if here is None:
            sure = f"Up to entry {good} it fits." if good else "No kept head before it bears the book out."
            gone = f"entry {head.number} is gone. Its end was cut off, or an old copy was put in its place."
            return f"{where} {gone} {sure}"
        among = "" if good + 1 >= head.number else f"one of the entries {good + 1} to "
        changed = f"{among or 'entry '}{head.number}"
        return f"{where} {changed} is another now. The book was written anew, or went on from an old copy."
    return None


def keep_head(path: Path) -> KeptHead:
    """Adds the head of now. Not to a file that the book does not bear out: that is the news, not a new line."""
    kept = read_kept(path) if path.exists() else []
    if wrong := why_not_the_same_book(kept, hash_of):
        raise Refused(wrong)
    head = head_now()
    with path.open("a", encoding="utf-8") as file:
        file.write(f"{head}\n")
    return head
