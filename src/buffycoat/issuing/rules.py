"""The issue: a unit leaves for a patient only if it is what it says, fits, and was crossmatched where that is due.

What is never right is refused whatever is said. What may be right in an emergency goes with a reason and on the word
of a second person, both on the record.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from buffycoat.donors.blood_types import SYSTEMS
from buffycoat.donors.rules import Donor
from buffycoat.draws.rules import Draw
from buffycoat.draws.rules import stream_of as stream_of_donation
from buffycoat.issuing.crossmatches import kind_of, spoke_against, why_not_crossmatched
from buffycoat.issuing.requests import (
    Request,
    RequestServed,
    ServedUnitReturned,
    stream_of,
    why_not_open,
)
from buffycoat.journal.facts import Command, Fact, Look
from buffycoat.labels.facts import LabelPrinted, UnitIssued, UnitNamed, UnitReturned
from buffycoat.labels.rules import Labelling, UnitName
from buffycoat.matching.compatibility import (
    AVOID,
    NEVER,
    PLASMA,
    UNKNOWN,
    against_antibodies,
    rule_for,
)
from buffycoat.matching.crossmatch import BEFORE, NOT_KNOWN, History, why_crossmatch
from buffycoat.patients.rules import Patient
from buffycoat.problems.rules import why_held
from buffycoat.science.numbering import show_code
from buffycoat.site.rules import limits
from buffycoat.storage.rules import CHANGED, why_not_unit
from buffycoat.storage.shelf import Shelf


def why_not_given(look: Look, unit: str, at: datetime) -> Iterator[str]:
    """Every reason why this unit is given to nobody now, whoever it is for."""
    yield from why_not_unit(look, unit, at)
    named = look(UnitName, unit).named
    if named is None:
        return
    labels, shelf, site = look(Labelling, named.donation), look(Shelf, named.donation), limits(look)
    label = labels.printed[named.part]
    if named.part in labels.untrue:
        yield CHANGED
    elif named.part not in labels.labelled_at:
        yield "Its label was not scanned back from the bag: do that first."
    if at > label.expires_at:
        yield f"{show_code(unit)} expired on {label.expires_at.astimezone(site.zone):%d %b %Y}: discard it."
    outings = shelf.out_of(named.part)
    if named.part not in shelf.put_away and outings.since is None and not shelf.gone(named.part):
        yield f"{show_code(unit)} stands in no place yet: put it away first."
    if outings.warm(at, site):
        yield f"{show_code(unit)} was out of the fridge for too long: discard it."
    for held in why_held(look, named.donation, named.part):
        yield f"It waits: {held}. That is settled first."
    started = look(Draw, named.donation).started
    if started and look(Donor, started.donor).blood_type != label.blood_type:
        yield "Its donor's type is not the one on the label any more: print its label again, or discard it."


def verdicts(
    look: Look, patient: Patient, named: UnitNamed, label: LabelPrinted
) -> Iterator[tuple[str, str]]:
    """How the unit's blood suits the patient: by type, then by each antibody."""
    started, kind = look(Draw, named.donation).started, kind_of(named.part)
    assert patient.registered and started
    if started.species != patient.registered.species:
        yield (
            NEVER,
            f"this is blood of a {started.species}, and {patient.registered.name} is a {patient.registered.species}",
        )
        return
    rule = rule_for(
        species=started.species,
        kind=kind,
        patient=patient.blood_type,
        donor=label.blood_type if label.blood_type else UNKNOWN,
    )
    yield rule.verdict, rule.because
    if kind != PLASMA:
        donor = look(Donor, started.donor)
        read = {system: donor.type_in(system).blood_type for system in SYSTEMS[started.species]}
        yield from against_antibodies(patient.antibodies, read)


def why_crossmatched_first(look: Look, patient: Patient, kind: str, at: datetime) -> list[str]:
    """The reasons of the table for a crossmatch with this patient."""
    assert patient.registered
    told, site = patient.history, limits(look)
    today = at.astimezone(site.zone).date()
    history = History(
        species=patient.registered.species,
        kind=kind,
        transfused=told.transfused if told else NOT_KNOWN,
        days_since=(today - told.first_on).days
        if told and told.first_on and told.transfused == BEFORE
        else None,
        had_reaction=bool(told and told.had_reaction),
        has_antibody=bool(patient.antibodies),
    )
    return [reason.words for reason in why_crossmatch(history, site.whole("crossmatch_after_days"))]


@dataclass(frozen=True, kw_only=True)
class IssueUnit(Command):
    """Gives a unit out for a request, with the patient's band and the bag as scanned.

    `emergency` says why it goes although something speaks against it, `released_by` on whose word.
    """

    request: str
    patient: str
    unit: str
    issued_by: str
    emergency: str = ""
    released_by: str = ""

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        yield from why_not_open(look, self.request)
        asked = look(Request, self.request).asked
        if asked and asked.patient != self.patient:
            yield "This band is not the patient's for whom the blood was asked: stop, and compare both."
        yield from why_not_given(look, self.unit, at)
        named, patient = look(UnitName, self.unit).named, look(Patient, self.patient)
        if named is None or patient.registered is None or asked is None:
            return
        kind = kind_of(named.part)
        if kind != asked.kind_wanted:
            yield f"The request is for {asked.kind_wanted}, and this is {kind}."
        against = list(self._against(look, patient, named, at))
        yield from (f"Never: {because}." for verdict, because in against if verdict == NEVER)
        avoided = [because for verdict, because in against if verdict == AVOID]
        if avoided and not self.emergency.strip():
            yield f"{'; '.join(avoided).capitalize()}. In an emergency only, with a reason and a second person's word."
        elif self.emergency.strip():
            yield from self._why_no_release()

    def _against(
        self, look: Look, patient: Patient, named: UnitNamed, at: datetime
    ) -> Iterator[tuple[str, str]]:
        yield from verdicts(look, patient, named, look(Labelling, named.donation).printed[named.part])
        due = why_crossmatched_first(look, patient, kind_of(named.part), at)
        if due or spoke_against(look, self.patient, self.unit):
            for because in why_not_crossmatched(look, self.patient, self.unit, at):
                yield AVOID, because

    def _why_no_release(self) -> Iterator[str]:
        if not self.released_by.strip():
            yield "Say on whose word it is released: a second person signs for it."
        elif self.released_by.strip().casefold() == self.issued_by.strip().casefold():
            yield "Whoever issues it does not release it too: a second person signs for it."

    def never(self, look: Look, at: datetime) -> list[str]:
        """What makes this attempt one that is written down although it is refused."""
        named, patient = look(UnitName, self.unit).named, look(Patient, self.patient)
        if named is None or patient.registered is None:
            return []
        return [because for verdict, because in self._against(look, patient, named, at) if verdict == NEVER]

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        named, patient = look(UnitName, self.unit).named, look(Patient, self.patient)
        assert named
        label = look(Labelling, named.donation).printed[named.part]
        fits = "; ".join(because for _, because in verdicts(look, patient, named, label))
        due = why_crossmatched_first(look, patient, kind_of(named.part), at)
        missing = "; ".join(why_not_crossmatched(look, self.patient, self.unit, at))
        yield (
            stream_of_donation(named.donation),
            UnitIssued(
                part=named.part,
                unit=self.unit,
                patient=self.patient,
                request=self.request,
                fits=fits,
                crossmatch="not due" if not due else missing or "compatible",
                emergency=self.emergency.strip(),
                released_by=self.released_by.strip(),
            ),
        )
        yield stream_of(self.request), RequestServed(unit=self.unit, volume_ml=label.volume_ml)


@dataclass(frozen=True, kw_only=True)
class ReturnUnit(Command):
    """Takes a unit back that was issued and not given. Putting it away then decides by its time out of the fridge."""

    unit: str
    why: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        named = look(UnitName, self.unit).named
        if named is None:
            yield f"No unit has the number {show_code(self.unit)}: scan its label again."
        elif named.part not in look(Shelf, named.donation).issued:
            yield f"{show_code(self.unit)} was not given out."
        if not self.why.strip():
            yield "Say why it comes back: not needed any more, or what happened."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        named = look(UnitName, self.unit).named
        assert named
        request = look(Shelf, named.donation).issued[named.part].request
        yield (
            stream_of_donation(named.donation),
            UnitReturned(part=named.part, unit=self.unit, why=self.why.strip()),
        )
        yield stream_of(request), ServedUnitReturned(unit=self.unit)


@dataclass(frozen=True, kw_only=True)
class IssueRefused(Fact, kind="issue-refused"):
    """Somebody tried to give blood that is never right for this patient. Nothing left the shelf."""

    unit: str
    request: str
    because: str
    tried_by: str


@dataclass(frozen=True, kw_only=True)
class NoteRefusedIssue(Command):
    """Writes down that a unit was refused because it is never right for this patient."""

    request: str
    patient: str
    unit: str
    because: str
    tried_by: str

    def why_not(self, look: Look, at: datetime) -> Iterator[str]:
        if look(Patient, self.patient).registered is None:
            yield f"No patient has the number {show_code(self.patient)}: scan its band again, or register it."
        if not self.because.strip():
            yield "Say why it was refused."

    def facts(self, look: Look, at: datetime) -> Iterator[tuple[str, Fact]]:
        fact = IssueRefused(
            unit=self.unit, request=self.request, because=self.because.strip(), tried_by=self.tried_by.strip()
        )
        yield f"{Patient.stream}/{self.patient}", fact
