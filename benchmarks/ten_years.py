"""An invented bank with ten years of work behind it: old donations by the tests' walk, then the demo's three months."""

from collections import deque
from datetime import UTC, datetime, timedelta
from random import Random

from django.db import connection, transaction

from buffycoat.demo.story import tell_story
from buffycoat.donors.rules import ExamineDonor
from buffycoat.storage.rules import DiscardUnit
from tests.walk import OF_TODAY, Walk

AT_ONCE = 100  # donations in one transaction
ACTIVE_DONORS = {"dog": 90, "cat": 45}  # who take turns, which leaves each 70 days and more
DRAWS_OF_A_DONOR = 20
KEPT = timedelta(days=16)
STORY = timedelta(weeks=16)


def make(donations: int, years: int, seed: int) -> None:
    """Fills the empty bank of this process."""
    chance, until = Random(seed), datetime.now(UTC) - STORY
    walk = Walk(at=until - timedelta(days=365 * years))
    each, donors = (until - walk.at) / donations, {species: deque[tuple[str, int]]() for species in OF_TODAY}
    kept: deque[tuple[datetime, str]] = deque()
    if connection.vendor == "sqlite":
        connection.cursor().execute("PRAGMA synchronous=OFF")
    for first in range(0, donations, AT_ONCE):
        with transaction.atomic():
            for _ in range(first, min(first + AT_ONCE, donations)):
                begun = walk.at
                donation = a_donation(walk, "cat" if chance.random() < 1 / 3 else "dog", donors)
                kept.append((walk.at + KEPT, donation))
                while kept and kept[0][0] < walk.at:
                    give_away(walk, kept.popleft()[1])
                walk.at = max(walk.at, begun + each)
    with transaction.atomic():
        for _, donation in kept:
            give_away(walk, donation)
    tell_story()


def a_donation(walk: Walk, species: str, donors: dict[str, deque[tuple[str, int]]]) -> str:
    """By the donor whose turn it is; after so many draws another takes its place. A lot lasts a year."""
    lot, until = walk.made.get(f"lot {species}", ""), walk.made.get(f"until {species}", "")
    if not lot or walk.at.isoformat() > until:
        expires_on = walk.at.date() + timedelta(days=365)
        maker_lot = f"INV-{species}-{walk.at:%Y%m%d}"
        walk.made[f"lot {species}"] = walk.a_lot(species, expires_on=expires_on, maker_lot=maker_lot)
        walk.made[f"until {species}"] = (walk.at + timedelta(days=330)).isoformat()
    turns = donors[species]
    if len(turns) < ACTIVE_DONORS[species]:
        donor, drawn = walk.a_donor(species, examined=False, born_on=walk.at.date() - timedelta(days=900)), 0
    else:
        donor, drawn = turns.popleft()
    walk.do(ExamineDonor(donor=donor, **OF_TODAY[species]))
    if drawn + 1 < DRAWS_OF_A_DONOR:
        turns.append((donor, drawn + 1))
    return walk.on_the_shelf(species, donor=donor)


def give_away(walk: Walk, donation: str) -> None:
    for unit in walk.units(donation).values():
        walk.do(DiscardUnit(unit=unit, reason="Given to a patient."))
