"""The seal of the book: each entry is one line of text, and its hash covers the line and the hash before it.

`sha256(previous hash + line)`: anyone can check it with `sha256sum`. Pure: text in, text out.
"""

import hashlib
import json
from typing import Any

START = "0" * 64


def canonical(values: dict[str, Any]) -> str:
    """One line of JSON, keys sorted, no spaces, no ASCII escapes: the same values always give the same text."""
    return json.dumps(values, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def seal(previous_hash: str, line: str) -> str:
    return hashlib.sha256((previous_hash + line).encode()).hexdigest()
