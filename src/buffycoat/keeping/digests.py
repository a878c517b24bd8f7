"""One SHA-256 a register, the same on either database: to see whether registers made again are equal."""

import hashlib
import json
from dataclasses import dataclass

from buffycoat.journal.registers import tables


@dataclass(frozen=True, kw_only=True)
class Register:
    columns: list[str]
    rows: int
    sha256: str


def registers() -> dict[str, Register]:
    """By label. Rows are sorted here, for databases sort words differently."""
    made = {}
    for model in tables():
        columns = [field.attname for field in model._meta.concrete_fields]
        lines = sorted(
            json.dumps(row, default=str, sort_keys=True)
            for row in model._base_manager.values_list(*columns).iterator(2_000)
        )
        digest = hashlib.sha256("\n".join(lines).encode()).hexdigest()
        made[model._meta.label] = Register(columns=columns, rows=len(lines), sha256=digest)
    return made


def differing(before: dict[str, Register], after: dict[str, Register]) -> list[str]:
    """Labels of registers that say something else. One that a new release gave other columns cannot be compared."""
    return [
        label
        for label, register in after.items()
        if label in before and before[label].columns == register.columns and before[label] != register
    ]
