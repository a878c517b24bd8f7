"""The donor's card: who stands at the table, to read and to scan."""

from collections.abc import Iterable

from buffycoat.donors.models import DonorRow
from buffycoat.shell.paper import Card, one_card, sheet_of_cards
from buffycoat.shell.words import day
from buffycoat.site.rules import Limits


def donor_card(donor: DonorRow, site: Limits) -> bytes:
    return one_card(_card(donor, site))


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
