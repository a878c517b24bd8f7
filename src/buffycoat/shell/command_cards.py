"""Command cards: a sheet of codes to hang up, so that a gloved hand never touches the glass.

They do what a press on the page would do, and no more: a card never signs, releases or overrides.
"""

import json
from dataclasses import dataclass
from functools import cache

from buffycoat.science.numbering import KINDS, make_code
from buffycoat.shell.paper import Card, sheet_of_cards


@dataclass(frozen=True)
class CommandCard:
    """`serial` is part of the printed code and never changes its meaning; `command` is its name in `cards.js`."""

    serial: int
    command: str
    title: str
    does: str


CARDS = (
    CommandCard(1, "next", "Next", "presses the main button"),
    CommandCard(2, "back", "Back", "to the page before"),
    CommandCard(3, "print", "Print", "opens what this page prints"),
    CommandCard(4, "hold", "Hold", "leaves this job as it is, for later"),
    CommandCard(5, "problem", "Problem", "something is wrong with what is in hand"),
    CommandCard(6, "undo", "Undo last", "asks whether to take back what was done last"),
    *(
        CommandCard(10 + n, f"answer-{n}", f"Answer {n}", f"picks answer {n or 10}, or types {n}")
        for n in range(10)
    ),
)


@cache
def in_the_page(site_code: str) -> str:
    """What a page must know: each card's code and command, and the noun of each kind of code."""
    codes = {make_code("C", site_code, card.serial): card.command for card in CARDS}
    return json.dumps({"commands": codes, "nouns": KINDS | {"G": "main bag"}}, separators=(",", ":"))


def command_sheet(site_name: str, site_code: str) -> bytes:
    """A4, to laminate."""
    return sheet_of_cards(
        Card(
            noun="Command",
            title=card.title,
            code=make_code("C", site_code, card.serial),
            lines=(card.does,),
            site_name=site_name,
        )
        for card in CARDS
    )
