"""The facts of patients, each in one line."""

from buffycoat.journal.facts import Fact
from buffycoat.patients.rules import (
    AntibodyFound,
    PatientHistoryTold,
    PatientRegistered,
    PatientTyped,
    PatientWeighed,
)
from buffycoat.shell.words import kilograms


def said(fact: Fact) -> str:
    """What a fact of this chapter says; nothing for one of another."""
    match fact:
        case PatientRegistered():
            return ", ".join(filter(None, (fact.name, fact.species, fact.sex, fact.where, fact.needs)))
        case PatientWeighed():
            return kilograms(fact.weight_g)
        case PatientTyped():
            return ", ".join(filter(None, (fact.blood_type, fact.method)))
        case PatientHistoryTold():
            first = f"first on {fact.first_on:%d %b %Y}" if fact.first_on else ""
            reacted, pregnant = "reacted" * fact.had_reaction, "was pregnant" * fact.was_pregnant
            return ", ".join(filter(None, (f"Blood {fact.transfused}", first, reacted, pregnant)))
        case AntibodyFound():
            return ", ".join(filter(None, (f"Against {fact.system}", fact.method)))
    return ""
