"""Patients and requests for the tests; all of it is invented."""

from buffycoat.issuing.crossmatches import ReadCrossmatch
from buffycoat.issuing.requests import BloodRequested, RequestBlood
from buffycoat.issuing.rules import IssueUnit
from buffycoat.patients.rules import PatientRegistered, RegisterPatient, TellHistory, TypePatient


def a_patient(walk, species="cat", blood_type="A", transfused="never before", **but):
    """Typed by one reader, and with its history told."""
    told = {"name": "Juniper", "sex": "female", "weight_g": 4_200 if species == "cat" else 20_000, **but}
    patient = walk.do(RegisterPatient(species=species, **told)).the(PatientRegistered).patient
    if blood_type:
        walk.do(TypePatient(patient=patient, blood_type=blood_type, reader=walk.by))
    walk.do(TellHistory(patient=patient, transfused=transfused))
    return patient


def a_request(walk, patient, kind="red cells", **but):
    told = {"volume_ml": 40, "urgency": "today", "asked_by": "Dr Invented", "why": "Anaemia", **but}
    return walk.do(RequestBlood(patient=patient, kind_wanted=kind, **told)).the(BloodRequested).request


def crossmatched(walk, patient, unit, **grades):
    read = {
        "major": 0,
        "minor": 0,
        "control": 0,
        "haemolysis": 0,
        "method": "Tube",
        "reader": walk.by,
        **grades,
    }
    return walk.do(ReadCrossmatch(patient=patient, unit=unit, **read))


def issue(request, patient, unit, **but):
    return IssueUnit(request=request, patient=patient, unit=unit, **{"issued_by": "robin", **but})
