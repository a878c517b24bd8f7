"""An invented scale for the demo: it writes the lines of a real one, over TCP, and pours in real time."""

import socketserver
import threading
import time
from collections.abc import Callable

LINES_A_SECOND = 10
POURS_G_PER_S = 4.0
SWINGS_S = 0.8  # a bag that was laid on swings that long
WIRE_LINE = "{mark},{kind},{sign}{grams:8.1f} g\r\n"


class InventedScale:
    """A pan of which is said what lies on it. `clock` gives seconds."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._g, self._laid_at_s, self._pours_from_s = 0.0, clock() - SWINGS_S, None

    _pours_from_s: float | None

    def lay(self, grams: float) -> None:
        with self._lock:
            self._g, self._laid_at_s, self._pours_from_s = grams, self._clock(), None

    def pour(self) -> None:
        with self._lock:
            if self._pours_from_s is None:
                self._pours_from_s = self._clock()

    def stop(self) -> None:
        with self._lock:
            self._g, self._laid_at_s, self._pours_from_s = self._now_g(), self._clock(), None

    def _now_g(self) -> float:
        poured_s = self._clock() - self._pours_from_s if self._pours_from_s is not None else 0.0
        return self._g + POURS_G_PER_S * poured_s

    def line(self) -> str:
        with self._lock:
            grams, since_s = self._now_g(), self._clock() - self._laid_at_s
            swings = since_s < SWINGS_S
            if swings:
                grams += (SWINGS_S - since_s) * 8 * (-1) ** int(since_s * LINES_A_SECOND)
            still = not swings and self._pours_from_s is None
            sign = "-" if grams < 0 else "+"
            return WIRE_LINE.format(mark="ST" if still else "US", kind="GS", sign=sign, grams=abs(grams))


class ScaleOnTcp(socketserver.ThreadingTCPServer):
    """Serves an invented scale like a network serial server does."""

    daemon_threads = True
    allow_reuse_address = True

    def __init__(self, scale: InventedScale, port: int = 0) -> None:
        self.scale = scale
        super().__init__(("127.0.0.1", port), _Talk)

    @property
    def address(self) -> str:
        return f"socket://127.0.0.1:{self.server_address[1]}"


class _Talk(socketserver.BaseRequestHandler):
    def handle(self) -> None:
        assert isinstance(self.server, ScaleOnTcp)
        try:
            while True:
                self.request.sendall(self.server.scale.line().encode())
                time.sleep(1 / LINES_A_SECOND)
        except OSError:
            return  # whoever listened has gone


_running: tuple[int, InventedScale] | None = None


def run_at(bench: int, scale: InventedScale) -> None:
    """From now on this server has an invented scale at that bench."""
    global _running
    _running = (bench, scale)


def bench() -> int | None:
    return _running[0] if _running else None


def scale() -> InventedScale | None:
    return _running[1] if _running else None
