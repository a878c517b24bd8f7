"""Checks a day of the journal, as `buffycoat export` wrote it: python3 check_day.py journal-2026-11-25.txt"""

import hashlib
import sys
from pathlib import Path

text = Path(sys.argv[1]).read_bytes().decode()
rows = [row.split(" ", 1) for row in text.removesuffix("\n").split("\n")]
(first, before), *entries, (last, after) = rows
if (first, last) != ("before", "after"):
    sys.exit("Not whole: the seal before the first entry or after the last one is missing.")
seal = before
for place, (given, line) in enumerate(entries, 1):
    seal = hashlib.sha256((seal + line).encode()).hexdigest()
    if seal != given:
        sys.exit(f"Entry {place} of this day does not fit its seal: it, or what came before it, was changed.")
if seal != after:
    sys.exit("The seal after the last entry does not fit: entries were cut off or added.")
print(f"{len(entries)} entries fit their seals. Before: {before}\nAfter: {after}")
