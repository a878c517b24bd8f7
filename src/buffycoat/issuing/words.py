"""The facts of requests, crossmatches and issues, each in one line."""

from buffycoat.issuing.crossmatches import GRADES, CrossmatchRead, SegmentUsed
from buffycoat.issuing.requests import BloodRequested, RequestClosed, RequestServed, ServedUnitReturned
from buffycoat.issuing.rules import IssueRefused
from buffycoat.journal.facts import Fact
from buffycoat.labels.facts import UnitIssued, UnitReturned
from buffycoat.science.numbering import show_code
from buffycoat.shell.words import millilitres


def said(fact: Fact) -> str:
    """What a fact of this chapter says; nothing for one of another."""
    match fact:
        case BloodRequested():
            wanted = f"{millilitres(fact.volume_ml)} of {fact.kind_wanted}, {fact.urgency}"
            return f"{wanted}, asked by {fact.asked_by}. {fact.why}"
        case RequestServed():
            return f"{show_code(fact.unit)}, {millilitres(fact.volume_ml)}"
        case ServedUnitReturned():
            return show_code(fact.unit)
        case RequestClosed():
            return fact.why
        case UnitIssued() | UnitReturned() | IssueRefused() | SegmentUsed() | CrossmatchRead():
            return _of_unit(fact)
    return ""


def _of_unit(fact: UnitIssued | UnitReturned | IssueRefused | SegmentUsed | CrossmatchRead) -> str:
    unit = show_code(fact.unit)
    match fact:
        case UnitIssued():
            emergency = (
                f"Emergency, released by {fact.released_by}: {fact.emergency}" if fact.emergency else ""
            )
            said = f"{unit} for {show_code(fact.patient)}: {fact.fits}; crossmatch: {fact.crossmatch}"
            return ". ".join(filter(None, (said, emergency)))
        case UnitReturned():
            return f"{unit}: {fact.why}"
        case IssueRefused():
            return f"{unit}, tried by {fact.tried_by}: {fact.because}"
        case SegmentUsed():
            return f"{unit}, for {show_code(fact.patient)}"
        case CrossmatchRead():
            grades = f"major {GRADES[fact.major]}, minor {GRADES[fact.minor]}, haemolysis {GRADES[fact.haemolysis]}"
            word = "compatible" if fact.compatible else "not compatible"
            return f"{unit}: {word}, {fact.because} ({grades}; {fact.method}, read by {fact.reader})"
