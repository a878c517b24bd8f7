"""Checks the book while a donor is registered beside it: a process of its own, started by test_meanwhile.py.

Says what the check found, then the same once more without holding one moment, which is the control.
"""

import subprocess
import sys
from contextlib import nullcontext
from itertools import chain
from typing import Any

import django

DONOR = "register-donor --by kim --species dog --sex female --born-on 2021-05-01 --name".split()


def main(buffycoat: str) -> None:
    django.setup()
    from buffycoat.journal import book, registers, verify

    def interrupted(read: Any, name: str) -> Any:
        """Gives the first of what is read, then lets somebody else record, then the rest."""

        def reading() -> Any:
            rows = read()
            first = next(rows)
            subprocess.run([buffycoat, "do", *DONOR, name], check=True, stdout=subprocess.DEVNULL)
            return chain([first], rows)

        return reading

    read = verify._rows
    verify._rows = interrupted(read, "Bramble")
    print(verify.verify().wrong)
    registers.all_standing = interrupted(book.all_standing, "Thistle")
    print(registers.rebuild(check=True))
    verify._rows, verify.standing_still = interrupted(read, "Clover"), nullcontext
    print(verify.verify().wrong)


if __name__ == "__main__":
    main(sys.argv[1])
