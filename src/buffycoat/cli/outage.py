"""Paper for the hours when no page opens."""

import argparse
import sys
from datetime import UTC, datetime
from pathlib import Path

from buffycoat.journal.facts import Refused
from buffycoat.outage.pack import morning_pack
from buffycoat.outage.sheets import at_least


def morning_pack_to(asked: argparse.Namespace) -> int:
    """Writes one PDF; a scheduler prints it, or it lies on a disk that needs no server."""
    try:
        sheets = at_least(asked.sheets, by=asked.by)
        file = Path(asked.to or ".") / f"morning-pack-{datetime.now(UTC):%Y-%m-%dT%H%MZ}.pdf"
        file.write_bytes(morning_pack(sheets))
    except Refused as refused:
        print(" ".join(refused.reasons), file=sys.stderr)
        return 1
    except OSError as trouble:
        print(f"The pack could not be written: {trouble.strerror}: {trouble.filename}.", file=sys.stderr)
        return 1
    print(file)
    return 0
