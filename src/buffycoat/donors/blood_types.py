"""Blood types of dogs and cats, and what several readings of one of them say together.

The systems: DEA 1, 3, 4, 5, 7, Dal, Kai 1 and Kai 2 of dogs; AB and Mik of cats (Blais, WSAVA 2019; Ebelt 2020). The
first system of a species is the one that goes on every label.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime


def _signed(*systems: str) -> dict[str, tuple[str, ...]]:
    return {system: (f"{system} positive", f"{system} negative") for system in systems}


SYSTEMS: dict[str, Mapping[str, tuple[str, ...]]] = {
    "dog": _signed("DEA 1", "DEA 3", "DEA 4", "DEA 5", "DEA 7", "Dal", "Kai 1", "Kai 2"),
    "cat": {"AB": ("A", "B", "AB"), **_signed("Mik")},
}
ON_THE_LABEL = {species: next(iter(systems)) for species, systems in SYSTEMS.items()}
BLOOD_TYPES = {species: systems[ON_THE_LABEL[species]] for species, systems in SYSTEMS.items()}
TYPE_UNKNOWN = "type not known"
NOT_READ, ONCE, CONFIRMED, BY_ONE_PERSON, IN_DOUBT = (
    "not read",
    "read once",
    "confirmed",
    "confirmed by the same person",
    "in doubt",
)


def system_of(species: str, blood_type: str) -> str:
    """The system that a type belongs to; empty if this species has no such type."""
    systems = SYSTEMS.get(species, {})
    return next((system for system, types in systems.items() if blood_type in types), "")


@dataclass(frozen=True, kw_only=True)
class Reading:
    blood_type: str
    method: str
    by: str
    at: datetime


@dataclass(frozen=True, kw_only=True)
class Resolved:
    """`blood_type` is empty while nothing was read, or while readings contradict each other."""

    blood_type: str
    how: str


def resolved(readings: Sequence[Reading]) -> Resolved:
    """What most readings say. One against one says nothing: a third one decides."""
    if not readings:
        return Resolved(blood_type="", how=NOT_READ)
    counted = Counter(each.blood_type for each in readings).most_common(2)
    (first, times), second = counted[0], counted[1][1] if len(counted) > 1 else 0
    if times == second:
        return Resolved(blood_type="", how=IN_DOUBT)
    if times == 1:
        return Resolved(blood_type=first, how=ONCE)
    people = {each.by for each in readings if each.blood_type == first}
    return Resolved(blood_type=first, how=CONFIRMED if len(people) > 1 else BY_ONE_PERSON)
