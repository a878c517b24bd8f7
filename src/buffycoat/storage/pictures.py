"""The shelves as a strip: one row a unit, the first to expire on top."""

from collections.abc import Sequence
from datetime import datetime

from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.pictures.shelf_strip import Unit, draw_shelf_strip
from buffycoat.site.rules import Limits
from buffycoat.storage.stock import StockedUnit


def shelf_strip(units: Sequence[StockedUnit], at: datetime, site: Limits) -> Picture:
    rows = [
        Unit(
            name=f"{unit.row.unit[8:12]} {unit.product.name}",
            note=f"{unit.row.species}, {unit.row.blood_type}",
            starts_on=unit.row.drawn_at.astimezone(site.zone).date(),
            expires_on=unit.row.expires_at.astimezone(site.zone).date(),
        )
        for unit in units
    ]
    return draw_shelf_strip(rows, today=at.astimezone(site.zone).date(), last_days=site.whole("use_first_days"))
