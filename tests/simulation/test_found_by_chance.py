"""What the simulation found, told shortly."""

import pytest

from buffycoat.journal.facts import Refused
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from buffycoat.separation.weighings import WeighProduct
from buffycoat.spins.rules import POOR
from tests.walk import Walk, pure_walk


def test_a_spin_is_not_struck_when_its_bag_was_spun_again(db):
    """Struck, it would leave the bag in two spins at once."""
    walk = Walk()
    donation = walk.drawn()
    walk.spin(donation, outcome=POOR)
    again = walk.in_spin(donation)
    finished = Entry.objects.get(kind="spin-finished")
    put_in = Entry.objects.filter(kind="bag-put-in-spin").last()
    assert again in put_in.line
    with pytest.raises(Refused) as refused:
        strike(finished.number, reason="The wrong bag.", by="kim")
    words = f"Strike entry {put_in.number} (bag put in spin) first: it stands on this one."
    assert (words,) == refused.value.reasons


def test_a_weight_of_no_bag_is_refused_even_when_it_is_explained():
    walk = pure_walk()
    donation = walk.separated()
    weigh = WeighProduct(donation=donation, part="red-cells", gross_g=32_000, explained="Spilled.")
    assert ["32000 g is heavier than any bag: read the scale again."] == walk.why_not(weigh)
    heaviest = WeighProduct(donation=donation, part="red-cells", gross_g=3_000, explained="Spilled.")
    assert [] == walk.why_not(heaviest)
