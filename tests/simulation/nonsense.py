"""Any command with any values of the right types: what no page would send, and a book must answer all the same."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, Protocol

from buffycoat.donors.rules import ExamineDonor, RegisterDonor, TypeBlood
from buffycoat.draws.bag_sets import ReceiveBagSetLot
from buffycoat.draws.rules import DiscardDonation, FinishDraw, StartDraw
from buffycoat.draws.spares import GiveSpareNumbers
from buffycoat.journal.facts import Command
from buffycoat.labels.rules import PrintLabel, ScanLabelBack
from buffycoat.separation.rules import (
    AddAdditive,
    ExpressPlasma,
    KeepWhole,
    LookForClots,
    LoseAdditive,
    SealSegments,
)
from buffycoat.separation.weighings import WeighProduct
from buffycoat.site.rules import SetLimit
from buffycoat.spins.rotors import RegisterRotor, WriteProgramme
from buffycoat.spins.rules import (
    OUTCOMES,
    BagOutcome,
    FinishSpin,
    SpinBag,
    StartSpin,
)
from buffycoat.storage.places import OpenPlace
from buffycoat.storage.rules import DiscardUnit, PutAway

PARTS = ("plasma", "red-cells", "whole-blood", "soup")
WORDS = ("", " ", "Kept by mistake.", 'Zoë\'s; "quoted" – 100 %')
WHOLES = (-(10**9), -1, 0, 1, 4, 28, 40, 50, 63, 93, 260, 450, 734, 5_200, 32_000, 10**6, 10**9)


class Chance(Protocol):
    def choice(self, among: Sequence[Any]) -> Any: ...

    def randint(self, least: int, most: int) -> int: ...


def any_command(chance: Chance, one: Callable[[str], str]) -> Command:
    """`one` gives a code of the kind it is asked for, or of another."""

    def whole() -> int:
        return chance.choice(WHOLES)

    def word() -> str:
        return chance.choice(WORDS)

    yes = chance.choice((True, False))
    part, species = chance.choice(PARTS), chance.choice(("dog", "cat", "", "horse"))
    donation, unit = one("donation"), one("unit")
    bags = tuple(SpinBag(donation=one("donation"), mass_g=whole()) for _ in range(whole() % 7))
    outcome = chance.choice((*OUTCOMES, ""))
    outcomes = tuple(BagOutcome(donation=one("donation"), outcome=outcome) for _ in range(whole() % 3))
    sized = {name: whole() for name in ("nominal_ml", "anticoagulant_ml", "additive_ml")}
    empty = {"main_bag_empty_g": whole(), "plasma_bag_empty_g": whole()}
    radius = {"radius_mm": whole(), "most_rpm": whole(), "pair_limit_g": whole()}
    run = {"rpm": whole(), "duration_s": whole(), "temperature_c": whole()}
    day = chance.choice((date.min, date(2014, 2, 28), date(2016, 2, 29), date.max))
    return chance.choice(
        (
            lambda: RegisterDonor(name=word(), species=species, sex="female", born_on=day),
            lambda: TypeBlood(
                donor=one("donor"), blood_type=chance.choice(("A", "AB", "", "DEA 1 negative"))
            ),
            lambda: ExamineDonor(donor=one("donor"), weight_g=whole(), pcv_permille=whole()),
            lambda: ReceiveBagSetLot(
                maker_lot=word(),
                expires_on=day,
                title=word(),
                species=species,
                anticoagulant="CPD",
                additive=word(),
                **sized,
                **empty,
            ),
            lambda: StartDraw(
                donor=one("donor"),
                lot=one("lot"),
                tare_g=whole(),
                wanted_ml=whole(),
                number=donation if yes else "",
            ),
            lambda: GiveSpareNumbers(sheets=whole()),
            lambda: FinishDraw(donation=donation, gross_g=whole()),
            lambda: DiscardDonation(donation=donation, reason=word()),
            lambda: RegisterRotor(name=word(), centrifuge=word(), places=whole(), **radius),
            lambda: WriteProgramme(
                rotor=one("rotor"), name=word(), species=species, brake=word(), validated=word(), **run
            ),
            lambda: StartSpin(
                rotor=one("rotor"), programme=chance.choice(("Hard dog", "Hard cat", "")), bags=bags
            ),
            lambda: FinishSpin(spin=one("spin"), outcomes=outcomes),
            lambda: KeepWhole(donation=donation),
            lambda: ExpressPlasma(donation=donation, plasma_g=whole()),
            lambda: AddAdditive(donation=donation, additive_ml=whole()),
            lambda: LoseAdditive(donation=donation, reason=word()),
            lambda: LookForClots(donation=donation, clots=yes),
            lambda: SealSegments(donation=donation, segments=whole()),
            lambda: WeighProduct(donation=donation, part=part, gross_g=whole(), explained=word()),
            lambda: PrintLabel(donation=donation, part=part, reason=word(), number=unit if yes else ""),
            lambda: ScanLabelBack(donation=donation, unit=unit),
            lambda: OpenPlace(name=word(), appliance=chance.choice(("fridge", "freezer", ""))),
            lambda: PutAway(unit=unit, place=one("place"), looks_well=yes),
            lambda: DiscardUnit(unit=unit, reason=word()),
            lambda: SetLimit(key=word(), value=whole(), reason=word()),
        )
    )()
