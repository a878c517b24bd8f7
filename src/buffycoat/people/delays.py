"""After some wrong tries, each next one waits twice as long: for that name from that place, and for nobody else.

A colleague with the same name in mind but at another device is not held up, so nobody can lock the bench out.
Kept in Django's cache, in the memory of the one server process: a restart forgets it.
"""

import hashlib
import threading
import time

from django.core.cache import cache

FREE_TRIES = 3
LONGEST_S = 15 * 60
FORGOTTEN_AFTER_S = 24 * 3600
_one_at_a_time = threading.Lock()


def seconds_to_wait(name: str, place: str) -> int:
    """0: this try may be made, and counts as a wrong one until `right` is called, so that many at once gain nothing."""
    key, now = _key(name, place), time.time()
    with _one_at_a_time:
        tries, until = cache.get(key, (0, 0.0))
        if now < until:
            return int(until - now) + 1
        tries += 1
        cache.set(key, (tries, now + delay_s(tries)), FORGOTTEN_AFTER_S)
    return 0


def delay_s(tries: int) -> int:
    """How long after so many wrong tries the next one waits.

    >>> [delay_s(tries) for tries in (1, 2, 3, 4, 8, 20)]
    [0, 0, 1, 2, 32, 900]
    """
    return min(2 ** min(tries - FREE_TRIES, 20), LONGEST_S) if tries >= FREE_TRIES else 0


def right(name: str, place: str) -> None:
    cache.delete(_key(name, place))


def words(seconds: int) -> str:
    return f"Too many wrong tries: wait {seconds} s, then try again. Nobody else is held up by it."


def _key(name: str, place: str) -> str:
    return "try-" + hashlib.sha256(f"{name.strip().casefold()}\0{place}".encode()).hexdigest()
