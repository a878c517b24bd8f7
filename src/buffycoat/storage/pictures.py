"""The shelves as a strip: one row a unit, the first to expire on top."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from buffycoat.shell.pictures.picture import Picture
from buffycoat.shell.pictures.shelf_strip import Unit, draw_shelf_strip
from buffycoat.site.rules import Limits
from buffycoat.storage.stock import StockedUnit

HORIZON_DAYS = 56


def on_the_strip(units: Sequence[StockedUnit], at: datetime) -> list[StockedUnit]:
    """Those that expire within eight weeks: a year of frozen plasma would only bury them."""
    return [unit for unit in units if unit.row.expires_at - at <= timedelta(days=HORIZON_DAYS)]


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
    today, last_days = at.astimezone(site.zone).date(), site.whole("use_first_days")
    return draw_shelf_strip(rows, today=today, horizon_days=HORIZON_DAYS, last_days=last_days)
