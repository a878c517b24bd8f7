"""A rotor and its validated programmes, as the maker's manual and the site's own validation give them."""

import pytest

from buffycoat.spins.rotors import RegisterRotor, Rotor, WriteProgramme
from tests.walk import PROGRAMME, ROTOR, pure_walk, unknown

NOTHING_KNOWN = unknown("T")
PLACES = "A rotor for bags has 2 to 12 places, an even number, so that each has one opposite."
RADIUS = "The radius from the axis to the bottom of the bucket is 50 to 500 mm: see the maker's manual."
SPEED = "The greatest speed of a rotor for bags is 100 to 10 000 rpm: see the maker's manual."
LIMIT = "The limit for opposite buckets is 0 to 50 g: see the maker's manual."
TIME = "A spin lasts 1 to 60 minutes."
WARMTH = "The temperature of a spin is 0 to 30 °C."


@pytest.mark.parametrize(
    ("but", "reasons"),
    [
        ({}, []),
        ({"name": " "}, ["Give the rotor's name and the centrifuge it belongs to."]),
        ({"centrifuge": ""}, ["Give the rotor's name and the centrifuge it belongs to."]),
        ({"places": 0}, [PLACES]),
        ({"places": 2}, []),
        ({"places": 5}, [PLACES]),
        ({"places": 12}, []),
        ({"places": 14}, [PLACES]),
        ({"radius_mm": 49}, [RADIUS]),
        ({"radius_mm": 50}, []),
        ({"radius_mm": 500}, []),
        ({"radius_mm": 501}, [RADIUS]),
        ({"most_rpm": 99}, [SPEED]),
        ({"most_rpm": 100}, []),
        ({"most_rpm": 10_000}, []),
        ({"most_rpm": 10_001}, [SPEED]),
        ({"pair_limit_g": -1}, [LIMIT]),
        ({"pair_limit_g": 0}, []),
        ({"pair_limit_g": 50}, []),
        ({"pair_limit_g": 51}, [LIMIT]),
        ({"places": 3, "radius_mm": 0, "most_rpm": 0, "pair_limit_g": 99}, [PLACES, RADIUS, SPEED, LIMIT]),
    ],
)
def test_a_rotor_is_registered_or_refused_in_words(but, reasons):
    assert reasons == pure_walk().why_not(RegisterRotor(**{**ROTOR, **but}))


@pytest.mark.parametrize(
    ("but", "reasons"),
    [
        ({}, []),
        ({"rpm": 99}, ["99 rpm: this rotor runs from 100 to 4200 rpm."]),
        ({"rpm": 100}, []),
        ({"rpm": 4_200}, []),
        ({"rpm": 4_201}, ["4201 rpm: this rotor runs from 100 to 4200 rpm."]),
        ({"name": " "}, ["Give the programme a name, as the centrifuge shows it."]),
        ({"species": ""}, ["Choose dog or cat: one programme is for one species."]),
        ({"duration_s": 59}, [TIME]),
        ({"duration_s": 60}, []),
        ({"duration_s": 3_600}, []),
        ({"duration_s": 3_601}, [TIME]),
        ({"temperature_c": -1}, [WARMTH]),
        ({"temperature_c": 0}, []),
        ({"temperature_c": 30}, []),
        ({"temperature_c": 31}, [WARMTH]),
        ({"brake": " "}, ["Give the brake setting, as the centrifuge shows it."]),
        ({"validated": ""}, ["Say who validated this programme on this machine, and when."]),
    ],
)
def test_a_programme_is_written_or_refused_in_words(but, reasons):
    walk = pure_walk()
    values = {"rotor": walk.a_rotor(), "name": "Soft dog", "species": "dog", **PROGRAMME, **but}
    assert reasons == walk.why_not(WriteProgramme(**values))


def test_a_programme_needs_its_rotor():
    command = WriteProgramme(rotor=NOTHING_KNOWN, name="Hard dog", species="dog", **PROGRAMME)
    assert [f"No rotor has the number {NOTHING_KNOWN}: scan its card again."] == pure_walk().why_not(command)


def test_a_programme_written_anew_replaces_the_one_of_that_name_only():
    walk = pure_walk()
    rotor = walk.a_rotor()
    walk.do(WriteProgramme(rotor=rotor, name=" Hard dog ", species="dog", **{**PROGRAMME, "rpm": 3_900}))
    programmes = walk.look(Rotor, rotor).programmes
    assert {"Hard dog": 3_900, "Hard cat": 4_200} == {name: each.rpm for name, each in programmes.items()}


def test_4200_rpm_at_250_mm_are_4930_g():
    """A manufacturer-independent operators' rule, 1.118 · r · (rpm/1000)² (handbook 13, row 20, computed)."""
    walk = pure_walk()
    rotor = walk.look(Rotor, walk.a_rotor())
    assert 4_930 == pytest.approx(rotor.rcf(rotor.programmes["Hard dog"]), abs=2)
