"""The facts of equipment, each in one line."""

from buffycoat.equipment.rules import (
    SORTS,
    EquipmentChecked,
    EquipmentRegistered,
    EquipmentServes,
    PutBackInUse,
    TakenOutOfUse,
)
from buffycoat.journal.facts import Fact
from buffycoat.science.numbering import show_code


def said(fact: Fact) -> str:
    """What a fact of this chapter says; nothing for one of another."""
    match fact:
        case EquipmentRegistered():
            what = f"{fact.name}, {SORTS[fact.sort].lower()}, maker's number {fact.maker_number}"
            return f"{what}, every {fact.check_every_days} days: {fact.checked_how}"
        case EquipmentServes():
            return show_code(fact.equipment)
        case EquipmentChecked():
            passed = "Passed" if fact.passed else "Did not pass, out of use"
            return f"{passed}. {fact.found.rstrip('.')}. Next due on {fact.due_on:%d %b %Y}"
        case TakenOutOfUse():
            return fact.reason
        case PutBackInUse():
            return fact.why
    return ""
