"""The unit's label, 100 × 100 mm, black only."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from buffycoat.labels.changes import root_of
from buffycoat.labels.models import UnitRow
from buffycoat.labels.products import PRODUCTS, storage_range
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import RED_CELLS
from buffycoat.shell.paper import code_data, moment_and_zone, pdf, png, species_svg, unbroken
from buffycoat.shell.words import day, millilitres
from buffycoat.site.rules import Limits

FIRST_LABEL = "as on its first label"
TEMPLATE = Path(__file__).parent / "typ" / "unit_label.typ"
CAUTIONS = (
    "Check the identity of patient and unit.",
    "Look at the bag: if it leaks, holds clots or has an odd colour, do not give it.",
    "Give through a filter.",
    "May carry infection.",
    "For animals only.",
    "For use by or on the order of a veterinarian.",
)


@dataclass(frozen=True, kw_only=True)
class UnitLabel:
    """All that is printed. `part` decides what is said of additive and anticoagulant; `additive_ml` 0 is none."""

    site_name: str
    zone: ZoneInfo
    unit: str
    part: str
    product: str
    species: str
    blood_type: str
    low_volume: bool
    volume_ml: int
    anticoagulant: str
    anticoagulant_ml: int
    additive: str
    additive_ml: int
    donor: str
    donation: str
    drawn_at: datetime
    expires_at: datetime
    storage: str
    copy: int
    printed_at: datetime
    waived: str = ""
    from_before: bool = False  # this book: what else is in it stands on its first label


def unit_label_for(unit: UnitRow, at: datetime, site: Limits) -> UnitLabel:
    """The label as the register has the unit, printed `at`."""
    donation, product = unit.donation, PRODUCTS[unit.product]
    with_additive = unit.product == "red-cells-additive"
    return UnitLabel(
        site_name=site.text("site_name"),
        zone=site.zone,
        unit=unit.unit,
        part=root_of(unit.part),
        product=unit.product_name,
        species=unit.species,
        blood_type=unit.blood_type,
        low_volume=unit.low_volume,
        volume_ml=unit.volume_ml,
        anticoagulant=donation.lot.anticoagulant if donation.lot else "",
        anticoagulant_ml=donation.lot.anticoagulant_ml if donation.lot else 0,
        additive=donation.lot.additive if donation.lot and with_additive else "",
        additive_ml=unit.volume_ml - unit.red_cell_part_ml if with_additive else 0,
        donor=donation.donor_id,
        donation=donation.donation,
        drawn_at=unit.drawn_at,
        expires_at=unit.expires_at,
        storage=storage_range(product, site),
        copy=unit.copy,
        printed_at=at,
        from_before=donation.lot is None,
        waived=unit.waived,
    )


def unit_label(label: UnitLabel) -> bytes:
    return pdf(TEMPLATE, _data(label))


def unit_label_picture(label: UnitLabel) -> bytes:
    """The same label to look at on the page, without its codes: a label is scanned from the bag, not the screen."""
    return png(TEMPLATE, {**_data(label), "with_codes": False})


def _data(label: UnitLabel) -> dict[str, Any]:
    expires_on, expires_time = moment_and_zone(label.expires_at, label.zone).split(", ")
    return {
        "site": label.site_name,
        "printed": f"Printed {moment_and_zone(label.printed_at, label.zone)}",
        "copy": f"COPY {label.copy}: destroy the earlier label" if label.copy > 1 else "",
        "product": label.product,
        "species": label.species,
        "picture": species_svg(label.species),
        "blood_type": label.blood_type,
        "low_volume": label.low_volume,
        "waived": label.waived,
        "volume": millilitres(label.volume_ml),
        "volume_title": "Volume, with additive" if label.additive_ml else "Volume",
        "volume_note": _volume_note(label),
        "storage": unbroken(label.storage, " °C", "or colder"),
        "expires_on": expires_on,
        "expires_time": expires_time,
        "anticoagulant": _anticoagulant(label),
        "additive": _additive(label),
        "drawn": _drawn(label),
        "donor": show_code(label.donor),
        "donation": show_code(label.donation),
        "unit": code_data(label.unit),
        "cautions": " ▪ ".join(CAUTIONS),
        "with_codes": True,
    }


def _volume_note(label: UnitLabel) -> str:
    if label.from_before:
        return FIRST_LABEL
    if label.part != RED_CELLS:
        return "anticoagulant included"
    if not label.additive_ml:
        return "no additive in it"
    return f"{millilitres(label.volume_ml - label.additive_ml)} without additive"


def _drawn(label: UnitLabel) -> str:
    if label.from_before:  # a list tells the day alone
        return day(label.drawn_at.astimezone(label.zone).date())
    return moment_and_zone(label.drawn_at, label.zone)


def _anticoagulant(label: UnitLabel) -> str:
    at_draw = f"{millilitres(label.anticoagulant_ml)} {label.anticoagulant} at draw"
    return FIRST_LABEL if label.from_before else at_draw


def _additive(label: UnitLabel) -> str:
    if label.part != RED_CELLS:
        return ""
    if label.from_before:
        return FIRST_LABEL
    return f"{millilitres(label.additive_ml)} {label.additive}" if label.additive_ml else "none"
