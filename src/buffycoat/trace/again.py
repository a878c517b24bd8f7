"""Where a step that was taken back is done again: its page, with the old values in the address.

Numbers and words are filled in. What an eye or a scanner must see (clots, a test card, a label, a door) is not.
"""

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.urls import reverse

from buffycoat.donors.rules import (
    BloodTyped,
    ChipRead,
    ConsentGiven,
    DonorDeferred,
    DonorExamined,
    DonorReacted,
    DonorRegistered,
    DonorSedated,
    DonorTravelled,
    InfectionTested,
    MedicineGiven,
    OwnerCalled,
    QuestionnaireAnswered,
    VaccineGiven,
)
from buffycoat.draws.bag_sets import BagSetLotReceived
from buffycoat.draws.rules import DrawFinished, DrawStarted
from buffycoat.draws.spares import Spare
from buffycoat.equipment.rules import EquipmentRegistered
from buffycoat.journal.book import Book
from buffycoat.journal.facts import Fact, Line, fields_of
from buffycoat.labels.facts import (
    PartWeighed,
    UnitDivided,
    UnitFrozen,
    UnitIrradiated,
    UnitOpened,
    UnitTakenOut,
    UnitThawed,
)
from buffycoat.labels.rules import LabelPrinted, LabelScannedBack, UnitPutAway
from buffycoat.separation.forms import LOST, RAN_IN
from buffycoat.separation.rules import (
    AdditiveAdded,
    AdditiveLost,
    ClotsLookedFor,
    PlasmaExpressed,
    SegmentsSealed,
)
from buffycoat.separation.weighings import ProductWeighed
from buffycoat.shell.words import day, moment
from buffycoat.site.rules import LimitSet
from buffycoat.spins.loading import Plan
from buffycoat.spins.rotors import ProgrammeWritten, RotorRegistered
from buffycoat.spins.rules import SpinBag, SpinFinished, SpinStarted
from buffycoat.storage.places import PlaceOpened

# For each fact: its page, what of the fact is in that page's address, and the fields that are filled in again.
PAGES: dict[type[Fact], tuple[str, str, str]] = {
    DrawStarted: ("draw-new", "", "donor lot tare_g wanted_ml"),
    DrawFinished: ("draw-finish", "code", "gross_g"),
    SpinFinished: ("spin-finish", "code", ""),
    PlasmaExpressed: ("separation-express", "code", "plasma_g"),
    AdditiveAdded: ("separation-additive", "code", ""),
    AdditiveLost: ("separation-additive", "code", "reason"),
    ClotsLookedFor: ("separation-clots", "code", ""),
    SegmentsSealed: ("separation-segments", "code", "segments"),
    ProductWeighed: ("separation-weigh", "code part", "gross_g explained"),
    LabelPrinted: ("label-print", "code part", "reason"),
    LabelScannedBack: ("label-scan-back", "code", ""),
    UnitPutAway: ("put-away", "", "unit"),
    UnitTakenOut: ("unit-take-out", "unit", ""),
    UnitThawed: ("unit-thaw", "unit", "bath_c minutes"),
    UnitOpened: ("unit-open", "unit", ""),
    UnitIrradiated: ("unit-irradiate", "unit", "dose_gy"),
    UnitFrozen: ("unit-freeze", "unit", ""),
    UnitDivided: ("unit-change", "unit", ""),
    PartWeighed: ("part-weigh", "code part", "gross_g explained"),
    DonorRegistered: ("donor-new", "", "name species sex breed cautions"),
    BloodTyped: ("donor-type", "code", "method"),
    DonorExamined: ("donor-examine", "code", "cautions"),
    ChipRead: ("donor-chip", "code", ""),
    ConsentGiven: ("donor-consent", "code", "version"),
    QuestionnaireAnswered: ("donor-questions", "code", ""),
    VaccineGiven: ("donor-vaccine", "code", "vaccine"),
    MedicineGiven: ("donor-medicine", "code", "medicine"),
    DonorTravelled: ("donor-journey", "code", "region"),
    InfectionTested: ("donor-test", "code", "agent method laboratory"),
    DonorDeferred: ("donor-defer", "code", "reason"),
    DonorSedated: ("donor-sedation", "code", "protocol"),
    DonorReacted: ("donor-reaction", "code", "donation reaction severity remarks"),
    OwnerCalled: ("donor-call", "code", "donation remarks"),
    BagSetLotReceived: ("bag-set-new", "", "maker_lot"),
    RotorRegistered: ("rotor-new", "", "name centrifuge places radius_mm most_rpm pair_limit_g"),
    ProgrammeWritten: ("rotor", "code", ""),
    EquipmentRegistered: ("equipment-new", "", "name maker_number check_every_days checked_how"),
    PlaceOpened: ("place-new", "", "name appliance"),
    LimitSet: ("limit", "key", "reason"),
}


def page_again(lines: Sequence[Line], zone: ZoneInfo) -> str | None:
    """The page that wrote these lines; None when it is not to be done again at once, such as a discard."""
    for line in lines:
        if isinstance(line.fact, SpinStarted):
            return reverse("spin-new") + _plan(line.fact).address
        if type(line.fact) in PAGES:
            return _page(line, zone)
    return None


def _page(line: Line, zone: ZoneInfo) -> str:
    name, in_address, kept = PAGES[type(line.fact)]
    said = {"code": line.stream.partition("/")[2], **fields_of(line.fact)}
    values = {field: said[field] for field in kept.split()} | _as_typed(line.fact)
    values["happened_at"] = moment(line.happened_at, zone)
    filled = {field: value for field, value in values.items() if value != ""}
    return f"{reverse(name, args=[said[each] for each in in_address.split()])}?{urlencode(filled)}"


def _as_typed(fact: Fact) -> dict[str, Any]:
    """What a page asks in other units or words than the book keeps."""
    match fact:
        case DrawStarted(donation=number) if Book()(Spare, number).given:
            return {"number": number}
        case LabelPrinted(unit=number) if Book()(Spare, number).given:
            return {"number": number}
        case AdditiveAdded():
            return {"outcome": RAN_IN}
        case AdditiveLost():
            return {"outcome": LOST}
        case DonorRegistered():
            return {"born_on": day(fact.born_on)}
        case DonorExamined():
            return {"weight_g": f"{fact.weight_g / 1000:g}", "pcv_permille": f"{fact.pcv_permille / 10:g}"}
        case BagSetLotReceived():
            return fields_of(fact)["bag_set"] | {"expires_on": day(fact.expires_on)}
        case ProgrammeWritten(programme=programme):
            return fields_of(fact)["programme"] | {"minutes": programme.duration_s // 60}
    return {}


def _plan(fact: SpinStarted) -> Plan:
    bags = tuple(SpinBag(donation=each.donation, mass_g=each.mass_g) for each in fact.places if each.donation)
    fillers = {each.place: (each.filler_g, "") for each in fact.places if each.filler_g}
    return Plan(rotor=fact.rotor, programme=fact.programme.name, bags=bags, fillers=fillers)
