"""Values that no honest hand types, and requests that no page of ours sends. All by a seed."""

import json
from collections.abc import Mapping, Sequence
from random import Random
from typing import Any
from urllib.parse import quote, urlencode

HOSTILE = (
    "",
    " ",
    "\x00",
    "\ud800",
    "'\"><script>alert(1)</script>",
    "{{ 7|add:7 }}{% debug %}",
    "' OR 1=1; DROP TABLE journal_entry; --",
    "../../../../etc/passwd",
    "\u202e\u2066\u0000\ufeff",
    "-1",
    "0",
    "1e309",
    "NaN",
    "Infinity",
    "-0",
    "9" * 400,
    "99999999999999999999",
    "１２３",
    "12,5",
    "2026-02-30",
    "0000-00-00",
    "9999-12-31T23:59:59.999999+14:00",
    "DHAVN000000138",
    "GZZZZ999999999",
    "null",
    "[]",
    '{"__proto__": 1}',
    '{"donation/GHAVN000000138": -1}',
    "[" * 3_000,
    "a" * 70_000,
    "\r\nSet-Cookie: planted=1",
    "%00%2e%2e%2f",
    "https://example.org/",
    "//example.org",
    "00000000-0000-0000-0000-000000000000",
)
TYPES = ("text/plain", "application/json", "application/xml", "multipart/form-data", "nonsense", "")
METHODS = ("GET", "POST", "HEAD", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "PROPFIND")


def value(chance: Random, honest: str = "") -> str:
    """Something hostile, or something honest with one place of it changed."""
    if honest and chance.random() < 0.4:
        place = chance.randrange(len(honest))
        return honest[:place] + chance.choice(HOSTILE[:12]) + honest[place + 1 :]
    return chance.choice(HOSTILE)


def mutated(chance: Random, address: str, names: Sequence[str] = ("code",)) -> str:
    """An address with a part of it changed, and questions that nobody asked. `names` are those of real questions."""
    path, _, question = address.partition("?")
    parts = path.split("/")
    if chance.random() < 0.5:
        parts[chance.randrange(1, len(parts))] = chance.choice(HOSTILE)[:200]
    path = quote("/".join(parts) or "/", safe="/%", errors="surrogatepass")
    asked = [question] if question else []
    if chance.random() < 0.6:
        asked += [
            f"{quote(chance.choice(names))}={_hostile(chance, 200)}" for _ in range(chance.randint(1, 3))
        ]
    return f"{path}?{'&'.join(asked)}" if asked else path


def _hostile(chance: Random, most: int) -> str:
    return quote(chance.choice(HOSTILE)[:most], errors="surrogatepass")


def body(chance: Random) -> bytes:
    return chance.choice(
        [b"", b"\x00" * 50, chance.randbytes(200), json.dumps({"g": 1}).encode(), b"a=%ff%fe&b", b"&" * 2_000]
    )


def changed(chance: Random, values: Mapping[str, Any]) -> tuple[bytes, str]:
    """The body of a form with bytes of it changed, cut off or sent twice; mostly still said to be a form."""
    words = {name: each for name, each in values.items() if isinstance(each, str | list)}
    data = bytearray(urlencode(words, doseq=True, errors="surrogatepass").encode())
    for _ in range(chance.choice((0, 1, 1, 2, 20))):
        if data:
            place = chance.randrange(len(data))
            match chance.randrange(4):
                case 0:
                    data[place] = chance.randrange(256)
                case 1:
                    del data[place : place + chance.randint(1, 20)]
                case 2:
                    data[place:place] = chance.choice((b"&", b"=", b"%", b"%00", b"%ff", b";", b"\x00", b"+"))
                case 3:
                    data += b"&" + data[place : place + 60]
    kind = "application/x-www-form-urlencoded" if chance.random() < 0.9 else chance.choice(TYPES)
    return bytes(data), kind


def reading(chance: Random) -> Any:
    """What the scale program tells, mostly as it should be."""
    right = {
        "state": "weighing",
        "g": 231,
        "text": "231 g",
        "still": True,
        "net": False,
        "raw": "ST,GS,+231 g",
    }
    if chance.random() < 0.5:
        right[chance.choice(list(right))] = chance.choice(
            [*HOSTILE[:20], -1, 10**30, 1.5, None, [], {}, True]
        )
    return right if chance.random() < 0.9 else chance.choice([[], None, "weighing", 1])
