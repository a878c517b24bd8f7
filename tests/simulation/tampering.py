"""Edits the database of a bank past every guard, again and again, and asks `buffycoat verify` what it finds.

python -m tests.simulation.tampering --edits 10000 --seed 7
python -m tests.simulation.tampering --edits 500 --seed 7 --database postgresql
python -m tests.simulation.tampering --edits 100 --seed 7 --controls    (checks that skip a part: each must miss some)

Half of the edits on SQLite are a bit flipped anywhere in the file. Each must be found by the check that is there for
it, in plain words, with the first entry named that is not what it was; or change nothing that anyone reads.
"""

import argparse
import contextlib
import io
import json
import random
import re
import sqlite3
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

from tests.simulation.own_bank import own_bank
from tests.simulation.two_days import Bank, all_rows, put_back, work_of_two_days

NOT_FOUND = "NOT FOUND"
JOURNAL = ("journal_entry", "journal_head")


@dataclass(frozen=True)
class Found:
    """What became of one edit: which check found it, in what words; `wrong` says why that does not count."""

    how: str
    words: str = ""
    wrong: str = ""


# ---- what is said of it ----


def asked(how: str, heads: Path) -> tuple[int, str]:
    """What `buffycoat` answers, in this process; a traceback is not an answer."""
    from buffycoat.cli import book, keeping
    from buffycoat.cli.main import in_plain_words
    from tests.simulation.edits import AGAINST, REBUILD

    given = argparse.Namespace(against=str(heads) if how == AGAINST else None, check=True)
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        try:
            with in_plain_words():
                code = book.rebuild_registers(given) if how == REBUILD else keeping.verify(given)
        except SystemExit as end:
            code = int(end.code or 0)
    return code, out.getvalue().strip()


def named(words: str) -> range:
    """The entries that the words name as the first bad one: one, or between two kept heads."""
    if told := re.search(r"one of the entries (\d+) to (\d+) is another", words):
        return range(int(told[1]), int(told[2]) + 1)
    if told := re.search(r"entry (\d+) is gone\..*?(?:Up to entry (\d+) it fits|$)", words):
        return range(int(told[2] or 0) + 1, int(told[1]) + 1)
    if told := re.search(r"The head says (\d+) entries, the book holds (\d+)", words):
        first = min(int(told[1]), int(told[2])) + 1
        return range(first, first + 1)
    if told := re.search(r"\b(?:entry|entries) (\d+)", words, re.IGNORECASE):
        return range(int(told[1]), int(told[1]) + 1)
    return range(0)


def found(bank: Bank, edit: Any) -> Found:
    """Asks the checks in turn, the cheapest first."""
    from buffycoat.keeping.whole_file import DAMAGED
    from tests.simulation.edits import AGAINST, REBUILD, VERIFY

    for how in (VERIFY, AGAINST, REBUILD):
        try:
            code, words = asked(how, bank.heads)
        except Exception as crash:
            return Found("traceback", f"{type(crash).__name__}: {crash}", "an error instead of a sentence")
        if code:
            wrong = f"found by {how}, not by {AGAINST}" if AGAINST == edit.by != how else ""
            if edit.first is not None and edit.first not in named(words) and DAMAGED not in words:
                wrong = f"entry {edit.first} is not named"
            return Found(how, words, wrong)
        if how == edit.by:
            break
    return Found("missed", words, "not found")


def one_row(bank: Bank, rng: random.Random, name: str) -> Found:
    from django.db import connection, transaction

    from tests.simulation.edits import EDITORS

    if connection.vendor == "postgresql":
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET LOCAL session_replication_role = replica")
            outcome = found(bank, EDITORS[name](rng, bank.book))
            transaction.set_rollback(True)
        return outcome
    put_back(bank, bank.file)
    with connection.constraint_checks_disabled(), transaction.atomic(), connection.cursor() as cursor:
        for guard in bank.guards:
            cursor.execute(f"DROP TRIGGER {guard}")
        edit = EDITORS[name](rng, bank.book)
        for guard, words in bank.guards.items():
            if guard != edit.guard:
                cursor.execute(words)
    return found(bank, edit)


def old_file(bank: Bank, rng: random.Random, name: str) -> Found:
    from tests.simulation.edits import AGAINST, Edit

    put_back(bank, bank.old_file if name == "an old file put back" else bank.old_went_on)
    return found(bank, Edit(bank.old_number + 1, AGAINST))


def one_bit(bank: Bank, rng: random.Random, name: str) -> Found:
    """A bit anywhere in the file. Where it changed nothing that is read, it counts apart."""
    from tests.simulation.edits import REBUILD, Edit

    place, bit = rng.randrange(len(bank.file)), 1 << rng.randrange(8)
    if rng.random() < 0.5:  # much of a small file is empty: half of the bits are of bytes that are not
        place = rng.choice(bank.used)
    put_back(bank, bank.file[:place] + bytes([bank.file[place] ^ bit]) + bank.file[place + 1 :])
    try:
        rows = all_rows(bank.path)
    except (sqlite3.Error, UnicodeDecodeError):  # even the words of an error may be damaged
        return found(bank, Edit(None))
    changed = [table for table, was in bank.rows.items() if was != rows.get(table)]
    if "journal_entry" in changed:
        pairs = zip(bank.rows["journal_entry"], rows["journal_entry"], strict=False)
        first = next((place for place, (was, now) in enumerate(pairs, 1) if was != now), None)
        return found(bank, Edit(first))
    outcome = found(bank, Edit(None, REBUILD))
    if outcome.how != "missed":
        return outcome if outcome.how == "traceback" else replace(outcome, wrong="")
    if not changed:
        return Found("harmless: nothing that is read changed")
    if changed == ["schema"]:
        return Found("harmless: a word in the schema, every row the same")
    if set(changed) - {"schema"} <= beside():  # with its table's name in the schema, if that is what changed
        return Found("beside the book: rows that no seal covers")
    return replace(outcome, words=f"{changed} at byte {place}")


def beside() -> set[str]:
    """Tables that are neither the book nor made from it."""
    from django.apps import apps

    from buffycoat.journal.registers import tables

    ours = {model._meta.db_table for model in tables()} | set(JOURNAL)
    every = {model._meta.db_table for model in apps.get_models(include_auto_created=True)}
    return (every | {"django_migrations", "sqlite_sequence"}) - ours


# ---- the run ----


@contextlib.contextmanager
def blind(part: str) -> Iterator[None]:
    """A check that does not look at one part: what it misses shows that this run would notice."""
    from buffycoat.cli import book
    from buffycoat.journal import verify

    def seen(words: str) -> Any:
        verdict = verify.verify()
        return replace(verdict, wrong=None) if verdict.wrong and words in verdict.wrong else verdict

    patches: dict[str, Any] = {
        "": contextlib.nullcontext(),
        "columns": patch.object(book, "verify", lambda: seen("the column")),
        "seals": patch.object(book, "verify", lambda: seen("does not fit its seal")),
        "head": patch.object(book, "verify", lambda: seen("head")),
        "kept heads": patch("buffycoat.keeping.heads.why_not_the_same_book", lambda kept, seal_of: None),
        "file": patch("buffycoat.keeping.whole_file.file_trouble", lambda: None),
        "guards": patch("buffycoat.keeping.whole_file.guard_trouble", lambda: None),
        "registers": patch.object(book, "rebuild", lambda check: 0),
    }
    with patches[part]:
        yield


BLIND = ("columns", "seals", "head", "kept heads", "file", "guards", "registers")


def run(bank: Bank, edits: int, seed: int) -> Counter[tuple[str, str]]:
    """Each edit by (its kind, what became of it). The first of each kind that is not found is printed."""
    from tests.simulation.edits import EDITORS

    kinds: dict[str, Callable[[Bank, random.Random, str], Found]] = dict.fromkeys(EDITORS, one_row)
    if bank.file:
        kinds |= {"an old file put back": old_file, "an old file put back, and work went on": old_file}
    outcomes: Counter[tuple[str, str]] = Counter()
    for number in range(edits):
        rng = random.Random(f"{seed} {number}")
        bits = bank.file and number % 2
        kind = "a bit flipped" if bits else list(kinds)[number // 2 % len(kinds)]
        outcome = (one_bit if bits else kinds[kind])(bank, rng, kind)
        how = f"{NOT_FOUND}: {outcome.wrong}" if outcome.wrong else outcome.how
        if outcome.wrong and (kind, how) not in outcomes:
            print(f"edit {number}, {kind}: {outcome.wrong}. Said: {outcome.words}", flush=True)
        outcomes[kind, how] += 1
    return outcomes


def controls(bank: Bank, edits: int, seed: int) -> int:
    """The same edits for a check that is blind in one place: each must miss some, or this run proves nothing."""
    missed = {}
    for part in BLIND:
        if part != "file" or bank.file:
            with blind(part), contextlib.redirect_stdout(io.StringIO()):
                outcomes = run(bank, edits, seed)
            missed[part] = sum(count for (_, how), count in outcomes.items() if how.startswith(NOT_FOUND))
    print(json.dumps({"missed": missed}))
    return 0 if all(missed.values()) else 1


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--edits", type=int, default=300)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--database", default="", help="nothing (SQLite), postgresql, or an address")
    parser.add_argument(
        "--controls", action="store_true", help="let the checks skip one part after the other"
    )
    asked_for = parser.parse_args()
    began = time.monotonic()
    with own_bank(asked_for.database) as data:
        bank = work_of_two_days(data, on_sqlite=not asked_for.database)
        if asked_for.controls:
            return controls(bank, asked_for.edits, asked_for.seed)
        outcomes = run(bank, asked_for.edits, asked_for.seed)
    for (kind, how), count in sorted(outcomes.items()):
        print(f"{count:6}  {kind}: {how}")
    missed = sum(count for (_, how), count in outcomes.items() if how.startswith(NOT_FOUND))
    apart = Counter(how.partition(":")[0] for _, how in outcomes.elements() if ":" in how)
    print(
        json.dumps(
            {
                "edits": asked_for.edits,
                "seed": asked_for.seed,
                "database": "postgresql" if asked_for.database else "sqlite",
                "entries": len(bank.book),
                "file_bytes": len(bank.file),
                "missed": missed,
                "harmless": apart["harmless"],
                "beside the book": apart["beside the book"],
                "found": asked_for.edits - missed - apart["harmless"] - apart["beside the book"],
                "took_s": round(time.monotonic() - began),
            }
        )
    )
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
