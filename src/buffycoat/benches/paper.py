"""The sheet that shows how a scanner is set: one text in both of our symbologies."""

from dataclasses import asdict
from pathlib import Path

from buffycoat.benches.keyboard import CARD
from buffycoat.shell.paper import CODE_128, DATA_MATRIX, pdf, symbol


def test_card(site_name: str) -> bytes:
    symbols = {"bars": asdict(symbol(CARD, CODE_128)), "matrix": asdict(symbol(CARD, DATA_MATRIX))}
    return pdf(Path(__file__).parent / "typ" / "test_card.typ", {"text": CARD, "site": site_name, **symbols})
