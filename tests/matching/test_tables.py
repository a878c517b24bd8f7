"""Every row of the two tables, held against what is published; and what has no row is never given."""

from itertools import product

import pytest

from buffycoat.donors.blood_types import BLOOD_TYPES, SYSTEMS
from buffycoat.matching.compatibility import (
    AVOID,
    CAT,
    DOG,
    FITS,
    KINDS,
    NEVER,
    PLASMA,
    RED_CELLS,
    SECOND,
    TABLE,
    UNKNOWN,
    VERDICTS,
    WHOLE_BLOOD,
    against_antibodies,
    rule_for,
    worst,
)
from buffycoat.matching.crossmatch import BEFORE, NEVER_BEFORE, NOT_KNOWN, History, why_crossmatch

POS, NEG = "DEA 1 positive", "DEA 1 negative"
# Red cells and whole blood of dogs: US Army guideline for working dogs; UK practice (handbook 7).
DOGS = [
    (POS, POS, FITS),
    (POS, NEG, FITS),
    (NEG, POS, AVOID),
    (NEG, NEG, FITS),
    (UNKNOWN, POS, AVOID),
    (UNKNOWN, NEG, FITS),
]
# Red cells of cats: a UK animal blood bank; Knottenbelt 2002; Spada 2014; AB patients from memory (handbook 7).
CATS = [
    ("A", "A", FITS),
    ("A", "B", NEVER),
    ("A", "AB", AVOID),
    ("B", "A", NEVER),
    ("B", "B", FITS),
    ("B", "AB", NEVER),
    ("AB", "A", SECOND),
    ("AB", "B", AVOID),
    ("AB", "AB", FITS),
]
# Whole blood of cats: as red cells, but for AB patients, for the donor's plasma comes with it.
CATS_WHOLE = [*CATS[:6], ("AB", "A", AVOID), ("AB", "B", NEVER), ("AB", "AB", FITS)]
# Plasma of cats: matched by type (ISFM 2021, suppliers); B plasma has strong anti-A (Blais 2019).
CATS_PLASMA = [
    ("A", "A", FITS),
    ("A", "B", NEVER),
    ("A", "AB", AVOID),
    ("B", "A", AVOID),
    ("B", "B", FITS),
    ("B", "AB", AVOID),
    ("AB", "A", SECOND),
    ("AB", "B", NEVER),
    ("AB", "AB", FITS),
]
CASES = [
    *(("dog", kind, *case) for kind in (RED_CELLS, WHOLE_BLOOD) for case in DOGS),
    *(("dog", PLASMA, patient, donor, FITS) for patient, donor in product((POS, NEG, UNKNOWN), (POS, NEG))),
    *(("cat", RED_CELLS, *case) for case in CATS),
    *(("cat", WHOLE_BLOOD, *case) for case in CATS_WHOLE),
    *(("cat", PLASMA, *case) for case in CATS_PLASMA),
    *(("cat", kind, UNKNOWN, donor, NEVER) for kind in KINDS for donor in ("A", "B", "AB")),
]


def verdict(species, kind, patient, donor):
    return rule_for(species=species, kind=kind, patient=patient, donor=donor).verdict


@pytest.mark.parametrize(("species", "kind", "patient", "donor", "expected"), CASES)
def test_each_pair_of_types_gets_the_published_verdict(species, kind, patient, donor, expected):
    assert expected == verdict(species, kind, patient, donor)


def test_every_pair_that_can_come_is_among_the_cases():
    """The control: a type, a kind or a species that is added later without a case fails here."""
    possible = {
        (species, kind, patient, donor)
        for species, types in BLOOD_TYPES.items()
        for kind, patient, donor in product(KINDS, (*types, UNKNOWN), types)
    }
    assert possible == {case[:4] for case in CASES}


def test_no_row_is_hidden_behind_another():
    used = {
        id(rule_for(species=species, kind=kind, patient=patient, donor=donor))
        for species, kind, patient, donor, _ in CASES
    }
    assert [] == [rule for rule in TABLE if id(rule) not in used]


@pytest.mark.parametrize(
    ("species", "kind", "patient", "donor"),
    [
        ("dog", RED_CELLS, POS, UNKNOWN),
        ("dog", RED_CELLS, POS, "A"),
        ("cat", RED_CELLS, "A", UNKNOWN),
        ("cat", WHOLE_BLOOD, "A", POS),
        ("horse", RED_CELLS, "A", "A"),
        ("cat", "platelets", "A", "A"),
    ],
)
def test_what_has_no_row_is_never_given(species, kind, patient, donor):
    assert NEVER == verdict(species, kind, patient, donor)


def test_each_row_names_its_source_and_why():
    assert [] == [rule for rule in (*DOG, *CAT) if not rule.source or not rule.because]


@pytest.mark.parametrize(
    ("antibodies", "donor", "expected"),
    [
        ((), {"DEA 7": "DEA 7 positive"}, []),
        (("DEA 7",), {"DEA 7": "DEA 7 negative"}, []),
        (("DEA 7",), {"DEA 7": "DEA 7 positive"}, [NEVER]),
        (("DEA 7",), {"DEA 7": ""}, [AVOID]),
        (("DEA 7",), {}, [AVOID]),
        (("Dal", "DEA 7"), {"Dal": "Dal positive"}, [NEVER, AVOID]),
    ],
)
def test_an_antibody_of_the_patient_needs_a_donor_that_lacks_what_it_is_against(antibodies, donor, expected):
    assert expected == [verdict for verdict, _ in against_antibodies(antibodies, donor)]


def test_the_worst_of_several_verdicts_counts():
    assert list(VERDICTS) == [worst(FITS, each) for each in VERDICTS]
    assert NEVER == worst(NEVER, FITS)


def patient(**but):
    return History(**{"species": "dog", "kind": RED_CELLS, "transfused": NEVER_BEFORE, **but})


@pytest.mark.parametrize(
    ("history", "reasons"),
    [
        (patient(), 0),
        (patient(transfused=NOT_KNOWN), 1),
        (patient(transfused=BEFORE), 1),
        (patient(transfused=BEFORE, days_since=2), 0),
        (patient(transfused=BEFORE, days_since=3), 1),
        (patient(days_since=9), 0),
        (patient(had_reaction=True), 1),
        (patient(has_antibody=True), 1),
        (patient(transfused=NOT_KNOWN, had_reaction=True, has_antibody=True), 3),
        (patient(species="cat"), 1),
        (patient(species="cat", transfused=NOT_KNOWN), 2),
        (patient(species="cat", kind=WHOLE_BLOOD), 1),
        (patient(species="cat", kind=PLASMA, transfused=NOT_KNOWN, has_antibody=True), 0),
    ],
)
def test_a_crossmatch_is_asked_for_by_each_row_that_is_true(history, reasons):
    """3 days: US Army guideline for working dogs; cats always: a Canadian animal blood bank (handbook 7)."""
    assert reasons == len(list(why_crossmatch(history, after_days=3)))


def test_the_site_says_from_which_day_on():
    history = patient(transfused=BEFORE, days_since=4)
    assert (1, 0) == tuple(len(list(why_crossmatch(history, after_days=days))) for days in (4, 5))


def test_each_blood_group_of_an_antibody_is_one_that_donors_are_typed_for():
    assert {"AB", "Mik"} == set(SYSTEMS["cat"])
    assert "DEA 1" in SYSTEMS["dog"]
