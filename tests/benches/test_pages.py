"""The pages of a bench, the door of the scale program, and how a weight came into the record."""

import json

import pytest
from django.core import signing

from buffycoat.benches import simulated
from buffycoat.benches.live import SCALES, Shown
from buffycoat.benches.models import PROCESS, Bench, hash_of
from buffycoat.benches.weighing import SALT, reading_of, scale_of, signed
from buffycoat.draws.rules import Draw
from buffycoat.journal.book import Book
from tests.pages import answer, client, nothing_recorded, pdf, text, walk

pytestmark = pytest.mark.one_database

__all__ = ["client", "walk"]

WEIGHS = {"state": "weighing", "g": 231, "text": "231.4", "still": True, "raw": "ST,GS,+  231.4 g"}
SET_UP = {
    "name": "Window bench",
    "scale": PROCESS,
    "px_per_100_mm": "520",
    "volume_percent": "60",
    "tone": "on",
}


@pytest.fixture(autouse=True)
def _no_scale_is_remembered():
    SCALES.forget()
    yield
    SCALES.forget()


@pytest.fixture
def bench(client):
    client.post("/bench/", SET_UP)
    return Bench.objects.get()


def tell(client, said, key="good"):
    return client.post(
        "/bench/reading/",
        json.dumps(said),
        content_type="application/json",
        headers={"Authorization": f"Bearer {key}"},
    )


@pytest.fixture
def key(bench):
    bench.key_hash = hash_of("good")
    bench.save()
    return "good"


def shown(client):
    return client.get("/bench/scale/").json()


def test_a_device_that_was_set_up_knows_its_bench_by_a_cookie_that_no_script_reads(client, bench):
    cookie = client.cookies["bench"]
    assert (True, "Lax") == (cookie["httponly"], cookie["samesite"])
    assert "This device is Window bench" in text(client.get("/bench/"))
    client.cookies["bench"] = f"{bench.pk}:made-up"
    assert "not set up yet" in text(client.get("/bench/"))


def test_sizes_of_that_screen_come_as_a_sheet_in_real_millimetres(client, bench):
    assert 'href="/bench/size-520.css"' in client.get("/separation/").content.decode()
    assert (
        ":root{--mm:5.2px;--touch-second:78px;--touch-main:104px;}"
        == client.get("/bench/size-520.css").content.decode()
    )


def test_two_benches_have_two_names(client, bench):
    client.post("/bench/new/")
    again = client.post("/bench/", SET_UP)
    assert "Another bench is called Window bench already" in text(again)
    client.post("/bench/", {**SET_UP, "name": "Door bench"})
    assert "This device is Door bench" in text(client.get("/bench/"))
    client.post(f"/bench/{bench.pk}/here/")
    assert "This device is Window bench" in text(client.get("/bench/"))


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("name", "", "Name of this bench is missing"),
        ("px_per_100_mm", "9", "is less than can be right here"),
        ("scale", "steelyard", "choose one of those shown"),
    ],
)
def test_a_bad_answer_gets_its_sentence_and_nothing_is_kept(client, name, value, sentence):
    assert sentence in text(client.post("/bench/", {**SET_UP, name: value}))
    assert not Bench.objects.exists()


def test_a_key_is_shown_once_and_only_its_hash_is_kept(client, bench):
    page = client.post("/bench/key/").content.decode()
    key = page.split('<code class="key">')[1].split("<")[0]
    assert hash_of(key) == Bench.objects.get().key_hash
    assert key not in client.get("/bench/").content.decode()
    assert 200 == tell(client, WEIGHS, key).status_code
    client.post("/bench/key/")
    assert 403 == tell(client, WEIGHS, key).status_code


def test_only_the_key_opens_the_door_of_readings_and_only_readings_pass(client, key):
    client.logout()
    assert 403 == tell(client, WEIGHS, "other").status_code
    assert 403 == tell(client, WEIGHS, "").status_code
    for wrong in (
        {},
        [],
        {"state": "dancing"},
        {"state": "weighing"},
        {**WEIGHS, "g": "231"},
        {**WEIGHS, "g": True},
    ):
        assert 400 == tell(client, wrong).status_code, wrong
    assert {"still_g": 1, "still_ms": 1000} == tell(client, WEIGHS).json()


def test_the_page_hears_a_reading_once_and_then_that_nothing_changed(client, key):
    tell(client, WEIGHS)
    first = shown(client)
    assert (231, True, "231.4") == (first["g"], first["still"], first["text"])
    assert 204 == client.get("/bench/scale/", {"seen": first["seen"]}).status_code
    tell(client, WEIGHS)
    assert 204 == client.get("/bench/scale/", {"seen": first["seen"]}).status_code
    tell(client, {**WEIGHS, "still": False})
    moving = client.get("/bench/scale/", {"seen": first["seen"]}).json()
    assert (False, "") == (moving["still"], moving["reading"])


def test_a_scale_that_stopped_answering_says_since_when(client, key, monkeypatch):
    tell(client, WEIGHS)
    monkeypatch.setattr("buffycoat.benches.live.ANSWERS_WITHIN_S", -1)
    silent = shown(client)
    assert "silent" == silent["state"]
    assert "The scale program is not answering. Since " in silent["words"]
    assert "" == silent["reading"]


def test_a_bench_sees_no_other_benchs_scale(client, key):
    tell(client, WEIGHS)
    client.post("/bench/new/")
    client.post("/bench/", {**SET_UP, "name": "Door bench"})
    assert "has not been started" in shown(client)["words"]


def finish(client, walk, **typed):
    donation = walk.draw_started()
    target_g = walk.look(Draw, donation).started.target_g
    response = answer(client, f"/draws/{donation}/finish/", gross_g=str(target_g), **typed)
    assert 302 == response.status_code, text(response)
    return Book()(Draw, donation).finished


def reading(g: int, raw: str = "ST,GS,+  734.0 g") -> str:
    return signed(Bench(name="Window bench"), Shown(state="weighing", g=g, raw=raw, still=True))


def test_a_weight_of_the_scale_stands_in_the_record_with_its_line(client, walk):
    donation = walk.draw_started()
    target_g = walk.look(Draw, donation).started.target_g
    raw = f"ST,GS,+  {target_g}.0 g"
    answer(client, f"/draws/{donation}/finish/", gross_g=str(target_g), reading=reading(target_g, raw))
    scale = Book()(Draw, donation).finished.scale
    assert scale.startswith(f"Window bench: {raw} (still, 20")


def test_a_weight_typed_over_the_scale_counts_as_typed(client, walk):
    assert "" == finish(client, walk, reading=reading(1)).scale
    assert "" == finish(client, walk).scale


def test_a_reading_that_the_server_did_not_sign_counts_as_typed():
    made_up = signing.dumps([734, "Window bench", "734 g", False, "now"], key="another", salt=SALT)
    assert reading_of(made_up) is None
    assert reading_of("made up") is None
    assert reading_of("") is None
    assert reading_of(reading(734)) is not None


def test_a_scale_that_types_like_a_keyboard_is_marked_as_that():
    values = {"reading": reading_of("keys:  734.2 g"), "gross_g": 734}
    assert "typed by the scale: 734.2 g" == scale_of(values, "gross_g")
    assert "" == scale_of(values | {"gross_g": 735}, "gross_g")
    assert "" == scale_of({"reading": reading_of("keys: 26.0 oz"), "gross_g": 26}, "gross_g")


def test_a_bag_that_was_not_set_to_nought_is_taken_off_the_plasma(client, walk):
    donation = walk.spun()
    with nothing_recorded():
        page = answer(client, f"/separation/{donation}/express/", plasma_g="5", with_bag="on")
    assert "weigh the plasma bag with the plasma in it" in text(page)


def test_the_test_card_is_a_sheet_and_its_answer_is_told(client):
    assert pdf(client.get("/bench/test-card.pdf"))
    told = client.get("/bench/heard/", {"text": "]C0short", "prefix": "1"}).json()
    assert "characters came" in told["wrong"][0]


def test_nobody_lays_anything_on_a_scale_that_is_not_invented(client, bench):
    assert simulated.scale() is None
    assert 404 == client.post("/bench/lay/", {"act": "pour"}).status_code
