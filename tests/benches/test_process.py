"""The scale program against a real pseudo-terminal and a network scale; the server is a list of what it was told."""

import threading
from contextlib import contextmanager

import pytest

from buffycoat.benches.process import ScaleProgram, Server
from buffycoat.benches.simulated import InventedScale, ScaleOnTcp
from tests.benches.scales import LONG_S, terminal, wait_for

SHAPES = ["ST,GS,+  231.4 g", "S S      231.4 g", "N  +0231 g", "  231.4 g  S", "    0.231 kg"]


class Told(Server):
    """Keeps what it is told, as the server would hear it."""

    def __init__(self) -> None:
        super().__init__("http://nowhere.invalid", "key", for_s=0.3)
        self.said: list[dict] = []

    def tell(self, said):
        self.said.append(said)
        return True

    def last(self, **wanted):
        """The last word, if it is that."""
        now = self.said[-1] if self.said else {}
        return all(now.get(name) == value for name, value in wanted.items())


@contextmanager
def running(port: str):
    told, stop = Told(), threading.Event()
    program = ScaleProgram(port, told, say=lambda words: None)
    thread = threading.Thread(target=program.run, args=(stop.is_set,), daemon=True)
    thread.start()
    try:
        yield told
    finally:
        stop.set()
        thread.join(timeout=LONG_S)
        assert not thread.is_alive()


@pytest.mark.parametrize("line", SHAPES)
def test_each_shape_arrives_from_a_terminal_as_a_still_weight(tmp_path, line):
    with terminal(tmp_path, line) as scale, running(str(scale.path)) as told:
        wait_for(lambda: told.last(state="weighing", g=231, still=True, raw=line), line)


def test_a_weight_that_moves_is_told_at_once_and_is_not_still(tmp_path):
    with terminal(tmp_path, "ST,GS,+  100.0 g") as scale, running(str(scale.path)) as told:
        wait_for(lambda: told.last(g=100, still=True))
        scale.line = "US,GS,+  160.0 g"
        wait_for(lambda: told.last(g=160, still=False))
        scale.line = "ST,GS,+  200.0 g"
        wait_for(lambda: told.last(g=200, still=True))


def test_noise_and_half_lines_between_leave_the_weight_as_it_is(tmp_path):
    with terminal(tmp_path, "ST,GS,+  231.4 g") as scale, running(str(scale.path)) as told:
        wait_for(lambda: told.last(g=231))
        before = len(told.said)
        for noise in (b"\xff\x00\xfe\r\n", b"ST,GS,+  2", b"\r\n1.4 g\r\n", b"ST,GS,+  931.4 k\r\n"):
            scale.send(noise)
        wait_for(lambda: len(told.said) > before + 1)
        assert {231} == {said["g"] for said in told.said[before:] if said["state"] == "weighing"}


def test_ounces_and_too_much_are_said_and_are_no_weight(tmp_path):
    with terminal(tmp_path, "ST,GS,+   12.0 oz") as scale, running(str(scale.path)) as told:
        wait_for(lambda: told.last(state="waiting", words="The scale shows ounces (oz). Set the scale to g."))
        scale.line = "OL,GS,+   12.0 oz"
        wait_for(lambda: "more on the scale" in told.said[-1]["words"])
        assert not [said for said in told.said if said["state"] == "weighing"]


def test_a_scale_that_was_unplugged_is_said_to_be_silent_and_is_read_again_when_it_is_back(tmp_path):
    with terminal(tmp_path, "ST,GS,+  231.4 g") as scale, running(str(scale.path)) as told:
        wait_for(lambda: told.last(g=231))
        scale.unplug()
        wait_for(lambda: told.last(state="silent"))
        scale.line = "ST,GS,+  150.0 g"
        scale.plug_in()
        wait_for(lambda: told.last(state="weighing", g=150))


def test_a_network_scale_is_read_and_poured_onto():
    scale = InventedScale()
    with ScaleOnTcp(scale) as wire:
        threading.Thread(target=wire.serve_forever, daemon=True).start()
        with running(wire.address) as told:
            wait_for(lambda: told.last(state="weighing", g=0, still=True))
            scale.pour()
            wait_for(lambda: told.said[-1].get("g", 0) >= 3)
            assert not told.said[-1]["still"]
            scale.stop()
            wait_for(lambda: told.last(still=True) and told.said[-1]["g"] >= 3)
            scale.lay(500)
            wait_for(lambda: told.last(g=500, still=True))
        wire.shutdown()


def test_plasma_pours_at_four_grams_a_second_by_the_clock():
    seconds = [0.0]
    scale = InventedScale(lambda: seconds[0])
    scale.pour()
    seconds[0] = 10.0
    assert "US,GS,+    40.0 g\r\n" == scale.line()
    scale.stop()
    seconds[0] = 20.0
    assert "ST,GS,+    40.0 g\r\n" == scale.line()
