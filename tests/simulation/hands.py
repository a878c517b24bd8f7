"""Hands at a bench that may do anything: what comes next, with slips, or something that makes no sense at all.

`chance` is a `random.Random`, or Hypothesis drawing the same choices so that it can shrink them.
"""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from buffycoat.donors.rules import BLOOD_TYPES, Donor, ExamineDonor, RegisterDonor, TypeBlood
from buffycoat.draws.bag_sets import ReceiveBagSetLot
from buffycoat.draws.rules import DiscardDonation, FinishDraw, StartDraw
from buffycoat.journal.facts import Command, Line, Refused
from buffycoat.labels.rules import Labelling, PrintLabel, ScanLabelBack
from buffycoat.science.numbering import make_code
from buffycoat.separation.contents import predict
from buffycoat.separation.rules import (
    AddAdditive,
    ExpressPlasma,
    KeepWhole,
    LookForClots,
    LoseAdditive,
    SealSegments,
    Separation,
)
from buffycoat.separation.weighings import Weighings, WeighProduct, empty_g, expected_g
from buffycoat.site.rules import SetLimit, limits
from buffycoat.spins.rotors import RegisterRotor, WriteProgramme
from buffycoat.spins.rules import (
    LEAKED,
    POOR,
    WELL,
    BagOutcome,
    FinishSpin,
    Spin,
    SpinBag,
    StartSpin,
)
from buffycoat.storage.places import OpenPlace
from buffycoat.storage.rules import DiscardUnit, PutAway, Shelf
from tests.simulation.invariants import broken_in
from tests.simulation.nonsense import Chance, any_command
from tests.walk import BAG_SETS, DONORS, OF_TODAY, PROGRAMME, ROTOR, TARE_G, WANTED_ML

START = datetime(2015, 1, 6, 8, 0, tzinfo=UTC)
KINDS = {"donor": "D", "lot": "L", "rotor": "T", "place": "P", "spin": "R", "donation": "G", "unit": "U"}
SLIPS_G = (-40, -11, -10, -1, 0, 0, 0, 0, 1, 3, 10, 11, 250)
SETTABLE = {
    "dog_draw_interval_days": (21, 56, 90),
    "weighing_tolerance_g": (5, 10, 15),
    "use_first_days": (2, 7),
    "freezer_clock_h": (4, 8),
    "dog_red_cells_additive_days": (28, 35),
    "time_zone": ("UTC", "Europe/Berlin", "America/New_York", "Pacific/Auckland"),
    "least_segments": (2, 4),
}


class Broken(AssertionError):
    """An invariant does not hold, or a command answered neither with facts nor with reasons."""


@dataclass
class Hands:
    """`clean` works without slips, as the short ways do that bring a bank to where it gets interesting."""

    bank: Any
    chance: Chance
    at: datetime = START
    clean: bool = False
    made: dict[str, list[str]] = field(default_factory=lambda: {kind: [] for kind in KINDS})
    at_work: list[str] = field(default_factory=list)
    last: tuple[Command, datetime, str] | None = None
    tried: int = 0
    done: int = 0

    # how a command is given

    def gives(self, command: Command, at: datetime | None = None) -> tuple[Line, ...]:
        """Recorded, or refused with reasons and nothing changed; anything else is `Broken`."""
        self.tried += 1
        self.last = command, at or self.at, str(UUID(int=self.tried))
        return self._answer(command, lambda: self.bank.do(*self.last))

    def strikes(self, number: int) -> tuple[Line, ...]:
        self.tried += 1
        command_id = str(UUID(int=self.tried))
        return self._answer(f"strike {number}", lambda: self.bank.strike(number, self.at, command_id))

    def gives_again(self) -> None:
        """The same form once more: the first result again, and nothing new in the book."""
        if self.last is None or not (lines := self._lines_by(self.last[2])):
            return
        before = self.bank.serial
        try:
            again = self.bank.do(*self.last)
        except Refused as refused:
            raise Broken(
                f"{self.last[0]} was recorded, and refused when it came again: {refused}"
            ) from refused
        if [each.number for each in again] != [each.number for each in lines] or self.bank.serial != before:
            raise Broken(f"{self.last[0]} was recorded twice")

    def _lines_by(self, command_id: str) -> list[Line]:
        return [each for each in self._written if each.command_id == command_id]

    _written: tuple[Line, ...] = ()

    def _answer(self, what: object, act: Any) -> tuple[Line, ...]:
        before = self.bank.serial
        try:
            lines = act()
        except Refused as refused:
            if not refused.reasons or not all(isinstance(r, str) and r.strip() for r in refused.reasons):
                raise Broken(f"{what} was refused without a word") from refused
            if self.bank.serial != before:
                raise Broken(f"{what} was refused, and the book went on") from refused
            return ()
        except Exception as error:
            raise Broken(f"{what} at {self.at} raised {error!r}") from error
        self.done += 1
        self._written = lines
        if self.bank.serial != before + len(lines) or not lines:
            raise Broken(f"{what} wrote {self.bank.serial - before} entries and told of {len(lines)}")
        for line in lines:
            kind, _, code = line.stream.partition("/")
            if line.version == 1 and kind in self.made:
                self.made[kind].append(code)
                if kind == "donation":
                    self.at_work.append(code)
        streams = list(dict.fromkeys(line.stream for line in lines))
        if wrong := list(broken_in(self.bank, streams)):
            raise Broken(f"after {what}: {'; '.join(wrong)}")
        return lines

    # what is chosen

    def slips(self, percent: int) -> bool:
        return not self.clean and self.chance.randint(0, 99) < percent

    def one(self, kind: str) -> str:
        """Mostly one of the newest of that kind; now and then one that nothing has, or that is another thing's."""
        if self.slips(4):
            kind = self.chance.choice(list(KINDS))
        if not self.made.get(kind) or self.slips(2):
            return make_code(KINDS[kind], "HAVN", self.chance.choice((9_999_999, 1, 7)))
        return self.chance.choice(self.made[kind][-6:])

    def waits(self) -> None:
        self.at += timedelta(minutes=self.chance.choice((1, 1, 2, 3, 9)))
        if self.slips(3):
            self.at += timedelta(hours=self.chance.choice((1, 7, 9, 30, 24 * 20, 24 * 60)))

    def a_time(self) -> datetime:
        """Now; or written late, an hour or a day after it was done."""
        return self.at - timedelta(minutes=self.chance.choice((2, 60, 1440))) if self.slips(4) else self.at

    # jobs

    def sets_up(self) -> None:
        self.opens_places()
        rotor = self.gives(RegisterRotor(**ROTOR))[0].stream.partition("/")[2]
        for species in DONORS:
            self.gives(WriteProgramme(rotor=rotor, name=f"Hard {species}", species=species, **PROGRAMME))
            self.receives(species)

    def opens_places(self) -> None:
        for appliance in ("fridge", "freezer"):
            self.gives(OpenPlace(name=f"{appliance.title()} {self.tried}", appliance=appliance))

    def receives(self, species: str) -> None:
        expires_on = (self.at + timedelta(days=self.chance.choice((365, 30, 700)))).date()
        additive = self.chance.choice((True, False)) and species == "dog"
        none = {} if additive else {"additive": "", "additive_ml": 0}
        self.gives(ReceiveBagSetLot(**{**BAG_SETS[species], "expires_on": expires_on, **none}))

    def joins(self, species: str) -> str:
        born_on = (self.at - timedelta(days=self.chance.randint(400, 1_500))).date()
        donor = self.gives(RegisterDonor(**{**DONORS[species], "born_on": born_on}))[0].stream[6:]
        self.gives(TypeBlood(donor=donor, blood_type=self.chance.choice(BLOOD_TYPES[species])))
        return donor

    def draws(self, donor: str = "") -> None:
        """Examined, drawn into the newest lot, mostly as the rules want it."""
        donor = donor or self.one("donor")
        registered = self.bank(Donor, donor).registered
        species = registered.species if registered else "dog"
        of_today = OF_TODAY[species]
        if self.slips(10):
            of_today = {**of_today, "pcv_permille": self.chance.choice((300, 399, 400, 501, 800))}
        at = self.a_time()
        self.gives(ExamineDonor(donor=donor, **of_today), at)
        tare_g = TARE_G[species] + self.chance.choice((0, 0, -2, 3))
        for lot in self.made["lot"][-6:]:
            start = StartDraw(donor=donor, lot=lot, tare_g=tare_g, wanted_ml=WANTED_ML[species])
            if self.gives(start, at):
                return

    def goes_on(self, donation: str) -> None:
        """The next step of this donation, whatever it is."""
        state = self.bank(Separation, donation)
        draw = state.draw
        at = self.a_time()
        if draw.started is None or draw.discarded:
            return self.leaves(donation)
        if draw.finished is None:
            full_g = draw.started.tare_g + round(draw.started.wanted_ml * 1.053) + self._slip_g()
            self.gives(FinishDraw(donation=donation, gross_g=full_g), at)
        elif not draw.finished.usable:
            self.gives(DiscardDonation(donation=donation, reason="Not for use."), at)
        elif state.kept_whole or state.expressed:
            self._makes(state, donation, at)
        elif state.spun.in_spin:
            self.unloads(state.spun.in_spin)
        elif state.spun.outcome == WELL:
            held = predict(draw, limits(self.bank))
            plasma_g = self.chance.choice((held.plasma_ceiling_g,)) if self.slips(5) else held.express_g
            self.gives(ExpressPlasma(donation=donation, plasma_g=plasma_g + self._slip_g()), at)
        elif self.slips(15):
            self.gives(KeepWhole(donation=donation), at)
        else:
            self.loads(donation)
        return None

    def _makes(self, state: Separation, donation: str, at: datetime) -> None:
        if state.additive_due:
            in_set_ml = state.draw.started.bag_set.additive_ml
            lost = LoseAdditive(donation=donation, reason="Leaked.")
            added = AddAdditive(donation=donation, additive_ml=in_set_ml + self._slip_g())
            self.gives(lost if self.slips(15) else added, at)
        elif state.clots is None:
            self.gives(LookForClots(donation=donation, clots=self.slips(4)), at)
        elif state.segments is None:
            self.gives(SealSegments(donation=donation, segments=4), at)
        else:
            self._finishes(state, donation, at)

    def _finishes(self, state: Separation, donation: str, at: datetime) -> None:
        weighed, labels = self.bank(Weighings, donation).weighed, self.bank(Labelling, donation)
        shelf = self.bank(Shelf, donation)
        for part in state.parts:
            if part in shelf.discarded:
                continue
            if part not in weighed:
                gross_g = expected_g(state, part, limits(self.bank)) + empty_g(state, part) + self._slip_g()
                explained = "Spilled at the port." if self.slips(10) else ""
                weigh = WeighProduct(donation=donation, part=part, gross_g=gross_g, explained=explained)
                self.gives(weigh, at)
            elif part not in labels.printed:
                self.gives(PrintLabel(donation=donation, part=part), at)
            elif part not in labels.labelled_at and self.slips(6):
                self._shelves(labels.printed[part].unit, part, at, donation)
            elif part not in labels.labelled_at:
                self.gives(ScanLabelBack(donation=donation, unit=labels.printed[part].unit), at)
            elif part not in shelf.put_away:
                self._shelves(labels.printed[part].unit, part, at, donation)
            else:
                continue
            return
        self.leaves(donation)

    def _shelves(self, unit: str, part: str, at: datetime, donation: str) -> None:
        for place in self.made["place"][-2:] if not self.slips(5) else [self.one("place")]:
            if self.gives(PutAway(unit=unit, place=place, looks_well=not self.slips(3)), at):
                return
        if self.bank(Labelling, donation).printed[part].expires_at < self.at or self.slips(20):
            self.gives(DiscardUnit(unit=unit, reason="Expired."), at)
        elif self.slips(50) or self.clean:
            self.gives(PrintLabel(donation=donation, part=part, reason="Late for the freezer."), at)

    def leaves(self, donation: str) -> None:
        if donation in self.at_work:
            self.at_work.remove(donation)

    def loads(self, donation: str) -> None:
        """With others that wait, if any: rarely of the other species."""
        bags = []
        species = self.bank(Separation, donation).draw.started.species
        for each in dict.fromkeys([donation, *self.at_work[-3:]]):
            draw, spun = self.bank(Separation, each).draw, self.bank(Separation, each).spun
            waits = draw.finished and draw.finished.usable and spun.outcome != WELL and not spun.in_spin
            if waits and (draw.started.species == species or self.slips(50)):
                bags.append(SpinBag(donation=each, mass_g=draw.finished.gross_g))
        if bags:
            species = self.chance.choice(("dog", "cat")) if self.slips(10) else species
            self.gives(StartSpin(rotor=self.one("rotor"), programme=f"Hard {species}", bags=tuple(bags)))

    def unloads(self, spin: str) -> None:
        if not self.slips(8):
            self.at += timedelta(minutes=11)
        odd = self.chance.choice((POOR, POOR, LEAKED)) if self.slips(20) else WELL
        donations = self.bank(Spin, spin).donations
        outcomes = tuple(
            BagOutcome(donation=each, outcome=odd if each == donations[0] else WELL) for each in donations
        )
        self.gives(FinishSpin(spin=spin, outcomes=outcomes))

    def _slip_g(self) -> int:
        return self.chance.choice(SLIPS_G) if self.slips(12) else self.chance.choice((-1, 0, 1))

    def corrects(self) -> None:
        """Strikes something of the last entries or of a bag at work, without a thought of what stands on it."""
        last = self.bank.serial - 1
        if self.at_work and self.chance.randint(0, 1):
            self.strikes(self.chance.choice(self.bank.of(f"donation/{self.at_work[-1]}")).number)
        elif last:
            self.strikes(self.chance.randint(max(1, last - self.chance.choice((0, 3, 30))), last))

    def sets_a_limit(self) -> None:
        key = self.chance.choice(list(SETTABLE))
        self.gives(SetLimit(key=key, value=self.chance.choice(SETTABLE[key]), reason="Our veterinarian."))

    def makes_no_sense(self) -> None:
        """Any command with any values of the right types."""
        self.gives(any_command(self.chance, self.one), self.a_time())
