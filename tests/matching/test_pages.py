"""The shelf against a patient: what fits stands first, the oldest before the younger, and what waits is not offered."""

import pytest
from django.urls import reverse

from buffycoat.labels.models import UnitRow
from buffycoat.problems.rules import ReportProblem
from tests.pages import text

pytestmark = pytest.mark.one_database

LOOK = {"species": "cat", "kind": "red cells", "blood_type": "A", "transfused": "never before"}


def look(client, **but):
    return client.get(reverse("match"), {**LOOK, **but})


@pytest.fixture
def shelf(walk):
    """Two cats of type A, the older donation first."""
    older = walk.on_the_shelf("cat")
    walk.wait(hours=1)
    return [walk.units(donation)["red-cells"] for donation in (older, walk.on_the_shelf("cat"))]


def spaced(code):
    """A code as the page's text has it: the four figures that people compare stand apart."""
    return f"{code[:5]}-{code[5:8]} {code[8:12]} -{code[12:]}"


def first(answer):
    best = answer.context["best"]
    return best.unit.row.unit if best else None


def test_an_empty_form_asks_and_answers_nothing(client):
    page = client.get(reverse("match"))
    assert "rows" not in page.context
    assert "Look on the shelf" in text(page)


def test_the_oldest_that_fits_is_taken_first(client, shelf):
    answer = look(client)
    assert shelf == [row.unit.row.unit for row in answer.context["rows"]]
    assert shelf[0] == first(answer)
    assert f"Take first: {spaced(shelf[0])}" in text(answer)


def test_what_waits_is_not_offered(client, walk, shelf):
    walk.do(ReportProblem(about=shelf[0], what="clot"))
    answer = look(client)
    assert shelf[1] == first(answer)
    assert ["fits", "never"] == [row.verdict for row in answer.context["rows"]]
    assert "Clot or fibrin" in text(answer)


@pytest.mark.parametrize(
    ("blood_type", "offered"), [("A", True), ("AB", True), ("B", False), ("type not known", False)]
)
def test_blood_of_type_a_is_offered_to_no_cat_that_it_can_kill(client, shelf, blood_type, offered):
    answer = look(client, blood_type=blood_type)
    assert offered == (first(answer) is not None)
    assert offered != ("Nothing here fits." in text(answer))


def test_a_patient_of_another_species_finds_nothing(client, shelf):
    answer = look(client, species="dog", blood_type="DEA 1 negative")
    assert [] == answer.context["rows"]
    assert "No red cells of a dog is on the shelf." in text(answer)


def test_plasma_is_not_shown_to_who_needs_red_cells(client, shelf):
    plasma = set(UnitRow.objects.filter(part="plasma").values_list("unit", flat=True))
    assert plasma
    assert plasma == {row.unit.row.unit for row in look(client, kind="plasma").context["rows"]}
    assert not plasma & {row.unit.row.unit for row in look(client).context["rows"]}


def test_a_donor_that_was_not_typed_for_what_the_patient_has_an_antibody_against_is_avoided(client, shelf):
    answer = look(client, antibodies="Mik")
    assert None is first(answer)
    assert "the donor was not typed for it" in text(answer)


def test_a_cat_is_always_crossmatched_and_the_page_says_why(client, shelf):
    assert "Crossmatch before giving:" in text(look(client))
    assert "Crossmatch before giving:" not in text(look(client, kind="plasma"))


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("blood_type", "DEA 1 negative", "DEA 1 negative is no type of a cat: choose one that a cat has."),
        ("antibodies", "DEA 7", "A cat has no blood group called DEA 7."),
        ("species", "", "Patient: choose one."),
    ],
)
def test_a_bad_question_is_said_in_words(client, name, value, sentence):
    page = look(client, **{name: value})
    assert "rows" not in page.context
    assert sentence in text(page)


def test_the_table_stands_on_a_page_with_its_sources(client):
    told = text(client.get(reverse("compatibility")))
    assert "strong anti-A: even 1 mL can kill" in told
    assert "Spada 2014" in told
