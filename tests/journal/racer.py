"""One of several benches that press the same plasma at the same moment: a process of its own, started by test_race.py.

Arguments: who, grams, the donation, the version of its page (0: none), and a file whose coming is the starting shot.
"""

import sys
import time
from pathlib import Path

import django


def main(who: str, plasma_g: str, donation: str, version: str, shot: str) -> None:
    django.setup()
    from buffycoat.journal.facts import Refused
    from buffycoat.journal.record import record
    from buffycoat.separation.rules import ExpressPlasma

    press = ExpressPlasma(donation=donation, plasma_g=int(plasma_g))
    seen = {f"donation/{donation}": int(version)} if int(version) else None
    Path(f"{shot}.{who}").touch()
    while not Path(shot).exists():
        time.sleep(0.001)
    try:
        record(press, by=who, seen=seen)
        print("recorded")
    except Refused as refused:
        print(*refused.reasons, sep="\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
