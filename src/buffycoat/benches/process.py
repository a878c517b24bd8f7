"""The scale program of a bench: reads the scale, decides when it stands still, and tells the server at once."""

import http.client
import json
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

import serial

from buffycoat.benches.lines import Listener, Shape, Steadiness, Weight

AGAIN_AFTER_S = 1.0
HEARTBEAT_S = 1.0
READS_FOR_S = 0.1
QUIET_S = 3.0  # a scale that sends all the time and has said nothing for so long does not answer
ANSWER_WITHIN_S = 3.0


class Refused(Exception):
    """The server does not know the key: trying again is of no use."""


@dataclass
class Server:
    """Posts to the server over one connection that is kept open. `still` comes back: the site's limits for it."""

    address: str
    key: str
    within_mg: int = 1_000
    for_s: float = 1.0
    _connection: http.client.HTTPConnection | None = None

    def tell(self, said: dict[str, Any]) -> bool:
        """False where the server does not answer now; the next word is a new attempt."""
        try:
            answer = self._post(json.dumps(said))
        except (OSError, http.client.HTTPException):
            self._close()
            return False
        self.within_mg, self.for_s = answer["still_g"] * 1_000, answer["still_ms"] / 1_000
        return True

    def _post(self, body: str) -> dict[str, Any]:
        if self._connection is None:
            parts = urlsplit(self.address)
            kind = http.client.HTTPSConnection if parts.scheme == "https" else http.client.HTTPConnection
            self._connection = kind(parts.hostname or "127.0.0.1", parts.port, timeout=ANSWER_WITHIN_S)
        headers = {"Authorization": f"Bearer {self.key}", "Content-Type": "application/json"}
        self._connection.request("POST", "/bench/reading/", body, headers)
        answer = self._connection.getresponse()
        text = answer.read()
        if answer.status in (401, 403):
            raise Refused("The server does not know this key. Make a new one on the page of the bench.")
        if answer.status != 200:
            raise http.client.HTTPException(f"the server answers {answer.status}")
        found: dict[str, Any] = json.loads(text)
        return found

    def _close(self) -> None:
        if self._connection:
            self._connection.close()
        self._connection = None


@dataclass
class ScaleProgram:
    """One scale, one server. `ask` is what some scales want to be sent before they answer."""

    port: str
    server: Server
    baud: int = 9600
    ask: bytes = b""
    own: Shape | None = None
    say: Callable[[str], None] = print
    listener: Listener = field(init=False)
    steadiness: Steadiness = field(default_factory=Steadiness)
    _told: dict[str, Any] = field(default_factory=dict)
    _told_at_s: float = float("-inf")
    _reached: bool = True
    _heard_at_s: float = 0.0

    def __post_init__(self) -> None:
        self.listener = Listener(self.own)

    def run(self, until: Callable[[], bool] = lambda: False) -> None:
        while not until():
            try:
                with serial.serial_for_url(self.port, baudrate=self.baud, timeout=READS_FOR_S) as scale:
                    self._listen(scale, until)
            except (OSError, serial.SerialException):
                self._silent("The scale is not answering: is it switched on, and is its cable in?")
                time.sleep(AGAIN_AFTER_S)

    def _listen(self, scale: serial.Serial, until: Callable[[], bool]) -> None:
        self.listener.restart()
        self._heard_at_s = time.monotonic()
        while not until():
            if self.ask:
                scale.write(self.ask)
            heard = scale.read(1)
            if heard:
                heard += scale.read(scale.in_waiting)
                if (last := self._last(heard)) is not None:
                    self._heard_at_s = time.monotonic()
                    self._weighs(*last)
            if time.monotonic() - self._heard_at_s > QUIET_S:
                self._silent(self._why_quiet(bool(heard)))
            else:
                self._beat()

    def _last(self, heard: bytes) -> tuple[Weight, bool] | None:
        """The newest of the weights that came; each is judged, for stillness needs all of them."""
        now_s, last = time.monotonic(), None
        for weight in self.listener.hear(heard):
            last = weight, self.steadiness.judge(weight, now_s, self.server.within_mg, self.server.for_s)
        return last

    def _why_quiet(self, something: bool) -> str:
        if something:
            return "What the scale sends cannot be read: check its speed (baud) and describe its lines."
        return "The scale is not answering: is it switched on, and is its cable in?"

    def _weighs(self, weight: Weight, still: bool) -> None:
        if weight.trouble:
            self._tell({"state": "waiting", "raw": weight.raw, "words": weight.trouble})
            return
        assert weight.mg is not None
        shown = {"g": weight.g, "text": _decimals(weight.mg), "still": still, "net": weight.net}
        # While it is the same to the bench, the scale's line is the same too: a new one is no news.
        raw = self._told.get("raw") if _as_told(self._told, shown) else weight.raw
        self._tell({"state": "weighing", "raw": raw, **shown})

    def _silent(self, words: str) -> None:
        self._tell({"state": "silent", "words": words})

    def _beat(self) -> None:
        self._tell(
            self._told or {"state": "waiting", "words": "Waiting for the first readings of the scale."}
        )

    def _tell(self, said: dict[str, Any]) -> None:
        """What is new, at once; the same again once a second, so that the server knows that we live."""
        now_s = time.monotonic()
        if said == self._told and now_s - self._told_at_s < HEARTBEAT_S:
            return
        if said.get("words") and said != self._told:
            self.say(f"{time.strftime('%H:%M:%S')} {said['words']}")
        self._told, self._told_at_s = said, now_s
        reached = self.server.tell(said)
        if reached != self._reached:
            self.say("The server answers." if reached else "The server does not answer. Trying again …")
        self._reached = reached


def _as_told(told: dict[str, Any], shown: dict[str, Any]) -> bool:
    return all(told.get(name, ...) == value for name, value in shown.items())


def _decimals(mg: int) -> str:
    """Grams with the tenth, as a page shows them: 123.4; whole grams without it."""
    tenths = round(mg / 100)
    return f"{tenths / 10:.1f}".removesuffix(".0")
