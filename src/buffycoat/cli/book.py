"""Reading, checking and correcting the book."""

import argparse
import sys
from collections.abc import Callable
from datetime import UTC, datetime

from buffycoat.cli.doing import tell
from buffycoat.journal.book import Book, story
from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.record import Recorded, record
from buffycoat.journal.registers import Differs, rebuild
from buffycoat.journal.strike import UndoLast, VoidJob, last_step, strike
from buffycoat.journal.verify import verify
from buffycoat.science.numbering import BadCode, read_code, show_code
from buffycoat.site.rules import limits
from buffycoat.storage.stock import stock
from buffycoat.trace.stories import STREAMS, stream_for


def verify_book(asked: argparse.Namespace) -> int:
    verdict = verify()
    if verdict.wrong:
        print(f"{verdict.wrong} The {verdict.entries} entries before it hold.", file=sys.stderr)
        return 1
    print(f"The journal is whole: {verdict.entries} entries. Head: {verdict.head_hash}")
    return 0


def rebuild_registers(asked: argparse.Namespace) -> int:
    try:
        streams = rebuild(check=asked.check)
    except Differs as differs:
        print(differs, file=sys.stderr)
        return 1
    print(
        f"{streams} streams posted again"
        + (": the registers were equal, row for row." if asked.check else ".")
    )
    return 0


def strike_entry(asked: argparse.Namespace) -> int:
    return _told(lambda: strike(asked.number, reason=asked.reason, by=asked.by))


def undo_last(asked: argparse.Namespace) -> int:
    try:
        stream = stream_for(read_code(asked.code, STREAMS).text)
    except BadCode as wrong:
        print(wrong, file=sys.stderr)
        return 1
    last = last_step(stream)
    number = last[0].number if last else 0
    command = UndoLast(stream=stream, entry_number=number, reason=asked.reason)
    return _told(lambda: record(command, by=asked.by))


def void_job(asked: argparse.Namespace) -> int:
    try:
        code = read_code(asked.code, STREAMS).text
    except BadCode as wrong:
        print(wrong, file=sys.stderr)
        return 1
    command = VoidJob(stream=f"{STREAMS[code[0]]}/{code}", reason=asked.reason)
    return _told(lambda: record(command, by=asked.by))


def _told(correct: Callable[[], Recorded]) -> int:
    try:
        recorded = correct()
    except Refused as refused:
        print(*refused.reasons, "Nothing was recorded.", sep="\n", file=sys.stderr)
        return 1
    for line in recorded.lines:
        print(tell(line))
    return 0


def show_journal(asked: argparse.Namespace) -> int:
    entries = Entry.objects.order_by("number")
    for entry in entries.filter(stream=asked.stream) if asked.stream else entries:
        print(entry.line)
    return 0


def show_stock(asked: argparse.Namespace) -> int:
    now, site = datetime.now(UTC), limits(Book())
    for unit in stock(now, site):
        print(
            f"{show_code(unit.row.unit)}  {unit.product.name:<22} {unit.row.blood_type:<15} "
            f"{unit.row.volume_ml:>4} mL  {unit.days_left:>4} days left  {unit.status:<10} {unit.place}"
        )
    return 0


def show_story(asked: argparse.Namespace) -> int:
    try:
        code = read_code(asked.code)
    except BadCode as wrong:
        print(wrong, file=sys.stderr)
        return 1
    for each in story(stream_for(code.text)):
        mark = f" STRUCK: {each.struck_reason}" if each.struck_reason else ""
        print(f"{each.line.happened_at:%Y-%m-%d %H:%M} UTC  {tell(each.line)}{mark}")
    return 0
