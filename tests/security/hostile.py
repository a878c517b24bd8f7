"""Values that no honest hand types, and requests that no page of ours sends. All by a seed."""

import json
from random import Random
from typing import Any
from urllib.parse import quote

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


def filled(chance: Random, names: dict[str, str]) -> dict[str, Any]:
    """The fields of a form: most as they stand, some hostile, some missing, some more than once."""
    sent: dict[str, Any] = {}
    for name, honest in names.items():
        dice = chance.random()
        if dice < 0.45:
            sent[name] = honest
        elif dice < 0.85:
            sent[name] = value(chance, honest)
        elif dice < 0.93:
            sent[name] = [value(chance), honest]
    if chance.random() < 0.1:
        sent[value(chance)[:50]] = value(chance)
    return {_encodable(name): _encodable(each) for name, each in sent.items()}


def _encodable(each: Any) -> Any:
    """A lone surrogate cannot be sent; its bytes can."""
    if isinstance(each, list):
        return [_encodable(one) for one in each]
    return each.encode("utf-8", "surrogatepass").decode("utf-8", "replace")


def mutated(chance: Random, address: str) -> str:
    """An address with a part of it changed, and questions that nobody asked."""
    parts = address.split("/")
    if chance.random() < 0.6:
        parts[chance.randrange(1, len(parts))] = chance.choice(HOSTILE)[:200]
    path = "/".join(parts) or "/"
    asked = "" if chance.random() < 0.5 else f"?code={_hostile(chance, 200)}&seen={_hostile(chance, 50)}"
    return quote(path, safe="/%", errors="surrogatepass") + asked


def _hostile(chance: Random, most: int) -> str:
    return quote(chance.choice(HOSTILE)[:most], errors="surrogatepass")


def body(chance: Random) -> bytes:
    return chance.choice(
        [b"", b"\x00" * 50, chance.randbytes(200), json.dumps({"g": 1}).encode(), b"a=%ff%fe&b", b"&" * 2_000]
    )
