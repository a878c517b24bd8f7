"""Changes of state: a unit is thawed, opened, irradiated or frozen, or divided into parts. The chapter's one door.

Each change says what the unit is from then on and until when: the earliest of all ends counts. Its label is then no
longer true, and it stands in no place until a new one was scanned back from the bag.
"""

from buffycoat.changes.dividing import DivideUnit, SeparateCryo
from buffycoat.changes.in_hand import InHand, why_not_in_hand
from buffycoat.changes.states import FreezeUnit, IrradiateUnit, OpenUnit, ThawUnit
from buffycoat.changes.weighing import WeighPart

__all__ = [
    "DivideUnit",
    "FreezeUnit",
    "InHand",
    "IrradiateUnit",
    "OpenUnit",
    "SeparateCryo",
    "ThawUnit",
    "WeighPart",
    "why_not_in_hand",
]
