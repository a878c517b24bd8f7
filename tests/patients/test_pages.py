"""From a registered patient to the blood that fits it, without typing what is known already."""

import pytest
from django.urls import reverse

from buffycoat.patients.models import PatientRow
from tests.pages import answer, pdf, text

pytestmark = pytest.mark.one_database

JUNIPER = {
    "name": "Juniper",
    "species": "cat",
    "sex": "female",
    "weight_g": "4.2",
    "where": "Ward 2",
    "needs": "",
}


@pytest.fixture
def patient(client):
    answer(client, reverse("patient-new"), **JUNIPER)
    return PatientRow.objects.get().patient


def page(client, patient):
    return client.get(reverse("patient", args=[patient]))


def test_a_registered_patient_has_a_page_a_band_and_a_code_to_scan(client, patient):
    told = text(page(client, patient))
    for words in ("Juniper", "4.2 kg", "Ward 2", "Not typed yet"):
        assert words in told
    assert "Juniper" in text(client.get(reverse("patients")))
    assert pdf(client.get(reverse("patient-band", args=[patient])))
    assert reverse("patient", args=[patient]) == client.get(reverse("scan"), {"code": patient}).url


def test_what_is_known_of_the_patient_is_asked_of_the_shelf(client, walk, patient):
    walk.on_the_shelf("cat")
    answer(client, reverse("patient-type", args=[patient]), blood_type="A", method="Card, lot INV-5")
    answer(client, reverse("patient-history", args=[patient]), transfused="before", had_reaction="on")
    found = client.get(page(client, patient).context["find"])
    assert "A" == found.context["wanted"].blood_type
    assert found.context["best"]
    assert 3 == len(found.context["crossmatch"])


def test_nothing_fits_a_cat_that_is_not_typed(client, walk, patient):
    walk.on_the_shelf("cat")
    found = client.get(page(client, patient).context["find"])
    assert None is found.context["best"]


def test_an_antibody_goes_with_the_question(client, walk, patient):
    answer(client, reverse("patient-antibody", args=[patient]), system="Mik", method="Tube")
    assert "Mik" in text(page(client, patient))
    assert "antibodies=Mik" in page(client, patient).context["find"]


def test_a_new_weight_and_a_history_stand_on_the_page(client, patient):
    answer(client, reverse("patient-weigh", args=[patient]), weight_g="3.9")
    answer(client, reverse("patient-history", args=[patient]), transfused="before", first_on="1 Nov 2026")
    told = text(page(client, patient))
    assert "3.9 kg" in told
    assert "Before, first on 1 Nov 2026" in told


def test_the_first_reading_is_not_shown_while_the_second_is_made(client, patient):
    typing = reverse("patient-type", args=[patient])
    answer(client, typing, blood_type="B", method="Card")
    assert "Juniper is B, read once." in text(page(client, patient))
    told = text(client.get(typing))
    assert "is not shown here" in told
    assert "Juniper is B" not in told
    again = text(answer(client, typing, blood_type="B", method="Card"))
    assert "another person reads it now" in again


def test_a_patient_that_nobody_registered_has_no_page(client):
    assert 404 == client.get("/patients/AHAVN000000172/").status_code
