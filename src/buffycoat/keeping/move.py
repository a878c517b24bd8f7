"""The bank moves to another database of either kind: the same chain, the same registers, or not at all."""

import tempfile
from dataclasses import dataclass
from pathlib import Path

from django.db import transaction

from buffycoat.journal.book import lock_head
from buffycoat.keeping.backup import make_copy
from buffycoat.keeping.elsewhere import run, shown


@dataclass(frozen=True, kw_only=True)
class Moved:
    entries: int
    head: str
    setting: str


def move(to: str) -> Moved:
    """`to` is a PostgreSQL address or a data folder for SQLite. Raises `Failed` with what the other side said.

    The head stays locked until all is compared, so that nothing is recorded here that would be missing there.
    """
    is_address = "://" in to
    target = "" if is_address else str(Path(to).absolute())
    with tempfile.TemporaryDirectory(prefix="buffycoat-move-") as folder, transaction.atomic():
        head = lock_head()
        copy = make_copy(Path(folder), still=False)
        data = Path(folder) / "data" if is_address else Path(target)
        run(["restore", copy.file, "--strict"], data=data, database=to if is_address else "")
        setting = (
            f"BUFFYCOAT_DATABASE={shown(to)}"
            if is_address
            else f"BUFFYCOAT_DATA={target}, no BUFFYCOAT_DATABASE"
        )
        return Moved(entries=head.number, head=head.hash, setting=setting)
