"""The card on a piece of equipment."""

from collections.abc import Iterable

from buffycoat.equipment.models import EquipmentRow
from buffycoat.shell.paper import Card, one_card, sheet_of_cards
from buffycoat.site.rules import Limits


def equipment_card(row: EquipmentRow, site: Limits) -> bytes:
    return one_card(_card(row, site))


def equipment_cards(rows: Iterable[EquipmentRow], site: Limits) -> bytes:
    """A4 sheets to cut."""
    return sheet_of_cards(_card(row, site) for row in rows)


def _card(row: EquipmentRow, site: Limits) -> Card:
    return Card(
        noun=row.sort_words,
        title=row.name,
        code=row.equipment,
        strong=f"every {row.check_every_days} days",
        lines=(f"maker's number {row.maker_number}", row.checked_how),
        site_name=site.text("site_name"),
    )
