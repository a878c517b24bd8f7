"""The grid: each unit on the shelf against one patient, check by check, what fits best and is oldest first."""

from collections.abc import Iterable
from dataclasses import dataclass

from buffycoat.donors.blood_types import SYSTEMS
from buffycoat.donors.rules import TYPE_UNKNOWN, Donor
from buffycoat.journal.book import Book
from buffycoat.labels.products import PRODUCTS
from buffycoat.matching.compatibility import (
    AVOID,
    FITS,
    KIND_OF_PART,
    NEVER,
    PLASMA,
    UNKNOWN,
    VERDICTS,
    against_antibodies,
    rule_for,
    worst,
)
from buffycoat.storage.rules import READY, USE_FIRST
from buffycoat.storage.stock import StockedUnit


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """For whom blood is looked for. `antibodies` are the systems that the patient has one against."""

    species: str
    kind: str
    blood_type: str
    antibodies: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Check:
    verdict: str
    words: str
    source: str = ""


@dataclass(frozen=True, kw_only=True)
class GridRow:
    unit: StockedUnit
    type_check: Check
    state_check: Check
    antibody_check: Check

    @property
    def verdict(self) -> str:
        return worst(self.type_check.verdict, self.state_check.verdict, self.antibody_check.verdict)


def kind_of(unit: StockedUnit) -> str:
    return KIND_OF_PART[PRODUCTS[unit.row.product].part]


def grid(
    wanted: Wanted, units: Iterable[StockedUnit], donor_types: dict[str, dict[str, str]]
) -> list[GridRow]:
    """One row a unit of that species and kind. `donor_types` gives by donor and system the type that was read."""
    rows = [
        GridRow(
            unit=unit,
            type_check=_type_check(wanted, unit),
            state_check=_state_check(unit),
            antibody_check=_antibody_check(wanted, donor_types.get(unit.row.donation.donor_id, {})),
        )
        for unit in units
        if unit.row.species == wanted.species and kind_of(unit) == wanted.kind
    ]
    return sorted(
        rows, key=lambda row: (VERDICTS.index(row.verdict), row.unit.row.expires_at, row.unit.row.unit)
    )


def donor_types(units: Iterable[StockedUnit]) -> dict[str, dict[str, str]]:
    """By donor of these units: what each of its blood groups was read as."""
    found: dict[str, dict[str, str]] = {}
    for donor in {unit.row.donation.donor_id for unit in units}:
        state = Book()(Donor, donor)
        systems = SYSTEMS[state.registered.species] if state.registered else {}
        found[donor] = {system: state.type_in(system).blood_type for system in systems}
    return found


def _type_check(wanted: Wanted, unit: StockedUnit) -> Check:
    donor = UNKNOWN if unit.row.blood_type == TYPE_UNKNOWN else unit.row.blood_type
    rule = rule_for(species=wanted.species, kind=wanted.kind, patient=wanted.blood_type, donor=donor)
    return Check(verdict=rule.verdict, words=rule.because, source=rule.source)


def _state_check(unit: StockedUnit) -> Check:
    if unit.status in (READY, USE_FIRST):
        return Check(verdict=FITS, words="")
    return Check(verdict=NEVER, words=unit.held or unit.stop_because)


def _antibody_check(wanted: Wanted, donor_types: dict[str, str]) -> Check:
    found = list(against_antibodies(wanted.antibodies, donor_types))
    if wanted.kind == PLASMA or not found:
        return Check(verdict=FITS, words="")
    return Check(
        verdict=worst(*(verdict for verdict, _ in found)), words="; ".join(words for _, words in found)
    )


def best(rows: list[GridRow]) -> GridRow | None:
    """The unit to take first; none if nothing fits without the veterinarian's own decision."""
    return next((row for row in rows if VERDICTS.index(row.verdict) < VERDICTS.index(AVOID)), None)
