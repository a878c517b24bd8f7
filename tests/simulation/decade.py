"""A bank lives ten years, in simulated time, with every slip of the hand: `python -m tests.simulation.decade --seed 7`.

`--sequences 10000` instead lives many short lives in memory, each from its own seed. The seed printed with a fault
runs it again.
"""

import argparse
import json
import sys
import time

from tests.simulation.own_bank import own_bank


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seed", type=int, default=7)
    asked.add_argument("--years", type=int, default=10)
    asked.add_argument("--sequences", type=int, default=0, help="many short lives in memory instead")
    asked.add_argument("--database", choices=["memory", "sqlite", "postgresql"], default="sqlite")
    asked.add_argument("--minutes", type=float, default=60, help="stop at the next day after so long")
    said = asked.parse_args()
    print(f"seed {said.seed}", flush=True)
    with own_bank("postgresql" if said.database == "postgresql" else ""):
        figures = lived(said)
    print(json.dumps(figures))
    return 1 if figures["wrong"] else 0


def lived(said: argparse.Namespace) -> dict[str, object]:
    from tests.simulation.banks import MemoryBank, RealBank
    from tests.simulation.hands import Broken
    from tests.simulation.lives import live_long, live_shortly

    begun = time.monotonic()
    until = begun + 60 * said.minutes
    figures = {"seed": said.seed, "lives": 0, "tried": 0, "recorded": 0, "wrong": 0, "until": ""}
    for seed in range(said.seed, said.seed + max(said.sequences, 1)):
        if time.monotonic() > until or figures["wrong"] >= 10:
            break
        bank = MemoryBank() if said.sequences or said.database == "memory" else RealBank()
        try:
            life = live_shortly(bank, seed) if said.sequences else live_long(bank, seed, said.years, until)
        except Broken as broken:
            figures["wrong"] += 1
            again = "--sequences 1" if said.sequences else f"--years {said.years} --database {said.database}"
            print(f"{broken}\n  again: --seed {seed} {again}", flush=True)
            continue
        figures["lives"] += 1
        figures["tried"] += life.tried
        figures["recorded"] += life.done
        figures["until"] = f"{life.at:%Y-%m-%d}"
    return {**figures, "seconds": round(time.monotonic() - begun)}


if __name__ == "__main__":
    sys.exit(main())
