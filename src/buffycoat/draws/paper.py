"""For the draw: the bag set lot's card, and the stickers that carry the donation's number."""

from collections.abc import Iterable, Sequence
from pathlib import Path

from buffycoat.draws.models import BagSetLotRow, DonationRow
from buffycoat.shell.paper import Card, code_data, one_card, pdf, sheet_of_cards, species_svg
from buffycoat.shell.words import day, millilitres
from buffycoat.site.rules import Limits

STICKERS = (
    "Main bag",
    "Satellite bag 1",
    "Satellite bag 2",
    "Satellite bag 3",
    "Tube 1",
    "Tube 2",
    "Tube 3",
    "Paper",
)


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


def donation_stickers(donation: DonationRow, site: Limits, stuck_to: Sequence[str] = STICKERS) -> bytes:
    """A4 sheets of 64 × 34 mm, one sticker for each thing in `stuck_to`, all with the donation's code."""
    return pdf(
        Path(__file__).parent / "typ" / "stickers.typ",
        {
            "code": code_data(donation.donation),
            "species": donation.species,
            "picture": species_svg(donation.species),
            "donor": donation.donor.name,
            "drawn_on": day(donation.started_at.astimezone(site.zone)),
            "site_name": site.text("site_name"),
            "stuck_to": list(stuck_to),
        },
    )
