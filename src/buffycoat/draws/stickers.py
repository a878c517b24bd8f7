"""Every sticker of a donation has the donation's site and serial, under a letter for what it is stuck to.

So each tells the donation, and none can be taken for another: the main bag has the donation's own code.
"""

from typing import Final

from buffycoat.science.numbering import Code, make_code, read_code

MAIN_BAG, PLASMA_BAG = "G", "J"
STICKERS: Final = (
    ("Main bag", MAIN_BAG),
    ("Satellite bag 1", PLASMA_BAG),
    ("Satellite bag 2", "K"),
    ("Satellite bag 3", "M"),
    ("Tube 1", "V"),
    ("Tube 2", "V"),
    ("Tube 3", "V"),
    ("Paper", "N"),
)
BAGS: Final = frozenset(kind for words, kind in STICKERS if "bag" in words)
KINDS_OF_STICKERS: Final = frozenset(kind for _, kind in STICKERS)


def sticker(donation: str, kind: str) -> str:
    """The code on one of its stickers."""
    code = read_code(donation)
    return make_code(kind, code.site, code.serial)


def donation_of(code: Code) -> str:
    """The donation that any of its stickers tells."""
    return make_code(MAIN_BAG, code.site, code.serial)
