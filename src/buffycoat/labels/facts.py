"""What happens to a unit, as the book writes it: its labels, its places, its changes of state and its end.

All of it stands in the stream of its donation. A part that a unit was divided into is named after it, with a number
more: `red-cells` became `red-cells-1` and `red-cells-2`. So a name tells its descent.
"""

from dataclasses import dataclass
from datetime import datetime

from buffycoat.draws.brought_in import DonationBroughtIn
from buffycoat.journal.facts import Fact
from buffycoat.separation.rules import ClotsLookedFor, SegmentsSealed
from buffycoat.separation.weighings import ProductWeighed

LABELLED = (
    "a labelled bag is there. Discard that unit on record, or take its label off and strike this entry: "
    "voided, its label would lead nowhere."
)


def parent_of(part: str) -> str:
    """The part that this one was divided from; empty for what came of the separation.

    >>> parent_of("red-cells-2"), parent_of("plasma")
    ('red-cells', '')
    """
    parent, _, number = part.rpartition("-")
    return parent if number.isdigit() else ""


def lineage(part: str) -> tuple[str, ...]:
    """The part itself and all that it was divided from.

    >>> lineage("red-cells-2-1")
    ('red-cells-2-1', 'red-cells-2', 'red-cells')
    """
    return (part, *lineage(parent)) if (parent := parent_of(part)) else (part,)


@dataclass(frozen=True, kw_only=True)
class Becomes:
    """What a part is from now on and when it must be used by; `because` says what decides the end."""

    product: str
    expires_at: datetime
    because: str


@dataclass(frozen=True, kw_only=True)
class LabelPrinted(
    Fact, kind="label-printed", builds_on=(ProductWeighed, SegmentsSealed, ClotsLookedFor, DonationBroughtIn)
):
    """`copy` counts from 1; a copy above 1 has a reason. `changed` is what was done to it: opened, irradiated."""

    part: str
    unit: str
    product: str
    blood_type: str
    volume_ml: int
    low_volume: bool
    expires_at: datetime
    copy: int
    reason: str
    changed: str = ""

    def stands_on(self, earlier: Fact) -> bool:
        if isinstance(earlier, UnitDivided):
            return earlier.makes(self.part)
        return super().stands_on(earlier) or (
            isinstance(earlier, (*CHANGES, PartWeighed)) and earlier.part == self.part
        )


@dataclass(frozen=True, kw_only=True)
class LabelScannedBack(Fact, kind="label-scanned-back", builds_on=(LabelPrinted,), leaves_behind=LABELLED):
    part: str
    unit: str


@dataclass(frozen=True, kw_only=True)
class UnitPutAway(Fact, kind="unit-put-away", builds_on=(LabelScannedBack,)):
    """What a later copy of the label says depends on it. A move stands on what it leaves.

    `out_s` is how long it was out of the fridge before, this time; `surface_c` what its surface showed, if asked.
    """

    part: str
    unit: str
    place: str
    out_s: int = 0
    surface_c: int | None = None

    def stands_on(self, earlier: Fact) -> bool:
        moved = isinstance(earlier, UnitPutAway | UnitTakenOut) and earlier.part == self.part
        return moved or super().stands_on(earlier)


@dataclass(frozen=True, kw_only=True)
class UnitTakenOut(Fact, kind="unit-taken-out", builds_on=(UnitPutAway,)):
    """Out of its fridge, to be given or brought back: its time runs."""

    part: str
    unit: str
    place: str


@dataclass(frozen=True, kw_only=True)
class UnitIssued(Fact, kind="unit-issued", builds_on=(UnitPutAway, UnitTakenOut)):
    """Given out for a patient. `emergency` says why it went without all that is asked, `released_by` on whose word."""

    part: str
    unit: str
    patient: str
    request: str
    fits: str
    crossmatch: str
    emergency: str = ""
    released_by: str = ""


@dataclass(frozen=True, kw_only=True)
class UnitReturned(Fact, kind="unit-returned", builds_on=(UnitIssued,)):
    """Brought back unused. Its time out runs since it was issued; putting it away decides by that."""

    part: str
    unit: str
    why: str


@dataclass(frozen=True, kw_only=True)
class UnitDiscarded(Fact, kind="unit-discarded", builds_on=(LabelPrinted,)):
    """A unit that is gone gets no more labels."""

    part: str
    unit: str
    reason: str


UPON = (LabelScannedBack, UnitPutAway, UnitTakenOut)  # what every change of a unit stands on


@dataclass(frozen=True, kw_only=True)
class UnitThawed(Fact, kind="unit-thawed", builds_on=UPON):
    """In a water bath, sealed in a bag of its own; then its label is no longer true."""

    part: str
    unit: str
    becomes: Becomes
    bath_c: int
    minutes: int


@dataclass(frozen=True, kw_only=True)
class UnitOpened(Fact, kind="unit-opened", builds_on=UPON):
    """Air could get in: it keeps for hours only."""

    part: str
    unit: str
    becomes: Becomes
    reason: str


@dataclass(frozen=True, kw_only=True)
class UnitIrradiated(Fact, kind="unit-irradiated", builds_on=UPON):
    part: str
    unit: str
    becomes: Becomes
    dose_gy: int


@dataclass(frozen=True, kw_only=True)
class UnitFrozen(Fact, kind="unit-frozen", builds_on=UPON):
    """Kept liquid until now."""

    part: str
    unit: str
    becomes: Becomes


CHANGES = (UnitThawed, UnitOpened, UnitIrradiated, UnitFrozen)
Change = UnitThawed | UnitOpened | UnitIrradiated | UnitFrozen


@dataclass(frozen=True, kw_only=True)
class Child:
    """One part to be: `empty_g` is the mass of its empty bag. `becomes` is None where it stays what its parent was."""

    part: str
    empty_g: int
    becomes: Becomes | None = None


@dataclass(frozen=True, kw_only=True)
class UnitDivided(Fact, kind="unit-divided", builds_on=UPON):
    """The unit is gone; what it held is in its parts. `closed`: no air got in."""

    part: str
    unit: str
    closed: bool
    children: tuple[Child, ...]

    def makes(self, part: str) -> bool:
        return any(child.part == part for child in self.children)


@dataclass(frozen=True, kw_only=True)
class PartWeighed(Fact, kind="part-weighed"):
    """One part of a divided unit. `explained` says why masses that do not add up are right all the same."""

    part: str
    gross_g: int
    empty_g: int
    content_g: int
    volume_ml: int
    red_cell_part_ml: int
    haematocrit_permille: int
    density_mg_per_ml: int
    explained: str
    scale: str = ""  # how the mass came in; empty: typed

    def stands_on(self, earlier: Fact) -> bool:
        return isinstance(earlier, UnitDivided) and earlier.makes(self.part)


@dataclass(frozen=True, kw_only=True)
class UnitNamed(Fact, kind="unit-named"):
    """In the unit's own stream: which donation's stream tells its story."""

    unit: str
    donation: str
    part: str
