"""What holds of units: one number each, labelled and in date when put away, and back to one donor."""

from collections.abc import Iterator
from typing import Any
from zoneinfo import ZoneInfo

from buffycoat.donors.rules import BloodTyped
from buffycoat.draws.rules import DrawFinished, DrawStarted
from buffycoat.journal.facts import Line
from buffycoat.labels.rules import LabelPrinted, LabelScannedBack, UnitDiscarded, UnitNamed, UnitPutAway
from buffycoat.separation.weighings import ProductWeighed
from buffycoat.storage.places import PlaceOpened
from buffycoat.storage.rules import Shelf
from tests.simulation.asking import as_of, day_of, limit_at, the


def of_units(bank: Any, stream: str, standing: list[Line], started: DrawStarted) -> Iterator[str]:
    """One code a part; labelled before it is put away; never expired, of another type, gone, or in the wrong cold."""
    labels: dict[str, LabelPrinted] = {}
    scanned: set[str] = set()
    gone: set[str] = set()
    finished = the(standing, DrawFinished)
    for line in standing:
        fact = line.fact
        part = getattr(fact, "part", "")
        if part in gone:
            yield f"{fact.kind} ({line.number}) of a unit that is gone"
        match fact:
            case LabelPrinted():
                yield from _of_copy(fact, labels.get(part))
                labels[part] = fact
                scanned.discard(part)
                yield from _of_label(bank, stream, line, started, finished, standing)
            case LabelScannedBack():
                scanned.add(part)
                if labels[part].unit != fact.unit:
                    yield f"another label was scanned back ({line.number})"
            case UnitPutAway():
                yield from _of_place(bank, line, labels[part], part in scanned)
            case UnitDiscarded():
                gone.add(part)
    if not set(bank(Shelf, stream[9:]).put_away) <= set(labels):
        yield "something without a label stands in a place"


def _of_copy(label: LabelPrinted, before: LabelPrinted | None) -> Iterator[str]:
    if before and before.unit != label.unit:
        yield f"the {label.part} has two numbers"
    if label.copy < 1 or (before and label.copy <= before.copy):
        yield f"copy {label.copy} of a label does not come after the one before"


def _of_place(bank: Any, line: Line, label: LabelPrinted, scanned: bool) -> Iterator[str]:
    place = the(bank.standing(f"place/{line.fact.place}"), PlaceOpened)
    if not scanned:
        yield f"put away ({line.number}) before its label was scanned back"
    if line.happened_at > label.expires_at:
        yield f"put away ({line.number}) when it had expired"
    if place is None or (place.fact.appliance == "freezer") != ("plasma" in label.product):
        yield f"{label.product} was put away ({line.number}) where it does not keep"
    if line.fact.unit != label.unit:
        yield f"another unit was put away ({line.number})"


def _of_label(
    bank: Any, stream: str, line: Line, started: DrawStarted, finished: Line | None, standing: list[Line]
) -> Iterator[str]:
    label = line.fact
    named = the(bank.standing(f"unit/{label.unit}"), UnitNamed)
    if named is None or (f"donation/{named.fact.donation}", named.fact.part) != (stream, label.part):
        yield f"unit {label.unit} does not lead back to its donation"
    typed = [
        each
        for each in as_of(bank.of(f"donor/{started.donor}"), line.number)
        if isinstance(each.fact, BloodTyped)
    ]
    if not typed or typed[-1].fact.blood_type != label.blood_type:
        yield f"the label ({line.number}) says {label.blood_type}, the donor was of another type"
    weighed = [e.fact for e in standing if isinstance(e.fact, ProductWeighed) and e.fact.part == label.part]
    if weighed and weighed[-1].volume_ml != label.volume_ml:
        yield f"the label ({line.number}) says another volume than was weighed"
    if finished is None:
        return
    zone = ZoneInfo(limit_at(bank, "time_zone", line.number))
    ends = label.expires_at.astimezone(zone)
    drawn = day_of(finished.happened_at, zone)
    if label.part == "plasma":
        years = limit_at(bank, f"{label.product.replace('-', '_')}_years", line.number)
        right = (ends.year, ends.month) == (drawn.year + years, drawn.month) and ends.day in (drawn.day, 28)
    else:
        family = "cpda1" if started.bag_set.anticoagulant == "CPDA-1" else "cpd"
        of = label.product.replace("-", "_")
        key = f"{of}_days" if label.product == "red-cells-additive" else f"{of}_{family}_days"
        most = limit_at(bank, f"{started.species}_{key}", line.number)
        right = (ends.date() - drawn).days == most or (
            label.product == "red-cells" and (ends.date() - drawn).days < most
        )
    if not right or (ends.hour, ends.minute) != (23, 59):
        yield f"the label ({line.number}) of {label.product} drawn on {drawn} ends at {ends}"
