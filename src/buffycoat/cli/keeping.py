"""Copies of the bank, their drills, moving it, and what an auditor needs."""

import argparse
import sys
from datetime import date
from pathlib import Path

from django.conf import settings

from buffycoat.cli import book
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Refused
from buffycoat.keeping import heads
from buffycoat.keeping.backup import back_up
from buffycoat.keeping.drill import drill
from buffycoat.keeping.elsewhere import Failed
from buffycoat.keeping.export import export_day
from buffycoat.keeping.move import move
from buffycoat.keeping.restore import restore
from buffycoat.keeping.sealed_text import Damaged
from buffycoat.keeping.whole_file import troubles
from buffycoat.site.rules import limits


def backup(asked: argparse.Namespace) -> int:
    try:
        note = back_up(Path(asked.to) if asked.to else None, keep=asked.keep)
    except OSError as trouble:
        where = trouble.filename or asked.to or settings.COPIES
        return _refuse(f"No copy was made: {trouble.strerror or trouble}: {where}.")
    except Damaged as damaged:
        return _refuse(
            f"No good copy was made. The bank itself may be damaged: {damaged} Run buffycoat verify."
        )
    print(f"{note.file}\n{note.entries} entries, {note.rows} rows beside them, {note.size_bytes} bytes.")
    print(f"Head: {note.head}")
    if note.plain:
        print(f"{note.plain}\nThe same moment as a plain SQLite file.")
    return 0


def restore_copy(asked: argparse.Namespace) -> int:
    try:
        done = restore(Path(asked.file), strict=asked.strict)
    except Damaged as damaged:
        return _refuse(f"{asked.file}: {damaged} Nothing was restored.")
    except Refused as refused:
        return _refuse(f"{' '.join(refused.reasons)} Nothing was restored.")
    print(f"Restored and checked: {done.entries} entries, {done.rows} rows beside them. Head: {done.head}")
    if done.differing:
        wrong = ", ".join(done.differing)
        print(f"In the bank that was copied these registers were wrong, here they are right: {wrong}.")
    return 0


def drill_copy(asked: argparse.Namespace) -> int:
    note = drill()
    if note is None:
        return _refuse("There is no copy to try: make one with buffycoat backup.")
    if note.wrong:
        return _refuse(f"The copy {note.file} does NOT restore. {note.wrong}")
    print(
        f"{note.file} was restored into an empty bank and is equal: {note.entries} entries, {note.took_s} s."
    )
    return 0


def move_bank(asked: argparse.Namespace) -> int:
    try:
        moved = move(asked.to)
    except (Failed, Damaged, OSError) as failed:
        return _refuse(f"The bank was not moved; it is here as before. {failed}")
    print(
        f"Moved: {moved.entries} entries with the same head and the same registers. Head: {moved.head}\n"
        f"From now on start the server with {moved.setting}.\n"
        "This bank stays here as it is. Stop its server, and record nothing in it any more."
    )
    return 0


def export(asked: argparse.Namespace) -> int:
    try:
        day = export_day(date.fromisoformat(asked.day), Path(asked.to or "."), limits(Book()).zone)
    except ValueError:
        return _refuse(f"“{asked.day}” is no day: write it like 2026-11-25.")
    except Refused as refused:
        return _refuse(*refused.reasons)
    except OSError as trouble:
        return _refuse(f"The day was not written: {trouble.strerror}: {trouble.filename}.")
    print(f"{day.path}\n{day.entries} entries. Before: {day.before}\nAfter: {day.after}")
    if not day.is_over:
        print("The day is not over: export it again tomorrow.")
    return 0


def head(asked: argparse.Namespace) -> int:
    try:
        if asked.entry is not None:
            return _seal_of(asked.entry)
        print(heads.keep_head(Path(asked.to)) if asked.to else heads.head_now())
    except Refused as refused:
        return _refuse(*refused.reasons)
    except OSError as trouble:
        return _refuse(f"The head was not kept: {trouble.strerror}: {asked.to}.")
    return 0


def _seal_of(number: int) -> int:
    seal = heads.hash_of(number)
    if seal is None:
        return _refuse(f"The book has no entry {number}.")
    print(seal)
    return 0


def verify(asked: argparse.Namespace) -> int:
    whole = book.verify_book(asked)
    if wrong := list(troubles()):
        whole = _refuse(*wrong)
    if not asked.against:
        return whole
    try:
        kept = heads.read_kept(Path(asked.against))
    except Refused as refused:
        return _refuse(*refused.reasons)
    if not kept:
        return _refuse(f"{asked.against} holds no head: nothing was compared.")
    if another := heads.why_not_the_same_book(kept, heads.hash_of):
        return _refuse(f"{asked.against}: {another}")
    last = kept[-1]
    print(
        f"All {len(kept)} heads kept in {asked.against} fit; the last is of {last.at}, {last.number} entries."
    )
    return whole


def _refuse(*reasons: str) -> int:
    print(*reasons, sep="\n", file=sys.stderr)
    return 1
