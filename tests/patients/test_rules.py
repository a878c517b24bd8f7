"""Who receives blood: nothing about it is guessed, and its type is read by two."""

from datetime import timedelta

import pytest

from buffycoat.donors.blood_types import CONFIRMED, IN_DOUBT, ONCE
from buffycoat.matching.compatibility import UNKNOWN
from buffycoat.matching.crossmatch import BEFORE, NEVER_BEFORE
from buffycoat.patients.rules import (
    FindAntibody,
    Patient,
    PatientRegistered,
    RegisterPatient,
    TellHistory,
    TypePatient,
    WeighPatient,
)
from buffycoat.science.numbering import show_code
from tests.walk import START, pure_walk, unknown

NOBODY = unknown("A")
NOT_THERE = f"No patient has the number {show_code(NOBODY)}: scan its band again, or register it."
TODAY = START.date()


def register(**but):
    return RegisterPatient(**{"name": "Juniper", "species": "cat", "sex": "female", "weight_g": 4_200, **but})


def a_patient(walk, **but):
    return walk.do(register(**but)).the(PatientRegistered).patient


@pytest.mark.parametrize(
    ("command", "reasons"),
    [
        (register(), []),
        (register(name=" "), ["Give the patient's name."]),
        (register(species="horse"), ["horse is no species that blood is here for: choose dog or cat."]),
        (register(sex=""), ["Choose female or male."]),
        (register(weight_g=99), ["0.099 kg is no weight of a dog or cat: 0.1 to 120 kg. Weigh it again."]),
        (register(weight_g=100), []),
        (register(weight_g=120_000), []),
        (
            register(weight_g=120_001),
            ["120.001 kg is no weight of a dog or cat: 0.1 to 120 kg. Weigh it again."],
        ),
        (WeighPatient(patient=NOBODY, weight_g=4_000), [NOT_THERE]),
        (TypePatient(patient=NOBODY, blood_type="A"), [NOT_THERE]),
        (TellHistory(patient=NOBODY, transfused=BEFORE), [NOT_THERE]),
        (FindAntibody(patient=NOBODY, system="Mik"), [NOT_THERE]),
    ],
)
def test_a_patient_is_written_down_or_refused_in_words(command, reasons):
    assert reasons == pure_walk().why_not(command)


def test_the_newest_weight_counts():
    walk = pure_walk()
    patient = a_patient(walk)
    assert 4_200 == walk.look(Patient, patient).weight_g
    walk.do(WeighPatient(patient=patient, weight_g=4_000))
    assert 4_000 == walk.look(Patient, patient).weight_g


def test_the_second_reading_is_another_persons_and_a_contradiction_hides_both():
    """Blind second reading of blood types: our rule 33 of the screens."""
    walk = pure_walk()
    patient = a_patient(walk)
    assert UNKNOWN == walk.look(Patient, patient).blood_type
    walk.do(TypePatient(patient=patient, blood_type="B", reader="robin"))
    assert ("B", ONCE) == (
        walk.look(Patient, patient).blood_type,
        walk.look(Patient, patient).type_in("AB").how,
    )
    own = TypePatient(patient=patient, blood_type="B", reader="robin")
    assert any("another person reads it now" in each for each in walk.why_not(own))
    walk.by = "kim"
    other = TypePatient(patient=patient, blood_type="A", reader="kim")
    assert [] == walk.why_not(other)
    walk.do(other)
    assert (UNKNOWN, IN_DOUBT) == (
        walk.look(Patient, patient).blood_type,
        walk.look(Patient, patient).type_in("AB").how,
    )
    walk.by = "lee"
    walk.do(TypePatient(patient=patient, blood_type="B", reader="lee"))
    assert ("B", CONFIRMED) == (
        walk.look(Patient, patient).blood_type,
        walk.look(Patient, patient).type_in("AB").how,
    )


def test_a_type_of_another_species_is_refused():
    walk = pure_walk()
    wrong = TypePatient(patient=a_patient(walk), blood_type="DEA 1 negative", reader="robin")
    assert [
        "DEA 1 negative is no blood type of a cat: choose A, B, AB, or positive or negative of Mik."
    ] == walk.why_not(wrong)


@pytest.mark.parametrize(
    ("told", "reasons"),
    [
        ({"transfused": BEFORE, "first_on": TODAY}, []),
        ({"transfused": BEFORE}, []),
        ({"transfused": "often"}, ["Say whether it had blood before: never before, before, not known."]),
        (
            {"transfused": NEVER_BEFORE, "first_on": TODAY},
            ["A day of the first time belongs to a patient that had blood before."],
        ),
        (
            {"transfused": BEFORE, "first_on": TODAY + timedelta(days=1)},
            ["11 Mar 2025 is still to come: give the day on which it first had blood."],
        ),
    ],
)
def test_what_it_had_before_is_told_as_it_can_have_been(told, reasons):
    walk = pure_walk()
    assert reasons == walk.why_not(TellHistory(patient=a_patient(walk), **told))


def test_an_antibody_is_against_a_blood_group_of_its_species_and_written_once():
    walk = pure_walk()
    patient = a_patient(walk)
    assert ["A cat has no blood group called DEA 7."] == walk.why_not(
        FindAntibody(patient=patient, system="DEA 7")
    )
    walk.do(FindAntibody(patient=patient, system="Mik"))
    assert ("Mik",) == walk.look(Patient, patient).antibodies
    assert ["An antibody against Mik is written down already."] == walk.why_not(
        FindAntibody(patient=patient, system="Mik")
    )
