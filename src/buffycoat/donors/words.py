"""What the lines of a donor say, in the words of people. Pure: pages, journal and paper say the same."""

from datetime import date

from buffycoat.donors.facts import (
    BloodTyped,
    ChecksWaived,
    ChipRead,
    ConsentGiven,
    ConsentWithdrawn,
    DeferralLifted,
    DonorBroughtIn,
    DonorDeferred,
    DonorExamined,
    DonorGave,
    DonorGaveBefore,
    DonorReacted,
    DonorRegistered,
    DonorRetired,
    DonorSedated,
    DonorTravelled,
    InfectionTested,
    MedicineGiven,
    OwnerCalled,
    PositiveCleared,
    QuestionnaireAnswered,
    VaccineGiven,
)
from buffycoat.donors.panel import PanelTestSet
from buffycoat.donors.questions import BY_KEY, YES
from buffycoat.donors.waived import in_words
from buffycoat.journal.facts import Fact
from buffycoat.science.numbering import show_code
from buffycoat.shell.words import day, kilograms, millilitres, permille_as_percent, scaled, with_unit


def said(fact: Fact) -> str:
    """One line; empty for a fact that is not of this chapter."""
    return _of_who_it_is(fact) or _of_a_visit(fact) or _of_its_health(fact) or _of_deferrals(fact)


def _joined(*parts: str, by: str = ". ") -> str:
    return by.join(filter(None, parts))


def _of_who_it_is(fact: Fact) -> str:
    match fact:
        case DonorRegistered():
            return _joined(fact.name, fact.species, fact.sex, fact.breed, fact.cautions, by=", ")
        case ChipRead():
            return f"{fact.chip}, {fact.chip_type}"
        case BloodTyped():
            return _joined(fact.blood_type, fact.method, by=" by ")
        case DonorGave():
            return f"Donation {show_code(fact.donation)}"
        case DonorBroughtIn():
            return _joined(_before(fact), _measured(fact), by=", ")
        case DonorGaveBefore():
            drawn = millilitres(fact.volume_ml) if fact.volume_ml is not None else ""
            return _joined(_before(fact), drawn, _measured(fact), by=", ")
        case DonorRetired():
            return _joined("Died" if fact.died else "", fact.reason)
        case ConsentGiven():
            return f"Version {fact.version}, signed by the owner"
        case ConsentWithdrawn():
            return fact.reason
    return ""


def _before(fact: DonorBroughtIn | DonorGaveBefore) -> str:
    return _joined(f"number before: {fact.old_number}" if fact.old_number else "", fact.row, by=", ")


def _measured(fact: DonorBroughtIn | DonorGaveBefore) -> str:
    return _joined(
        kilograms(fact.weight_g) if fact.weight_g is not None else "",
        f"PCV {permille_as_percent(fact.pcv_permille)}" if fact.pcv_permille is not None else "",
        by=", ",
    )


def _of_a_visit(fact: Fact) -> str:
    match fact:
        case DonorExamined():
            return examined(fact)
        case QuestionnaireAnswered():
            told = [_answer(each.key, each.words) for each in fact.answers if each.answer == YES]
            return f"Yes to: {'; '.join(told)}" if told else "No to every question"
        case ChecksWaived():
            return f"{in_words(fact.checks)}: decided by {fact.decided_by}. {fact.reason}"
        case DonorSedated():
            pressure = fact.lowest_systolic_mmhg
            return _joined(
                fact.protocol,
                f"lowest pressure {with_unit(str(pressure), 'mmHg')}" if pressure is not None else "",
                f"{millilitres(fact.fluids_ml)} of fluids" if fact.fluids_ml is not None else "",
                fact.remarks,
            )
        case DonorReacted():
            return _joined(
                f"After {show_code(fact.donation)}: {fact.reaction}, {fact.severity}", fact.remarks
            )
        case OwnerCalled():
            return _joined(
                f"After {show_code(fact.donation)}: {'well' if fact.well else 'not well'}", fact.remarks
            )
    return ""


def _answer(key: str, words: str) -> str:
    short = BY_KEY[key].short if key in BY_KEY else key
    return f"{short} ({words})" if words else short


def examined(fact: DonorExamined) -> str:
    protein, warm = fact.total_protein_g_per_l, fact.temperature_deci_c
    pulse, breaths = fact.pulse_per_min, fact.breaths_per_min
    pcv = f"PCV {permille_as_percent(fact.pcv_permille)}"
    looked_at = _joined(
        kilograms(fact.weight_g),
        f"{pcv} ({fact.pcv_method})" if fact.pcv_method else pcv,
        f"total protein {with_unit(str(protein), 'g/L')}" if protein is not None else "",
        with_unit(scaled(warm, 1), "°C") if warm is not None else "",
        f"pulse {pulse}" if pulse is not None else "",
        f"breaths {breaths}" if breaths is not None else "",
        f"membranes {fact.mucous_membranes}" if fact.mucous_membranes else "",
        "" if fact.murmur is None else ("a murmur" if fact.murmur else "no murmur"),
        by=", ",
    )
    return _joined(looked_at, fact.cautions)


def _of_its_health(fact: Fact) -> str:
    match fact:
        case VaccineGiven():
            return f"{fact.vaccine}, given {day(fact.given_on)}, valid until {day(fact.valid_until)}"
        case MedicineGiven():
            return f"{fact.medicine}, given {day(fact.given_on)}{_no_draw_before(fact.no_draw_before)}"
        case DonorTravelled():
            return f"{fact.region}, back on {day(fact.returned_on)}"
        case InfectionTested():
            return _joined(
                f"{fact.part}: {fact.result}", f"sample of {day(fact.taken_on)}", fact.laboratory, by=", "
            )
        case PositiveCleared():
            return f"{fact.part}: decided by {fact.decided_by}. {fact.reason}"
        case PanelTestSet():
            asked = f"every {fact.interval_days} days" if fact.interval_days else "not asked"
            return f"{fact.agent} by {fact.method}, {fact.species}: {asked}. {fact.reason}"
    return ""


def _of_deferrals(fact: Fact) -> str:
    match fact:
        case DonorDeferred():
            return f"{fact.reason}{_no_draw_before(fact.no_draw_before) or ', until it is lifted'}"
        case DeferralLifted():
            return f"Decided by {fact.decided_by}. {fact.reason}"
    return ""


def _no_draw_before(on: date | None) -> str:
    return f", no draw before {day(on)}" if on else ""
