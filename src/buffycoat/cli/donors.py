"""The donors from a terminal."""

import argparse
import sys
from datetime import UTC, datetime

from buffycoat.donors.rules import may_give
from buffycoat.journal.book import Book
from buffycoat.science.numbering import BadCode, read_code
from buffycoat.site.limits import LIMITS


def may_give_today(asked: argparse.Namespace) -> int:
    """Ends with 0 if it may give, with 1 if it may not."""
    try:
        donor = read_code(asked.code, "D").text
    except BadCode as wrong:
        print(wrong, file=sys.stderr)
        return 2
    answer = may_give(Book(), donor, datetime.now(UTC))
    print("No." if answer.why_not else f"Yes, at most {answer.most.volume_ml} mL." if answer.most else "Yes.")
    for check in answer.checks:
        source = check.source or (LIMITS[check.limit].source if check.limit else "")
        print(f"{check.verdict}: {check.words}" + (f" [{source}]" if source else ""))
    return 1 if answer.why_not else 0
