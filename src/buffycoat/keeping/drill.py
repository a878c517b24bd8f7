"""Does the newest copy work? It is restored into a temporary bank, compared, and the outcome is noted."""

import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from buffycoat.journal.models import Entry
from buffycoat.keeping import notes
from buffycoat.keeping.elsewhere import Failed, run
from buffycoat.keeping.notes import CopyNote, DrillNote


def drill() -> DrillNote | None:
    """None when there is no copy to try."""
    copies = notes.read(CopyNote)
    if not copies:
        return None
    began, wrong = time.monotonic(), _why_not_good(copies[0])
    note = DrillNote(
        at=datetime.now(UTC),
        file=copies[0].file,
        entries=copies[0].entries,
        wrong=wrong,
        took_s=round(time.monotonic() - began),
    )
    notes.write(note)
    return note


def _why_not_good(copy: CopyNote) -> str:
    with tempfile.TemporaryDirectory(prefix="buffycoat-drill-") as folder:
        try:
            run(["restore", copy.file, "--strict"], data=Path(folder))
        except Failed as failed:
            return str(failed)
    here = Entry.objects.filter(number=copy.entries).values_list("hash", flat=True).first()
    if copy.entries and here != copy.head:
        return (
            f"The copy is whole, but entry {copy.entries} of this bank is another: "
            "the bank itself was changed, or an old copy was put in its place."
        )
    return ""
