"""Lives of a bank by chance: short ones of some steps, and a long one of years, with every slip of the hand."""

import random
import time
from datetime import timedelta
from typing import Any

from buffycoat.draws.rules import DiscardDonation
from buffycoat.labels.rules import Labelling, UnitName
from buffycoat.storage.rules import DiscardUnit, Shelf
from tests.simulation.hands import START, Broken, Hands
from tests.simulation.invariants import broken

STEPS = 60
JOBS = (
    *("goes on",) * 62,
    *("draws",) * 9,
    *("makes no sense",) * 12,
    *("corrects",) * 6,
    *("again",) * 5,
    *("joins",) * 2,
    *("receives",) * 2,
    *("sets a limit",) * 2,
)


def step(hands: Hands) -> None:
    """One thing that happens at a bench."""
    chance = hands.chance
    hands.waits()
    match chance.choice(JOBS):
        case "draws":
            hands.draws()
        case "makes no sense":
            hands.makes_no_sense()
        case "corrects":
            hands.corrects()
        case "again":
            hands.gives_again()
        case "joins":
            hands.joins(chance.choice(("dog", "cat")))
        case "receives":
            hands.receives(chance.choice(("dog", "cat")))
        case "sets a limit":
            hands.sets_a_limit()
        case _:
            hands.goes_on(chance.choice(hands.at_work)) if hands.at_work else hands.draws()


def opened(bank: Any, chance: Any) -> Hands:
    """A bank with all it needs, and a donor of each species; from then on hands slip."""
    hands = Hands(bank=bank, chance=chance, clean=True)
    hands.sets_up()
    for species in ("dog", "cat"):
        hands.joins(species)
    hands.clean = False
    return hands


def live_shortly(bank: Any, seed: int, steps: int = STEPS) -> Hands:
    """A life of so many steps; all invariants at its end, those of what was touched after each."""
    hands = opened(bank, random.Random(seed))
    for _ in range(steps):
        step(hands)
    if wrong := list(broken(bank)):
        raise Broken("; ".join(wrong))
    return hands


def live_long(bank: Any, seed: int, years: int, until: float) -> Hands:
    """Two days of drawing a week; the young join and the old retire, and what expired leaves the shelves."""
    chance = random.Random(seed)
    hands = opened(bank, chance)
    for species in ("dog", "dog", "cat") * 10:
        hands.joins(species)
    day, days = START, 0
    while day < START + timedelta(days=365 * years) and time.monotonic() < until:
        hands.at = day
        if days % 13 == 0:
            people_and_boxes_come(hands)
        a_day(hands)
        day = max(day + timedelta(days=chance.choice((3, 4))), hands.at + timedelta(hours=9))
        days += 1
        if days % 100 == 0 and (wrong := list(broken(bank))):
            raise Broken("; ".join(wrong))
    if wrong := list(broken(bank)):
        raise Broken("; ".join(wrong))
    return hands


def people_and_boxes_come(hands: Hands) -> None:
    hands.clean = True
    hands.opens_places()
    for species in ("dog", "cat"):
        hands.receives(species)
        hands.joins(hands.chance.choice(("dog", species)))
    hands.clean = False


def a_day(hands: Hands) -> None:
    """Two draws and whatever comes between; what is left on the bench is finished without a slip, or thrown away."""
    for donor in hands.chance.sample(hands.made["donor"][-60:], 2):
        hands.draws(donor)
    for _ in range(hands.chance.randint(25, 45)):
        step(hands)
    hands.clean = True
    for donation in list(hands.at_work):
        for _ in range(20):
            if donation in hands.at_work:
                hands.waits()
                hands.goes_on(donation)
    for donation in list(hands.at_work):
        hands.gives(DiscardDonation(donation=donation, reason="Could not be finished on its day."))
        hands.leaves(donation)
    hands.clean = False
    clear_shelves(hands)


def clear_shelves(hands: Hands) -> None:
    for unit in list(hands.made["unit"][-150:]):
        named = hands.bank(UnitName, unit).named
        if named is None or named.part in hands.bank(Shelf, named.donation).discarded:
            continue
        label = hands.bank(Labelling, named.donation).printed.get(named.part)
        if label and label.expires_at < hands.at and hands.chance.randint(0, 9):
            hands.gives(DiscardUnit(unit=unit, reason="Expired."))
