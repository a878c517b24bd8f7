"""The pages of rotors and their programmes."""

import pytest
from django.urls import reverse

from buffycoat.spins.models import ProgrammeRow, RotorRow
from tests.pages import answer, nothing_recorded, pdf, text
from tests.walk import PROGRAMME, ROTOR, unknown

pytestmark = pytest.mark.one_database


@pytest.mark.parametrize("page", ["rotor", "rotor-card"])
def test_an_unknown_rotor_is_not_found(client, page):
    assert 404 == client.get(reverse(page, args=[unknown("T")])).status_code


def test_a_registered_rotor_has_a_page_and_a_card(client):
    response = answer(client, reverse("rotor-new"), **ROTOR)
    rotor = RotorRow.objects.get().rotor
    assert reverse("rotor", args=[rotor]) == response.url
    assert "C1, 4 × 750 is registered with 4 places. Next: write its validated programmes." in text(
        client.get(response.url)
    )
    assert pdf(client.get(reverse("rotor-card", args=[rotor])))


@pytest.mark.parametrize(
    ("but", "sentence"),
    [
        ({"places": "3"}, "an even number, so that each has one opposite."),
        ({"places": ""}, "Places is missing."),
        ({"radius_mm": "2"}, "2 mm is less than can be right here."),
        ({"pair_limit_g": "two"}, "“two” has the letters two in it. Type figures only."),
    ],
)
def test_a_rotor_with_a_wrong_value_is_refused(client, but, sentence):
    with nothing_recorded():
        response = answer(client, reverse("rotor-new"), **{**ROTOR, **but})
    assert sentence in text(response)
    assert 'value="4 × 750"' in response.content.decode()


def programme(**but):
    values = {**PROGRAMME, "name": "Soft", "species": "dog", "minutes": 10, **but}
    del values["duration_s"]
    return values


@pytest.mark.parametrize(
    ("but", "sentence"),
    [
        ({"rpm": ""}, "Give the speed or the force, one of the two"),
        ({"rcf": "3000"}, "Give the speed or the force, one of the two"),
        ({"rpm": "5000"}, "5000 rpm: this rotor runs from 100 to 4200 rpm."),
        ({"rpm": "", "rcf": "20000"}, "this rotor runs from 100 to 4200 rpm."),
        ({"minutes": "0"}, "0 min is less than can be right here."),
        ({"temperature_c": "40"}, "40 °C is more than can be right here."),
        ({"validated": ""}, "Validated by whom and when is missing."),
        ({"species": "fox"}, "choose one of those shown."),
    ],
)
def test_a_programme_with_a_wrong_value_is_refused(client, walk, but, sentence):
    address = reverse("rotor", args=[walk.a_rotor()])
    with nothing_recorded():
        response = answer(client, address, **programme(**but))
    assert sentence in text(response)
    assert 'value="Soft"' in response.content.decode()


def test_a_programme_given_by_its_force_has_the_speed_of_this_radius(client, walk):
    rotor = walk.a_rotor()
    response = answer(client, reverse("rotor", args=[rotor]), **programme(rpm="", rcf="4900"))
    assert 4187 == ProgrammeRow.objects.get(rotor=rotor, name="Soft").rpm
    assert "Programme Soft is written: 4 187 rpm = " in text(client.get(response.url))
