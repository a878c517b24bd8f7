"""The work in hand when the story ends: one bag at each step, so that a newcomer can go on from any of them."""

from datetime import UTC, datetime, time, timedelta

from buffycoat.demo.animals import CATS_OF_THE_LAST_DAY, DOGS_OF_THE_LAST_DAY, Animal
from buffycoat.demo.bench import PEOPLE, Bag, Bench
from buffycoat.demo.house import PROGRAMMES, ZONE, House, local, lot_for
from buffycoat.separation.rules import PLASMA, RED_CELLS


def leave_in_hand(bench: Bench, house: House, until: datetime) -> None:
    """Every time is counted back from `until` in elapsed minutes, so that it holds on any night of the year."""
    to_label, to_go_on, to_press, waiting, waiting_too, running, ready = DOGS_OF_THE_LAST_DAY
    hands = _Hands(bench, house, until)
    bench.by = PEOPLE[0]
    first = [hands.draws(to_label, 118), hands.draws(to_go_on, 100)]
    cats = [hands.draws(cat, minutes) for cat, minutes in zip(CATS_OF_THE_LAST_DAY, (90, 76), strict=True)]
    third = hands.draws(to_press, 66)
    hands.draws(waiting, 56)
    hands.at(52)
    bench.unloads(bench.loads(first, house.rotors["A"], PROGRAMMES["dog"]))
    hands.at(38)
    _makes_all_but_the_last_label(bench, house, first[0])
    bench.by = PEOPLE[1]
    hands.at(30)
    bench.unloads(bench.loads([third], house.rotors["B"], PROGRAMMES["dog"]))
    hands.draws(waiting_too, 24)
    hands.at(7)
    bench.presses(first[1], after_min=0)
    hands.starts(running, 6)
    hands.at(4)
    bench.loads(cats, house.rotors["A"], PROGRAMMES["cat"])
    bench.by = PEOPLE[0]
    hands.at(2)
    bench.prints(first[0], RED_CELLS)
    hands.examines(ready, 0)


def _makes_all_but_the_last_label(bench: Bench, house: House, bag: Bag) -> None:
    bench.presses(bag)
    bench.adds_additive(bag)
    bench.looks_and_seals(bag)
    bench.weighs(bag)
    bench.shelves(bench.labels(bag, PLASMA), house.places)


class _Hands:
    """Puts the bench's clock to minutes before the end."""

    def __init__(self, bench: Bench, house: House, until: datetime) -> None:
        self.bench, self.house, self.until = bench, house, until
        self.last_day = until.astimezone(ZONE).date()

    def at(self, minutes_before: int) -> None:
        self.bench.at = self.until - timedelta(minutes=minutes_before)

    def examines(self, animal: Animal, minutes_before: int) -> None:
        """Never before midnight: the weight and the PCV must be of the day of the draw."""
        self.at(minutes_before)
        midnight = local(self.bench.at.astimezone(ZONE).date(), time.min)
        self.bench.at = max(midnight, self.bench.at - timedelta(minutes=7)).astimezone(UTC)
        self.bench.examines(animal, self.house.donors[animal.name])

    def starts(self, animal: Animal, minutes_before: int) -> Bag:
        self.examines(animal, minutes_before)
        self.at(minutes_before)
        lot = lot_for(self.house, animal.species, additive=True, on=self.last_day, last_day=self.last_day)
        return self.bench.begins(self.bench.draw_of(animal, self.house.donors[animal.name], lot))

    def draws(self, animal: Animal, minutes_before: int) -> Bag:
        return self.bench.fills(self.starts(animal, minutes_before), after_min=8)
