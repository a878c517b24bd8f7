"""The pages of equipment, and the bench that stops when its scale or sealer does."""

import pytest
from django.urls import reverse

from buffycoat.benches.models import Bench
from buffycoat.equipment.models import EquipmentRow
from buffycoat.journal.models import Entry
from tests.pages import answer, pdf, text

pytestmark = pytest.mark.one_database

PLATE = {
    "name": "Window scale",
    "sort": "scale",
    "maker_number": "INV-3",
    "serves": "",
    "check_every_days": "90",
    "checked_how": "Test masses of 100 g and 500 g",
    "due_on": "1 May 2199",
}


@pytest.fixture
def scale(client):
    answer(client, reverse("equipment-new"), **PLATE)
    return EquipmentRow.objects.get()


def stands(client, scale):
    return text(client.get(reverse("equipment-piece", args=[scale.equipment])))


def check(client, scale, outcome):
    page = reverse("equipment-check", args=[scale.equipment])
    return answer(client, page, outcome=outcome, found="100 g read 104 g")


def test_a_registered_piece_has_a_page_a_card_and_a_line_in_the_list(client, scale):
    assert "In use" in stands(client, scale)
    assert "Window scale" in text(client.get(reverse("equipment")))
    assert pdf(client.get(reverse("equipment-card", args=[scale.equipment])))
    assert pdf(client.get(reverse("equipment-cards")))
    scanned = client.get(reverse("scan"), {"code": scale.equipment})
    assert reverse("equipment-piece", args=[scale.equipment]) == scanned.url


def test_a_failed_check_and_a_repair_stand_on_its_page(client, scale):
    check(client, scale, "failed")
    assert "Out of use it did not pass its check (100 g read 104 g)" in stands(client, scale)
    check(client, scale, "passed")
    use = reverse("equipment-use", args=[scale.equipment])
    answer(client, use, why="Its foot is broken")
    assert "Out of use Its foot is broken" in text(client.get(reverse("equipment")))
    answer(client, use, why="New foot")
    told = stands(client, scale)
    assert "In use" in told and "New foot" in told and "Did not pass its check" in told


def test_a_check_that_is_late_is_told_in_the_list(client):
    answer(client, reverse("equipment-new"), **{**PLATE, "due_on": "1 May 2020"})
    assert "days overdue" in text(client.get(reverse("equipment")))


def sealed(client, walk, donation):
    return answer(client, reverse("separation-segments", args=[donation]), segments="6")


def test_a_bench_whose_sealer_is_out_of_use_seals_nothing(client, walk):
    answer(client, reverse("equipment-new"), **{**PLATE, "name": "Red sealer", "sort": "sealer"})
    sealer = EquipmentRow.objects.get()
    setup = {"name": "Window bench", "scale": "none", "volume_percent": "60"}
    client.post("/bench/", {**setup, "sealer_equipment": sealer.equipment})
    assert sealer.equipment == Bench.objects.get().sealer_equipment
    donation = walk.expressed("cat")
    answer(client, reverse("separation-clots", args=[donation]), clots="none")
    check(client, sealer, "failed")
    refused = text(sealed(client, walk, donation))
    assert "Red sealer is out of use: it did not pass its check (100 g read 104 g). Take another." in refused
    assert not Entry.objects.filter(kind="segments-sealed").exists()
    check(client, sealer, "passed")
    assert 302 == sealed(client, walk, donation).status_code
    assert Entry.objects.filter(kind="segments-sealed").exists()


def test_a_late_check_is_told_when_the_step_is_recorded(client, walk):
    late = {**PLATE, "name": "Red sealer", "sort": "sealer", "due_on": "1 May 2020"}
    answer(client, reverse("equipment-new"), **late)
    sealer = EquipmentRow.objects.get()
    setup = {"name": "Window bench", "scale": "none", "volume_percent": "60"}
    client.post("/bench/", {**setup, "sealer_equipment": sealer.equipment})
    donation = walk.expressed("cat")
    answer(client, reverse("separation-clots", args=[donation]), clots="none")
    sent = sealed(client, walk, donation)
    told = text(client.get(sent.url, follow=True))
    assert "Red sealer was due for its check on 01 May 2020." in told
