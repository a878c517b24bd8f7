"""Lists from a terminal: bring one in, or take one away."""

import argparse
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from buffycoat.journal.facts import Refused
from buffycoat.lists.columns import KINDS, guess
from buffycoat.lists.deciding import REFUSED, TAKEN, Judged, Told, bring_in, judged
from buffycoat.lists.out import FORMS, TABLES, as_csv, refused_lines
from buffycoat.lists.rows import Choices
from buffycoat.lists.sheet import MOST_BYTES, Unreadable, read_sheet


def bring_in_list(asked: argparse.Namespace) -> int:
    """Ends with 0 if no row was refused."""
    try:
        told = _told(asked)
        rows = judged(told) if asked.preview else bring_in(told, by=asked.by)
        if asked.refused:
            Path(asked.refused).write_bytes(as_csv(refused_lines(told, rows)))
    except (Unreadable, ValueError) as wrong:
        return _refuse(str(wrong))
    except Refused as refused:
        return _refuse(*refused.reasons, "Nothing was brought in.")
    except OSError as trouble:
        return _refuse(f"{trouble.filename}: {trouble.strerror}.")
    return _say(rows, preview=asked.preview)


def _told(asked: argparse.Namespace) -> Told:
    path, kind = Path(asked.file), KINDS[asked.kind]
    with path.open("rb") as file:
        sheet = read_sheet(file.read(MOST_BYTES + 1))
    columns = guess(kind, sheet.headings) | _mapped(asked.map or (), kind.keys, sheet.headings)
    choices = Choices(
        columns={key: heading for key, heading in columns.items() if heading},
        date_order=f"{asked.date_order} first" if asked.date_order else "",
        weight_unit=asked.weights or "",
        species=asked.species or "",
    )
    for column in kind.columns:
        heading = choices.columns.get(column.key)
        print(f"{column.title}: {heading}" if heading else f"{column.title}: not in the list ({column.key}=)")
    return Told(kind=kind, sheet=sheet, choices=choices, source=path.name[-80:])


def _mapped(pairs: Sequence[str], keys: Sequence[str], headings: Sequence[str]) -> dict[str, str]:
    """`column=Heading`; without a heading the column is left out."""
    found = {}
    for pair in pairs:
        key, sign, heading = pair.partition("=")
        if key not in keys or not sign:
            raise ValueError(
                f"“{pair}” should be a column and its heading, column=Heading; columns: {', '.join(keys)}."
            )
        if heading and heading not in headings:
            raise ValueError(f"No heading is “{heading}”; there are: {', '.join(headings)}.")
        found[key] = heading
    return found


def _say(rows: Sequence[Judged], *, preview: bool) -> int:
    for row in rows:
        if row.verdict != TAKEN:
            print(f"Row {row.number}, {row.who or 'without a name'}, {row.verdict}: {' '.join(row.reasons)}")
    count = {verdict: sum(row.verdict == verdict for row in rows) for verdict in (TAKEN, REFUSED)}
    here = len(rows) - sum(count.values())
    done = "To be brought in" if preview else "Brought in"
    print(f"{done}: {count[TAKEN]}. Refused: {count[REFUSED]}. Already here: {here}.")
    return 1 if count[REFUSED] else 0


def write_list(asked: argparse.Namespace) -> int:
    path = Path(asked.to)
    form = path.suffix.lstrip(".").lower()
    if form not in FORMS:
        return _refuse(f"The file's name ends in .{' or .'.join(FORMS)}: {path.name} does not.")
    write, _ = FORMS[form]
    try:
        path.write_bytes(write(TABLES[asked.kind](owners=asked.owners, now=datetime.now(UTC))))
    except OSError as trouble:
        return _refuse(f"{trouble.filename}: {trouble.strerror}.")
    print(path)
    return 0


def _refuse(*reasons: str) -> int:
    print(*reasons, sep="\n", file=sys.stderr)
    return 1
