"""A copy becomes a bank again: on an empty database of either kind, all of it or nothing."""

from dataclasses import dataclass
from pathlib import Path

from django.core.management import call_command
from django.db import transaction

from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Head
from buffycoat.journal.receive import receive
from buffycoat.journal.registers import rebuild
from buffycoat.journal.verify import verify
from buffycoat.keeping.copies import Manifest, check_copy, parts
from buffycoat.keeping.digests import differing, registers
from buffycoat.keeping.ordinary import how_many, read_ordinary
from buffycoat.keeping.sealed_text import Damaged


@dataclass(frozen=True, kw_only=True)
class Restored:
    """`differing`: registers that were not, in the bank that was copied, what its journal said."""

    entries: int
    head: str
    rows: int
    differing: list[str]


def restore(path: Path, *, strict: bool = False) -> Restored:
    """Raises `Damaged` or `Refused` with one sentence, and then put nothing in.

    `strict` also refuses a copy whose registers did not say what its journal says.
    """
    manifest = check_copy(path)
    call_command("migrate", verbosity=0)
    with transaction.atomic():
        _refuse_unless_empty()
        with parts(path) as (sealed, rows):
            receive(sealed)
            if read_ordinary(rows) != manifest.rows:
                raise Damaged(f"It says {manifest.rows} rows beside the journal and holds another number.")
        return _verified(manifest, strict)


def _refuse_unless_empty() -> None:
    there = {"journal entries": Head.objects.get(id=1).number, **how_many()}
    if words := ", ".join(f"{count} {name}" for name, count in there.items() if count):
        raise Refused(
            f"This bank is not empty: {words}. Restore into an empty one: a new BUFFYCOAT_DATA or BUFFYCOAT_DATABASE."
        )


def _verified(manifest: Manifest, strict: bool) -> Restored:
    try:
        rebuild()
    except ValueError as unreadable:  # a fact of a later release
        raise Damaged(f"This release cannot read all of it: {unreadable}") from None
    verdict = verify()
    if verdict.wrong or (verdict.entries, verdict.head_hash) != (manifest.entries, manifest.head):
        raise Damaged(f"What came out is not what went in: {verdict.wrong or 'another head'}")
    wrong = differing(manifest.registers, registers())
    if wrong and strict:
        raise Damaged(
            f"The registers made from its journal differ from those of the bank: {', '.join(wrong)}. "
            "Run buffycoat rebuild there, then copy it again."
        )
    return Restored(entries=manifest.entries, head=manifest.head, rows=manifest.rows, differing=wrong)
