"""After some wrong tries, each next one waits twice as long: for that name from that place, and for nobody else.

A colleague with the same name in mind but at another device is not held up, so nobody can lock the bench out. Who
tries many names from one place is counted too, all together; that holds up only names that never came in from that
browser, and never for long. Kept in Django's cache, in the memory of the one server process: a restart forgets it.
"""

import hashlib
import threading
import time
from dataclasses import dataclass

from django.core.cache import cache

_one_at_a_time = threading.Lock()


@dataclass(frozen=True, kw_only=True)
class Count:
    free_tries: int
    longest_s: int
    forgotten_after_s: int

    def delay_s(self, tries: int) -> int:
        """How long after so many wrong tries the next one waits.

        >>> [OF_A_NAME.delay_s(tries) for tries in (1, 2, 3, 4, 8, 20)]
        [0, 0, 1, 2, 32, 900]
        """
        doubled = 2 ** min(tries - self.free_tries, 20)
        return min(doubled, self.longest_s) if tries >= self.free_tries else 0

    def seconds_to_wait(self, key: str) -> int:
        """0: this try may be made, and counts as a wrong one until it is taken back, so many at once gain nothing."""
        now = time.time()
        with _one_at_a_time:
            tries, until = cache.get(key, (0, 0.0))
            if now < until:
                return int(until - now) + 1
            tries += 1
            cache.set(key, (tries, now + self.delay_s(tries)), self.forgotten_after_s)
        return 0

    def take_back(self, key: str) -> None:
        with _one_at_a_time:
            tries, _ = cache.get(key, (0, 0.0))
            cache.set(key, (max(tries - 1, 0), 0.0), self.forgotten_after_s)


OF_A_NAME = Count(free_tries=3, longest_s=15 * 60, forgotten_after_s=24 * 3600)
OF_A_PLACE = Count(free_tries=10, longest_s=60, forgotten_after_s=3600)


def seconds_to_wait(name: str, place: str) -> int:
    return OF_A_NAME.seconds_to_wait(_key(name, place))


def right(name: str, place: str) -> None:
    cache.delete(_key(name, place))


def seconds_for_any_name(place: str) -> int:
    return OF_A_PLACE.seconds_to_wait(_key("", place))


def right_for_any_name(place: str) -> None:
    """The wrong ones before it stay counted: whoever tries many names has one of their own."""
    OF_A_PLACE.take_back(_key("", place))


def words(seconds: int) -> str:
    return f"Too many wrong tries: wait {seconds} s, then try again. Nobody else is held up by it."


def words_for_any_name(seconds: int) -> str:
    return (
        f"Too many wrong tries from here, with several names: wait {seconds} s, then try again. "
        "Whoever has signed in with this browser before is not held up."
    )


def _key(name: str, place: str) -> str:
    return "try-" + hashlib.sha256(f"{name.strip().casefold()}\0{place}".encode()).hexdigest()
