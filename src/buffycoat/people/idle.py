"""When something was last done under a sign-in. Kept in the memory of the one server process, so that reading a page
writes nothing: after a restart every sign-in that still holds begins its time anew.
"""

import time
from datetime import UTC, datetime

from django.core.cache import cache

FORGOTTEN_AFTER_S = 24 * 3600


def touch(sign_in: int) -> None:
    cache.set(_key(sign_in), time.time(), FORGOTTEN_AFTER_S)


def idle_s(sign_in: int) -> float:
    seen = cache.get(_key(sign_in))
    if seen is None:
        touch(sign_in)
        return 0
    return max(0.0, time.time() - float(seen))


def last_seen(sign_in: int) -> datetime | None:
    seen = cache.get(_key(sign_in))
    return None if seen is None else datetime.fromtimestamp(seen, UTC)


def _key(sign_in: int) -> str:
    return f"seen-{sign_in}"
