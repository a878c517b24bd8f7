"""Three months of weeks at the bench: who gives when, and what goes wrong with which bag."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta

from buffycoat.demo.animals import (
    CAT_TOO_LIGHT,
    CATS,
    CATS_OF_THE_LAST_DAY,
    DOG_WITH_LOW_PCV,
    DOGS,
    DOGS_OF_THE_LAST_DAY,
    Animal,
)
from buffycoat.demo.bench import PEOPLE, Bag, Bench, Unit
from buffycoat.demo.health import calls_owners, turns_away
from buffycoat.demo.house import PROGRAMMES, House, local, lot_for
from buffycoat.draws.rules import DiscardDonation
from buffycoat.separation.rules import PLASMA, ExpressPlasma, KeepWhole, LookForClots, LoseAdditive
from buffycoat.spins.rules import LEAKED, POOR

WEEKS = 13
TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = 1, 2, 3, 4
CLEARS_SHELVES, DOGS_GIVE, CATS_GIVE, FREEZER_AGAIN = time(8, 30), time(9, 0), time(13, 30), time(17, 50)

AS_IT_SHOULD = "as it should"
LOW, SLOW, OVER = "low volume", "slow draw", "over-filled"
LEAK, POOR_SPIN, WRONG_WEIGHT = "leak in the spin", "poor spin", "wrong weight struck"
LOST, CLOT, LATE, WHOLE = "additive lost", "clot", "plasma late", "kept whole"

ODD_DOGS = {  # by the number of the draw, from 0
    4: WRONG_WEIGHT,
    5: OVER,
    8: LEAK,
    11: POOR_SPIN,
    14: CLOT,
    17: LATE,
    20: SLOW,
    23: LATE,
    26: LOW,
    29: LOST,
    30: WHOLE,
    31: LATE,
}
FILLED_ML = {OVER: 522, LOW: 361}
SLOW_MIN = 17


@dataclass(frozen=True, kw_only=True)
class Turn:
    """One animal's turn to give, and how it goes."""

    animal: Animal
    goes: str
    additive: bool


def dog_turn(number: int) -> Turn:
    """Every third dog gives into a set without additive."""
    animal = _in_turn(DOGS_OF_THE_LAST_DAY, DOGS, number)
    return Turn(animal=animal, goes=ODD_DOGS.get(number, AS_IT_SHOULD), additive=number % 3 != 0)


def cat_turn(number: int) -> Turn:
    """Every second cat's blood is kept whole."""
    animal = _in_turn(CATS_OF_THE_LAST_DAY, CATS, number)
    return Turn(animal=animal, goes=AS_IT_SHOULD if number % 2 else WHOLE, additive=False)


def _in_turn(first: Sequence[Animal], then: Sequence[Animal], number: int) -> Animal:
    """Those of the last day give first and then rest; the others take turns, which leaves each 56 days or more."""
    return first[number] if number < len(first) else then[(number - len(first)) % len(then)]


def live_through(bench: Bench, house: House, *, first_monday: date, last_day: date) -> None:
    """Every day before the last: expired units leave the shelves, and on three days of the week animals give."""
    dogs, cats = 0, 0
    for number in range((last_day - first_monday).days):
        day, week = first_monday + timedelta(days=number), number // 7
        bench.by = PEOPLE[number % len(PEOPLE)]
        bench.at = local(day, CLEARS_SHELVES)
        bench.clears_expired()
        if day.weekday() == FRIDAY:
            calls_owners(bench, day)
        session = Session(bench=bench, house=house, day=day, last_day=last_day)
        if day.weekday() == WEDNESDAY:
            session.hold([cat_turn(cats)], CATS_GIVE)
            cats += 1
        elif count := {TUESDAY: 2, THURSDAY: 1 - week % 2}.get(day.weekday()):
            session.hold([dog_turn(dogs + each) for each in range(count)], DOGS_GIVE)
            dogs += count
        if (week, day.weekday()) == (4, TUESDAY):
            session.turn_away(DOG_WITH_LOW_PCV, pcv_permille=370)
        if (week, day.weekday()) == (6, WEDNESDAY):
            session.turn_away(CAT_TOO_LIGHT)


@dataclass(frozen=True, kw_only=True)
class Session:
    """The animals of one species that give on one day, and all the work on their bags."""

    bench: Bench
    house: House
    day: date
    last_day: date

    def hold(self, turns: Sequence[Turn], clock: time) -> None:
        self.bench.at = local(self.day, clock)
        filled = [(turn, self._give(turn)) for turn in turns]
        spun = [(turn, bag) for turn, bag in filled if turn.goes not in (OVER, WHOLE)]
        if spun:
            self._spin(spun)
        late = [made for turn, bag in filled if turn.goes != OVER and (made := self._make(turn, bag))]
        for bag, unit in late:
            self._freeze_late(bag, unit)

    def turn_away(self, animal: Animal, *, pcv_permille: int = 0) -> None:
        """The animal is examined, and the draw is refused by the site's limits."""
        donor = self.house.donors[animal.name]
        self.bench.examines(animal, donor, pcv_permille=pcv_permille)
        draw = self.bench.draw_of(animal, donor, self._lot(animal, additive=True))
        self.bench.is_refused(draw, after_min=5)
        turns_away(self.bench, donor, animal)

    def _lot(self, animal: Animal, *, additive: bool) -> str:
        return lot_for(self.house, animal.species, additive=additive, on=self.day, last_day=self.last_day)

    def _give(self, turn: Turn) -> Bag:
        donor = self.house.donors[turn.animal.name]
        self.bench.examines(turn.animal, donor)
        draw = self.bench.draw_of(turn.animal, donor, self._lot(turn.animal, additive=turn.additive))
        minutes = SLOW_MIN if turn.goes == SLOW else self.bench.chance.randint(6, 10)
        bag = self.bench.begins(draw, after_min=6)
        bag = self.bench.fills(bag, volume_ml=FILLED_ML.get(turn.goes, 0), after_min=minutes)
        if turn.goes == OVER:
            reason = "Over-filled: too little anticoagulant for the blood."
            self.bench.does(DiscardDonation(donation=bag.donation, reason=reason), after_min=3)
        return bag

    def _spin(self, spun: Sequence[tuple[Turn, Bag]]) -> None:
        bags = [bag for _, bag in spun]
        rotor, programme = self.house.rotors["A"], PROGRAMMES[bags[0].species]
        outcomes = {bag.donation: {LEAK: LEAKED, POOR_SPIN: POOR}.get(turn.goes) for turn, bag in spun}
        odd = {donation: outcome for donation, outcome in outcomes.items() if outcome}
        self.bench.unloads(self.bench.loads(bags, rotor, programme, after_min=20), otherwise=odd)
        if again := [bag for bag in bags if odd.get(bag.donation) == POOR]:
            self.bench.unloads(self.bench.loads(again, rotor, programme, after_min=5))

    def _make(self, turn: Turn, bag: Bag) -> tuple[Bag, Unit] | None:
        """Makes and shelves the units of a bag; gives back the plasma that stays on the bench too long."""
        if turn.goes == LEAK:
            return None
        if turn.goes == WHOLE:
            self.bench.does(KeepWhole(donation=bag.donation), after_min=5)
        else:
            self._separate(turn, bag)
        if turn.goes == CLOT:
            self.bench.does(LookForClots(donation=bag.donation, clots=True), after_min=3)
            return None
        self.bench.looks_and_seals(bag)
        late = None
        for part in self.bench.weighs(bag):
            unit = self.bench.labels(bag, part)
            if turn.goes == LATE and part == PLASMA:
                late = bag, unit
            else:
                self.bench.shelves(unit, self.house.places)
        return late

    def _separate(self, turn: Turn, bag: Bag) -> None:
        if turn.goes == WRONG_WEIGHT:
            right = self.bench.pressing_of(bag)
            wrong = ExpressPlasma(donation=bag.donation, plasma_g=right.plasma_g - 90)
            written = self.bench.does(wrong, after_min=6)
            reason = f"Misread: the scale showed {right.plasma_g} g, not {wrong.plasma_g} g."
            self.bench.strikes(written, reason=reason, again=right)
        else:
            self.bench.presses(bag)
        if turn.goes == LOST:
            reason = "The port of the additive bag broke off: nothing ran in."
            self.bench.does(LoseAdditive(donation=bag.donation, reason=reason), after_min=3)
        else:
            self.bench.adds_additive(bag)

    def _freeze_late(self, bag: Bag, unit: Unit) -> None:
        """The plasma was forgotten on the bench: as fresh frozen it is refused, so it gets another label."""
        self.bench.at = local(self.day, FREEZER_AGAIN)
        self.bench.is_refused(self.bench.putting_away_of(unit, self.house.places))
        reason = "Too late for fresh frozen plasma: the first label was destroyed."
        self.bench.shelves(self.bench.labels(bag, PLASMA, reason=reason), self.house.places)
