"""The donor's card, to read and to scan, and a sheet of thanks for its owner."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import may_give_again_on
from buffycoat.shell.paper import Card, one_card, pdf, photo_svg, sheet_of_cards, species_svg
from buffycoat.shell.words import day
from buffycoat.site.rules import Limits


def donor_card(donor: DonorRow, site: Limits, photo: bytes = b"") -> bytes:
    return one_card(replace(_card(donor, site), photo=photo_svg(photo)))


def donor_cards(donors: Iterable[DonorRow], site: Limits) -> bytes:
    """A4 sheets to cut."""
    return sheet_of_cards(_card(donor, site) for donor in donors)


def _card(donor: DonorRow, site: Limits) -> Card:
    return Card(
        noun="Donor",
        title=donor.name,
        code=donor.donor,
        strong=donor.blood_type,
        species=donor.species,
        lines=(donor.breed or "breed not known", donor.sex, f"born {day(donor.born_on)}"),
        site_name=site.text("site_name"),
    )


def thank_you(donor: DonorRow, times: int, last_at: datetime | None, site: Limits) -> bytes:
    """A sheet for the owner: the donor's name, its type, how often it gave. No patient stands on it."""
    gave = {1: "once", 2: "twice"}.get(times, f"{times} times")
    return pdf(
        Path(__file__).parent / "typ" / "thank_you.typ",
        {
            "name": donor.name,
            "species": donor.species,
            "picture": species_svg(donor.species),
            "blood_type": donor.blood_type,
            "gave": gave,
            "last": moment_day(last_at, site),
            "again": day(may_give_again_on(donor.species, last_at, site))
            if last_at and not donor.retired
            else "",
            "site": site.text("site_name"),
        },
    )


def moment_day(at: datetime | None, site: Limits) -> str:
    return day(at.astimezone(site.zone).date()) if at else ""
