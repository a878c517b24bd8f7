"""For the draw: the bag set lot's card, and the stickers that carry the donation's number."""

from collections.abc import Iterable, Sequence
from pathlib import Path

from buffycoat.draws.models import BagSetLotRow, DonationRow
from buffycoat.draws.stickers import STICKERS, sticker
from buffycoat.science.numbering import show_code
from buffycoat.shell.paper import Card, code_data, one_card, pdf, sheet_of_cards, species_svg
from buffycoat.shell.words import day, millilitres
from buffycoat.site.rules import Limits


def lot_card(lot: BagSetLotRow, site: Limits) -> bytes:
    return one_card(_card(lot, site))


def lot_cards(lots: Iterable[BagSetLotRow], site: Limits) -> bytes:
    """A4 sheets to cut."""
    return sheet_of_cards(_card(lot, site) for lot in lots)


def _card(lot: BagSetLotRow, site: Limits) -> Card:
    additive = f"{millilitres(lot.additive_ml)} {lot.additive}" if lot.additive_ml else "no additive"
    return Card(
        noun="Bag set lot",
        title=lot.title,
        code=lot.lot,
        strong=millilitres(lot.nominal_ml),
        species=lot.species,
        lines=(
            f"lot {lot.maker_lot}",
            f"use by {day(lot.expires_on)}",
            f"{millilitres(lot.anticoagulant_ml)} {lot.anticoagulant}",
            additive,
        ),
        site_name=site.text("site_name"),
    )


def donation_stickers(
    donation: DonationRow, site: Limits, stickers: Sequence[tuple[str, str]] = STICKERS
) -> bytes:
    """A4 sheets of 64 × 34 mm, one sticker for each of `stickers`: what it is stuck to, and its letter."""
    each = [
        {"stuck_to": words, "code": code_data(sticker(donation.donation, kind))} for words, kind in stickers
    ]
    return pdf(
        Path(__file__).parent / "typ" / "stickers.typ",
        {
            "shown": show_code(donation.donation),
            "species": donation.species,
            "picture": species_svg(donation.species),
            "donor": donation.donor.name,
            "drawn_on": day(donation.started_at.astimezone(site.zone)),
            "site_name": site.text("site_name"),
            "stickers": each,
        },
    )
