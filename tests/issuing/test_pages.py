"""From the request to the slip, on the pages; and a wrong bag is refused there and written down."""

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse

from buffycoat.issuing.models import IssueRow, RequestRow
from buffycoat.journal.models import Entry
from buffycoat.labels.models import UnitRow
from buffycoat.storage.models import ShelfRow
from tests.issuing.giving import a_patient, a_request, crossmatched
from tests.pages import answer, pdf, text

KIM = "an-invented-pass-phrase"


@pytest.fixture
def unit(walk):
    return walk.units(walk.on_the_shelf("cat"))["red-cells"]


@pytest.fixture
def juniper(walk):
    return a_patient(walk)


@pytest.fixture
def kim(db):
    return get_user_model().objects.create_user("kim", password=KIM)


def page(name, code):
    return reverse(name, args=[code])


def pcv_after(unit):
    """By hand, for 4.2 kg at 12 %: all of the volume stays in 66 mL/kg, or the cells alone in 60 mL/kg."""
    row = UnitRow.objects.get(pk=unit)
    cells_ml = row.volume_ml * row.haematocrit_permille / 1000
    low = (66 * 4.2 * 0.12 + cells_ml) / (66 * 4.2 + row.volume_ml)
    high = (60 * 4.2 * 0.12 + cells_ml) / (60 * 4.2)
    return f"{100 * low:.0f} to {100 * high:.0f} %"


def test_one_patients_story_from_the_request_to_the_slip(client, walk, unit, juniper):
    asked = {"kind_wanted": "red cells", "volume_ml": "40", "urgency": "today", "pcv_permille": "12"}
    sent = answer(client, page("request-new", juniper), **asked, why="Anaemia", asked_by="Dr Invented")
    request = RequestRow.objects.get().request
    assert page("request", request) == sent.url
    told = text(client.get(sent.url))
    for words in ("Take first:", "It was not crossmatched with this patient", pcv_after(unit)):
        assert words in told
    grades = {"major": "0", "minor": "0", "control": "0", "haemolysis": "0", "method": "Tube"}
    answer(client, page("request-crossmatch", request), unit=unit, **grades)
    assert "is compatible with Juniper" in text(client.get(sent.url))
    gone = answer(client, page("request-issue", request), patient=juniper, unit=unit)
    assert page("unit-issued", unit) == gone.url
    assert "given out for Juniper" in text(client.get(gone.url))
    assert pdf(client.get(page("unit-slip", unit)))
    assert ShelfRow.objects.get(unit=unit).given
    assert "Given to" in text(client.get(page("unit", unit)))
    answer(client, page("request-close", request), why="Enough was given")
    assert "Enough was given" in text(client.get(reverse("requests")))
    assert page("request", request) == client.get(reverse("scan"), {"code": request}).url


def test_a_unit_that_clumped_is_not_the_one_to_take_first(client, walk, unit, juniper):
    younger = walk.units(walk.on_the_shelf("cat"))["red-cells"]
    request = a_request(walk, juniper)
    shelf = page("request", request)
    assert unit == client.get(shelf).context["best"].row.unit.row.unit
    crossmatched(walk, juniper, unit, major=2)
    assert younger == client.get(shelf).context["best"].row.unit.row.unit
    crossmatched(walk, juniper, younger, major=1)
    assert None is client.get(shelf).context["best"]
    assert "Nothing here fits." in text(client.get(shelf))


def test_a_wrong_bag_is_refused_and_the_attempt_is_written_down(client, walk, unit):
    patient = a_patient(walk, blood_type="B", name="Nettle")
    request = a_request(walk, patient)
    refused = answer(client, page("request-issue", request), patient=patient, unit=unit)
    assert "Never: strong anti-A: even 1 mL can kill." in text(refused)
    assert not IssueRow.objects.exists()
    again = client.post(page("request-issue", request), refused.context["form"].data)
    assert "Never:" in text(again)
    noted = Entry.objects.get(kind="issue-refused")
    assert "robin" in noted.line and unit in noted.line


def test_a_bag_that_is_only_not_crossmatched_is_refused_and_not_noted(client, walk, unit, juniper):
    request = a_request(walk, juniper)
    refused = text(answer(client, page("request-issue", request), patient=juniper, unit=unit))
    assert "It was not crossmatched with this patient." in refused
    assert not Entry.objects.filter(kind__in=("issue-refused", "unit-issued")).exists()


@pytest.mark.parametrize(("password", "given"), [(KIM, True), ("wrong", False), ("", False)])
def test_an_emergency_release_needs_a_second_persons_own_password(
    client, walk, unit, juniper, kim, password, given
):
    request = a_request(walk, juniper)
    sent = answer(
        client,
        page("request-issue", request),
        patient=juniper,
        unit=unit,
        emergency="It bleeds",
        released_by="kim",
        password=password,
    )
    assert given == IssueRow.objects.filter(emergency="It bleeds", released_by="kim").exists()
    assert given or "This is not the password of kim: nothing was released." in text(sent)


def test_a_unit_that_comes_back_is_put_away_next(client, walk, unit, juniper):
    request = a_request(walk, juniper)
    crossmatched(walk, juniper, unit)
    answer(client, page("request-issue", request), patient=juniper, unit=unit)
    back = answer(client, page("unit-return", unit), why="Not needed any more")
    assert f"{reverse('put-away')}?unit={unit}" == back.url
    assert not IssueRow.objects.exists()
    assert 0 == RequestRow.objects.get().given_ml


def test_the_shelf_of_a_request_shows_only_what_can_be_given(client, walk, unit, juniper):
    request = a_request(walk, juniper, "plasma")
    shown = client.get(page("request", request)).context
    assert ["plasma"] == [each.row.unit.row.part for each in shown["offered"]]
    assert [] == shown["crossmatch"]
