"""Whatever is done in whatever order: what was issued was whole, in date, not held, of the right species and type.

Each issue that the rules let through is judged a second time here, by plain sets and dates.
"""

import random
from contextlib import suppress
from datetime import timedelta
from types import SimpleNamespace

import pytest

from buffycoat.donors.rules import Donor
from buffycoat.draws.rules import Draw
from buffycoat.issuing.rules import IssueUnit, ReturnUnit
from buffycoat.journal.facts import Refused
from buffycoat.labels.rules import Labelling, PrintLabel, ScanLabelBack, UnitName
from buffycoat.patients.rules import Patient
from buffycoat.problems.rules import OfDonation, ReportProblem
from buffycoat.storage.rules import DiscardUnit, TakeOut
from buffycoat.storage.shelf import Shelf
from tests.issuing.giving import a_patient, a_request, crossmatched, issue
from tests.walk import pure_walk

# Patient's type: the donors' types that may be given without anybody's word, and those that may never be (handbook 7).
FITTING = {
    "A": {"A"},
    "B": {"B"},
    "AB": {"AB", "A"},
    "DEA 1 negative": {"DEA 1 negative"},
    "DEA 1 positive": {"DEA 1 negative", "DEA 1 positive"},
}
KILLING = {"B": {"A", "AB"}, "A": {"B"}}
STEPS = 120


class Ward:
    """Red cells of dogs and cats, patients of every type, and hands that try anything."""

    def __init__(self, seed):
        self.chance, self.walk = random.Random(seed), pure_walk()
        self.units, self.donations, self.issues = [], [], 0
        for species in ("cat", "dog", "cat"):
            donation = self.walk.on_the_shelf(species)
            self.donations.append(donation)
            self.units.append(self.walk.units(donation)["red-cells"])
        asks = [("cat", "A"), ("cat", "B"), ("cat", "AB"), ("cat", ""), ("dog", "DEA 1 negative")]
        self.patients = [a_patient(self.walk, species, blood_type) for species, blood_type in asks]
        self.requests = {patient: a_request(self.walk, patient) for patient in self.patients}

    def step(self):
        unit, patient = self.chance.choice(self.units), self.chance.choice(self.patients)
        deeds = {
            "issue": lambda: self.issue(unit, patient, {}),
            "emergency": lambda: self.issue(unit, patient, {"emergency": "It bleeds", "released_by": "kim"}),
            "crossmatch": lambda: crossmatched(self.walk, patient, unit, major=self.chance.choice((0, 0, 2))),
            "return": lambda: self.walk.do(ReturnUnit(unit=unit, why="Not needed")),
            "problem": lambda: self.walk.do(ReportProblem(about=unit, what="clot")),
            "out": lambda: self.walk.do(TakeOut(unit=unit)),
            "discard": lambda: self.walk.do(DiscardUnit(unit=unit, reason="Clotted")),
            "print": lambda: self.print_again(unit),
            "wait": lambda: self.walk.wait(hours=self.chance.choice((0.2, 5, 100))),
            "shelf": self.another,
        }
        weights = (8, 4, 6, 3, 1, 1, 1, 1, 2, 2)
        deed = self.chance.choices(list(deeds), weights)[0]
        with suppress(Refused):
            deeds[deed]()

    def another(self):
        species = self.chance.choice(("cat", "dog"))
        donation = self.walk.on_the_shelf(species)
        self.units.append(self.walk.units(donation)["red-cells"])

    def print_again(self, unit):
        named = self.walk.look(UnitName, unit).named
        self.walk.do(PrintLabel(donation=named.donation, part=named.part, reason="Smeared"))
        if self.chance.random() < 0.5:
            self.walk.do(ScanLabelBack(donation=named.donation, unit=unit))

    def issue(self, unit, patient, but):
        command = issue(self.requests[patient], patient, unit, **but)
        before = self.known(command)
        self.walk.do(command)
        self.issues += 1
        assert [] == list(self.wrong_with(command, before))

    def known(self, command):
        """What stood in the book just before."""
        named, look = self.walk.look(UnitName, command.unit).named, self.walk.look
        return look(Draw, named.donation), look(Labelling, named.donation), look(Shelf, named.donation), named

    def wrong_with(self, command: IssueUnit, before):
        draw, labels, shelf, named = before
        label, patient = labels.printed[named.part], self.walk.look(Patient, command.patient)
        if draw.started.species != patient.registered.species:
            yield "another species"
        if label.blood_type != self.walk.look(Donor, draw.started.donor).blood_type:
            yield "another type than its donor"
        if label.blood_type in KILLING.get(patient.blood_type, ()) or patient.blood_type == "type not known":
            yield "never right"
        if not command.emergency and label.blood_type not in FITTING.get(patient.blood_type, ()):
            yield "does not fit, and nobody signed for it"
        if self.walk.at - timedelta(minutes=1) > label.expires_at:
            yield "out of date"
        if named.part not in labels.labelled_at:
            yield "not labelled"
        if self.walk.look(OfDonation, named.donation).holding(named.part):
            yield "held"
        if named.part in shelf.discarded or named.part in shelf.issued:
            yield "gone already"


def lived(*seeds):
    """How many units were issued in the lives of these seeds."""
    issues = 0
    for seed in seeds:
        ward = Ward(seed)
        for _ in range(STEPS):
            ward.step()
        issues += ward.issues
    return issues


@pytest.mark.parametrize("seed", range(6))
def test_nothing_wrong_is_issued_by_any_order_of_steps(seed):
    assert lived(seed) > 0


def fits_all(**types):
    return SimpleNamespace(verdict="fits", because="")


def nothing(*asked):
    return iter(())


FAULTS = {
    "the table of types": ("buffycoat.issuing.rules.rule_for", fits_all),
    "what holds it": ("buffycoat.issuing.rules.why_held", nothing),
    "what is true of any unit": ("buffycoat.issuing.rules.why_not_given", nothing),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_rule_that_is_left_out_is_noticed(fault, monkeypatch):
    """The control: with each rule taken out, some order of steps issues what is wrong."""
    monkeypatch.setattr(*FAULTS[fault])
    with pytest.raises(AssertionError):
        lived(*range(12))
