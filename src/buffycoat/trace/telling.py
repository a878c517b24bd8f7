"""Each fact as people read it: a short title and one line of detail."""

from zoneinfo import ZoneInfo

from buffycoat.changes.words import said as said_of_change
from buffycoat.donors.rules import waived_in_words
from buffycoat.donors.words import said as said_of_donor
from buffycoat.draws.bag_sets import BagSetLotReceived, LotPutOnHold, LotReleased
from buffycoat.draws.brought_in import DonationBroughtIn
from buffycoat.draws.rules import DonationDiscarded, DrawFinished, DrawStarted, KeptWhole
from buffycoat.draws.spares import SpareNumberGiven
from buffycoat.equipment.words import said as said_of_equipment
from buffycoat.issuing.words import said as said_of_issue
from buffycoat.journal.facts import EntryStruck, Fact, fields_of
from buffycoat.labels.products import PRODUCTS
from buffycoat.labels.rules import LabelPrinted, LabelScannedBack, UnitDiscarded, UnitNamed, UnitPutAway
from buffycoat.patients.words import said as said_of_patient
from buffycoat.problems.rules import OUTCOMES, ProblemReported, ProblemSettled
from buffycoat.problems.rules import told as told_of_problem
from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import (
    AdditiveAdded,
    AdditiveLost,
    ClotsLookedFor,
    PlasmaExpressed,
    SegmentsSealed,
)
from buffycoat.separation.weighings import ProductWeighed
from buffycoat.shell.words import (
    celsius,
    duration,
    grams,
    grouped,
    millilitres,
    moment,
    with_unit,
)
from buffycoat.site.limits import LIMITS
from buffycoat.site.rules import LimitSet
from buffycoat.spins.rotors import ProgrammeWritten, RotorRegistered
from buffycoat.spins.rules import BagPutInSpin, BagSpun, SpinFinished, SpinStarted
from buffycoat.storage.places import PlaceCounted, PlaceOpened
from buffycoat.temperatures.words import said as said_of_temperature
from buffycoat.training.rules import TrainingSigned


def title(fact: Fact) -> str:
    """`Plasma expressed`, from the fact's kind."""
    return fact.kind.replace("-", " ").capitalize()


def detail(fact: Fact, zone: ZoneInfo) -> str:
    """What the fact says, in one line, and which scale a weight came from."""
    scale = getattr(fact, "scale", "")
    return ". ".join(
        filter(
            None,
            (
                said_of_donor(fact)
                or said_of_equipment(fact)
                or said_of_patient(fact)
                or said_of_issue(fact)
                or said_of_temperature(fact)
                or said_of_change(fact, zone)
                or _said(fact, zone),
                scale and f"Scale: {scale}",
            ),
        )
    )


def _said(fact: Fact, zone: ZoneInfo) -> str:
    """A fact without a sentence of its own lists its fields."""
    match fact:
        case DrawStarted() | DrawFinished() | DonationDiscarded() | BagSetLotReceived():
            return _of_draw(fact)
        case (
            RotorRegistered()
            | ProgrammeWritten()
            | SpinStarted()
            | SpinFinished()
            | BagPutInSpin()
            | BagSpun()
        ):
            return _of_spin(fact)
        case PlasmaExpressed() | AdditiveAdded() | AdditiveLost() | ClotsLookedFor() | SegmentsSealed():
            return _of_separation(fact)
        case ProductWeighed():
            words = f"{fact.part.replace('-', ' ').capitalize()}: {grams(fact.content_g)}"
            return ". ".join(filter(None, (f"{words} = {millilitres(fact.volume_ml)}", fact.explained)))
        case (
            DonationBroughtIn()
            | LabelPrinted()
            | LabelScannedBack()
            | UnitNamed()
            | UnitPutAway()
            | UnitDiscarded()
            | PlaceOpened()
            | PlaceCounted()
        ):
            return _of_unit(fact, zone)
        case ProblemReported():
            return f"{show_code(fact.about)}. {told_of_problem(fact)}"
        case ProblemSettled():
            alone = " alone" if fact.alone else ""
            said = f"{OUTCOMES[fact.outcome]}: {fact.why} Settled by {fact.settled_by}{alone}"
            return ". ".join(filter(None, (said, fact.meaning and f"“{fact.meaning}”")))
        case (
            SpareNumberGiven()
            | KeptWhole()
            | LotPutOnHold()
            | LotReleased()
            | EntryStruck()
            | TrainingSigned()
        ):
            return _of_other(fact)
        case LimitSet() if fact.key in LIMITS:
            return f"{LIMITS[fact.key].title}: {with_unit(str(fact.value), LIMITS[fact.key].unit)}. {fact.reason}"
    return ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in fields_of(fact).items())


def _of_other(
    fact: SpareNumberGiven | KeptWhole | LotPutOnHold | LotReleased | EntryStruck | TrainingSigned,
) -> str:
    match fact:
        case SpareNumberGiven():
            return f"{show_code(fact.spare)}, on the paper sheet of {show_code(fact.sheet)}"
        case KeptWhole():
            return "Not separated: whole blood"
        case LotPutOnHold():
            return fact.reason
        case LotReleased():
            return fact.why
        case EntryStruck():
            return f"Entry {fact.struck_number}: {fact.reason}"
        case TrainingSigned():
            signed = f"{fact.title}: {fact.trainer} signed for {fact.trainee}. “{fact.meaning}”"
            return " ".join(filter(None, (signed, fact.remarks)))


def _of_draw(fact: DrawStarted | DrawFinished | DonationDiscarded | BagSetLotReceived) -> str:
    match fact:
        case DrawStarted():
            begun = (
                f"{millilitres(fact.wanted_ml)} wanted from {show_code(fact.donor)} into {fact.bag_set.title}: "
                f"stop at {grams(fact.target_g)} (set {grams(fact.tare_g)})"
            )
            waived = f"Emergency donor, checks waived: {waived_in_words(fact.waived)}" if fact.waived else ""
            return ". ".join(filter(None, (begun, waived)))
        case DrawFinished():
            drawn = (
                f"{grams(fact.gross_g)} on the scale = {millilitres(fact.volume_ml)} of blood, {fact.filling}"
            )
            return ". ".join((drawn, *fact.because))
        case DonationDiscarded():
            return fact.reason
        case BagSetLotReceived():
            return f"{fact.bag_set.title}, maker's lot {fact.maker_lot}, expires {fact.expires_on:%d %b %Y}"


def _of_spin(
    fact: RotorRegistered | ProgrammeWritten | SpinStarted | SpinFinished | BagPutInSpin | BagSpun,
) -> str:
    match fact:
        case RotorRegistered():
            return f"{fact.centrifuge}, {fact.name}: {fact.places} places, radius {fact.radius_mm} mm"
        case ProgrammeWritten(programme=programme):
            spun = f"{grouped(programme.rpm)} rpm, {duration(programme.duration_s)}, {celsius(programme.temperature_c)}"
            return f"{programme.name}, for a {programme.species}: {spun}"
        case SpinStarted():
            bags = sum(1 for place in fact.places if place.donation)
            filler_g = sum(place.filler_g for place in fact.places)
            return f"{fact.programme.name}, {grouped(fact.rcf)} × g, bags: {bags}, filler {grams(filler_g)}"
        case SpinFinished():
            return "; ".join(f"{show_code(each.donation)} {each.outcome}" for each in fact.outcomes)
        case BagPutInSpin():
            return f"Place {fact.place} of spin {show_code(fact.spin)}"
        case BagSpun():
            return fact.outcome.capitalize()


def _of_separation(
    fact: PlasmaExpressed | AdditiveAdded | AdditiveLost | ClotsLookedFor | SegmentsSealed,
) -> str:
    match fact:
        case PlasmaExpressed():
            return f"{grams(fact.plasma_g)} (planned {grams(fact.planned_g)})"
        case AdditiveAdded():
            return f"{millilitres(fact.additive_ml)} of {fact.additive}"
        case AdditiveLost():
            return f"{fact.reason}; the shorter date holds"
        case ClotsLookedFor():
            return "Clots seen" if fact.clots else "None seen"
        case SegmentsSealed():
            return f"Segments: {fact.segments}"


def _of_unit(
    fact: DonationBroughtIn
    | LabelPrinted
    | LabelScannedBack
    | UnitNamed
    | UnitPutAway
    | UnitDiscarded
    | PlaceOpened
    | PlaceCounted,
    zone: ZoneInfo,
) -> str:
    match fact:
        case DonationBroughtIn():
            name, until = PRODUCTS[fact.product].name, f"expires {moment(fact.expires_at, zone)}"
            told = (name, millilitres(fact.volume_ml), until, f"number before: {fact.old_number}")
            rest = ", ".join(filter(None, (*told, fact.anticoagulant, fact.place, fact.row)))
            return f"From {show_code(fact.donor)}: {rest}"
        case LabelPrinted():
            copy = f"copy {fact.copy}, {fact.reason}" if fact.copy > 1 else ""
            name = PRODUCTS[fact.product].name
            words = (
                f"{show_code(fact.unit)}: {name}, {fact.blood_type}, expires {moment(fact.expires_at, zone)}"
            )
            return ". ".join(filter(None, (words, copy)))
        case UnitNamed():
            return f"{fact.part.replace('-', ' ').capitalize()} of {show_code(fact.donation)}"
        case LabelScannedBack():
            return show_code(fact.unit)
        case UnitPutAway():
            return f"{show_code(fact.unit)} into {show_code(fact.place)}"
        case UnitDiscarded():
            return f"{show_code(fact.unit)}: {fact.reason}"
        case PlaceOpened():
            return f"{fact.name}, {fact.appliance}"
        case PlaceCounted():
            return (
                f"{len(fact.found)} counted, {len(fact.missing)} missing, {len(fact.misplaced)} not expected"
            )
