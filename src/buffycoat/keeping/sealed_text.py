"""The journal as text that anyone can check: a line a row, each with its seal, between the seals before and after.

    before 0000…
    5f3c… {"by":"robin",…}
    after 5f3c…

Each seal is `sha256(seal before + line)`, so `sha256sum` and a few lines of any language are enough.
"""

import json
from collections.abc import Iterable, Iterator

from buffycoat.journal.chain import seal

BEFORE, AFTER = "before", "after"


class Damaged(Exception):
    """What was read is not what was written; says what is wrong in one sentence."""


def write_rows(before: str, sealed: Iterable[tuple[str, str]]) -> Iterator[str]:
    """The text, row by row, from (hash, line) pairs."""
    yield f"{BEFORE} {before}\n"
    last = before
    for last, line in sealed:
        yield f"{last} {line}\n"
    yield f"{AFTER} {last}\n"


def read_rows(rows: Iterable[bytes], first_number: int = 1) -> Iterator[tuple[str, str]]:
    """The (hash, line) pairs, each checked against the seal before it and for its number."""
    number, previous, ended = first_number, "", False
    for row in rows:
        word, _, rest = _text(row, number).rstrip("\n").partition(" ")
        if ended or (not previous and word != BEFORE):
            raise Damaged("It does not begin and end with the seals before and after.")
        if not previous:
            previous = rest
        elif word == AFTER:
            ended = True
            if rest != previous:
                raise Damaged(
                    "The seal at its end is not that of the last entry: entries were cut off or added."
                )
        elif seal(previous, rest) != word:
            raise Damaged(
                f"Entry {number} does not fit its seal: its text, or what came before it, was changed."
            )
        elif json.loads(rest)["number"] != number:
            raise Damaged(f"Entry {number} is missing.")
        else:
            yield word, rest
            number, previous = number + 1, word
    if not ended:
        raise Damaged("Its end is missing.")


def _text(row: bytes, number: int) -> str:
    try:
        return row.decode()
    except UnicodeDecodeError:
        raise Damaged(f"Entry {number} holds what is no text.") from None
