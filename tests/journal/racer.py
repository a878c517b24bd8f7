"""One of several benches that press the same plasma at the same moment: a process of its own, started by test_race.py.

Arguments: who, grams, the donation, the version of its page, and a file whose coming is the starting shot.
"""

import sys
import time
from pathlib import Path

import django

django.setup()

from buffycoat.journal.facts import Refused  # noqa: E402
from buffycoat.journal.record import record  # noqa: E402
from buffycoat.separation.rules import ExpressPlasma  # noqa: E402

who, plasma_g, donation, version, shot = sys.argv[1:]
Path(f"{shot}.{who}").touch()
while not Path(shot).exists():
    time.sleep(0.001)
try:
    press = ExpressPlasma(donation=donation, plasma_g=int(plasma_g))
    record(press, by=who, seen={f"donation/{donation}": int(version)} if int(version) else None)
    print("recorded")
except Refused as refused:
    print(*refused.reasons, sep="\n")
