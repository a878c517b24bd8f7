"""The register of donors says what stands in the book."""

from datetime import date

import pytest

from buffycoat.donors.models import DonorRow
from buffycoat.donors.rules import ExamineDonor
from buffycoat.journal.models import Entry
from buffycoat.journal.strike import strike
from tests.walk import Walk

pytestmark = pytest.mark.django_db


def test_a_donor_has_one_row_with_what_is_known_of_it():
    walk = Walk()
    row = DonorRow.objects.get(donor=walk.a_donor())
    assert ("Bramble", "dog", "female", date(2021, 5, 1)) == (row.name, row.species, row.sex, row.born_on)
    assert ("DEA 1 negative", 32_000, 450) == (row.blood_type, row.weight_g, row.pcv_permille)


def test_what_is_not_known_yet_is_empty():
    row = DonorRow.objects.get(donor=Walk().a_donor(typed=False, examined=False))
    assert ("type not known", None, None, None) == (
        row.blood_type,
        row.weight_g,
        row.pcv_permille,
        row.examined_at,
    )


def test_cautions_of_the_registration_and_of_the_day_are_told_together():
    walk = Walk()
    donor = walk.a_donor(cautions="Ears: touchy.", examined=False)
    walk.do(ExamineDonor(donor=donor, weight_g=32_000, pcv_permille=450, cautions="Clip the left side."))
    assert "Ears: touchy. Clip the left side." == DonorRow.objects.get(donor=donor).cautions


def test_the_last_examination_that_stands_counts():
    walk = Walk()
    donor = walk.a_donor()
    walk.do(ExamineDonor(donor=donor, weight_g=31_000, pcv_permille=440))
    assert 31_000 == DonorRow.objects.get(donor=donor).weight_g
    strike(Entry.objects.latest("number").number, reason="Another dog.", by="kim")
    assert 32_000 == DonorRow.objects.get(donor=donor).weight_g
