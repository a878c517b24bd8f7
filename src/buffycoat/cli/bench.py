"""The scale program, and the invented scale to try it with."""

import argparse
import sys
import threading
from pathlib import Path

from buffycoat.benches.lines import shape
from buffycoat.benches.models import PROCESS, Bench
from buffycoat.benches.process import Refused, ScaleProgram, Server
from buffycoat.benches.simulated import InventedScale, ScaleOnTcp, run_at

DEMO_BENCH = "Demo bench (invented scale)"


def bench(asked: argparse.Namespace) -> int:
    try:
        key = Path(asked.key_file).read_text(encoding="utf-8").strip()
        own = shape("own", asked.lines, unit=asked.unit) if asked.lines else None
    except OSError as error:
        return _stop(f"The key file {asked.key_file} cannot be read: {error.strerror}.")
    except ValueError as wrong:
        return _stop(str(wrong))
    ask = asked.ask.encode("ascii", "ignore").decode("unicode_escape").encode("ascii", "ignore")
    program = ScaleProgram(
        asked.scale, Server(asked.server, key), baud=asked.baud, ask=ask, own=own, say=_say
    )
    _say(f"Reading {asked.scale}. Stop with Ctrl+C.")
    try:
        program.run()
    except Refused as refused:
        return _stop(str(refused))
    except KeyboardInterrupt:
        return 0
    return 0


def _say(words: str) -> None:
    print(words, flush=True)


def _stop(words: str) -> int:
    print(words, file=sys.stderr)
    return 1


def scale_demo(asked: argparse.Namespace) -> int:
    scale = InventedScale()
    scale.lay(asked.grams)
    if asked.pour:
        scale.pour()
    with ScaleOnTcp(scale, asked.port) as server:
        _say(f"An invented scale writes to {server.address}. Stop with Ctrl+C.")
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            return 0
    return 0


def demo_bench(address: str) -> None:
    """The whole chain for the demo, in this process: invented scale, scale program, server. Ends with it."""
    row, _ = Bench.objects.get_or_create(name=DEMO_BENCH, defaults={"scale": PROCESS})
    key = row.new_key()
    scale = InventedScale()
    wire = ScaleOnTcp(scale)
    run_at(row.pk, scale)
    program = ScaleProgram(wire.address, Server(address, key), say=lambda words: None)
    for target in (wire.serve_forever, program.run):
        threading.Thread(target=target, daemon=True).start()
