"""How and why: at each step of the bench, in two sentences and a drawing, until someone folds it away."""

import re
from html import unescape
from pathlib import Path

import pytest
from playwright.sync_api import expect

import buffycoat
from buffycoat.separation.rules import PLASMA, RED_CELLS
from buffycoat.shell.guidance import GUIDANCE
from buffycoat.shell.pictures.steps import DRAWINGS, drawing
from tests.harness.browser import accessibility_faults
from tests.pages import client, text, walk

__all__ = ["client", "walk"]
SENTENCE = re.compile(r"[A-Z][^.!?]*[^.!? ][.]")
SOURCES = {
    path.as_posix().partition("/templates/")[2]: path.read_text()
    for path in Path(buffycoat.__file__).parent.rglob("templates/*/*.html")
}


def is_a_bench_page(name):
    extends = re.match(r'\{% extends "(.+?)" %\}', SOURCES[name])
    return bool(extends) and (extends[1] == "shell/bench.html" or is_a_bench_page(extends[1]))


def bench_pages():
    extended = {
        match[1] for source in SOURCES.values() if (match := re.match(r'\{% extends "(.+?)" %\}', source))
    }
    return sorted(name for name in SOURCES if is_a_bench_page(name) and name not in extended)


@pytest.mark.parametrize("step", GUIDANCE)
def test_how_and_why_are_one_sentence_each_with_a_drawing_and_its_words(step):
    guidance = GUIDANCE[step]
    assert SENTENCE.fullmatch(guidance.how)
    assert SENTENCE.fullmatch(guidance.why)
    assert SENTENCE.fullmatch(guidance.alt)
    assert guidance.source
    assert guidance.drawing in DRAWINGS


@pytest.mark.parametrize("words", ["no capital.", "Two. Sentences.", "No end", "Asked?", ""])
def test_two_sentences_or_none_are_found(words):
    assert not SENTENCE.fullmatch(words)


def test_every_bench_page_has_its_guidance_and_none_is_left_over():
    asked = {name: re.findall(r'\{% guide "([\w-]+)" %\}', SOURCES[name]) for name in bench_pages()}
    assert [] == [name for name, steps in asked.items() if len(steps) != 1]
    assert set(GUIDANCE) == {step for steps in asked.values() for step in steps}
    assert len(asked) >= 25


@pytest.mark.parametrize("name", DRAWINGS)
def test_a_drawing_carries_its_words_and_no_style_of_its_own(name):
    svg = drawing(name, "A bag & a <scale>.")
    assert 'role="img" aria-label="A bag &amp; a &lt;scale&gt;."' in svg
    assert "style=" not in svg
    assert "fill=" not in svg


def test_every_class_of_a_drawing_has_its_look():
    css = (Path(buffycoat.__file__).parent / "shell/static/shell/pictures.css").read_text()
    used = {kind for name in DRAWINGS for kind in re.findall(r'class="(step-[\w-]+)"', drawing(name, ""))}
    assert set() == {kind for kind in used if f".{kind} " not in css}


def the_steps(walk):
    """A bag standing before each step, and the page where the step is done."""
    spun, pressed, whole = walk.spun(), walk.expressed(), walk.labelled("cat")
    donor, drawn, running = walk.a_donor(), walk.drawn(), walk.draw_started()
    separated, weighed, spin = walk.separated(), walk.weighed(), walk.in_spin(walk.drawn())
    unit = walk.units(whole)[PLASMA]
    return {
        f"/donors/{donor}/examine/": "donor-examine",
        f"/donors/{donor}/type/": "donor-type",
        "/draws/new/": "draw-donor",
        f"/draws/new/?donor={donor}": "draw-lot",
        f"/draws/new/?donor={donor}&lot={walk.a_lot()}": "draw-tare",
        f"/draws/new/?donor={donor}&lot={walk.a_lot()}&tare_g=260": "draw-volume",
        f"/draws/{running}/finish/": "draw-running",
        f"/draws/{drawn}/finish/": "draw-result",
        f"/draws/{drawn}/discard/": "draw-discard",
        "/spins/new/": "spin-programme",
        f"/spins/new/?rotor={walk.a_rotor()}&programme=Hard+dog": "spin-plan",
        f"/spins/{spin}/finish/": "spin-finish",
        f"/separation/{spun}/express/": "separation-express",
        f"/separation/{drawn}/keep-whole/": "separation-keep-whole",
        f"/separation/{pressed}/additive/": "separation-additive",
        f"/separation/{pressed}/clots/": "separation-clots",
        f"/separation/{pressed}/segments/": "separation-segments",
        f"/separation/{separated}/weigh/{RED_CELLS}/": "separation-weigh",
        f"/labels/{weighed}/{RED_CELLS}/": "label-print",
        "/put-away/": "put-away-find",
        f"/put-away/?unit={unit}": "put-away",
        f"/units/{unit}/discard/": "unit-discard",
        "/catch-up/": "catch-up",
        f"/undo/{unit}/": "undo",
    }


def test_each_page_shows_the_guidance_of_its_step(client, walk):
    for path, step in the_steps(walk).items():
        page = client.get(path)
        html = unescape(page.content.decode())
        assert "shell/bench.html" in {template.name for template in page.templates}, path
        assert GUIDANCE[step].how in html, path
        assert GUIDANCE[step].why in html, path
        assert f'role="img" aria-label="{GUIDANCE[step].alt}"' in html, path
        assert 1 == html.count('<details class="guide" open>'), path


def test_who_knows_the_work_folds_it_away_and_the_next_person_still_sees_it(client, django_user_model):
    client.post("/look/", {"guide": "off", "back": "/put-away/"})
    assert b'<details class="guide">' in client.get("/put-away/").content
    assert "Open on every page" in text(client.get("/put-away/"))
    client.force_login(django_user_model.objects.create_user("kim"))
    assert b'<details class="guide" open>' in client.get("/put-away/").content


@pytest.mark.one_database
def test_guidance_is_folded_by_keys_alone_and_nothing_moves_the_main_button(bank, browser_page):
    bank.sign_in(browser_page)
    for width, height in ((1024, 768), (1440, 900)):
        browser_page.set_viewport_size({"width": width, "height": height})
        browser_page.goto(f"{bank.base_url}/put-away/")
        before = browser_page.locator(".main-button").bounding_box()
        for theme in ("light", "dim"):
            browser_page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
            assert [] == accessibility_faults(browser_page)
        browser_page.locator(".guide summary").focus()
        browser_page.keyboard.press("Enter")
        expect(browser_page.locator(".guide-how")).to_be_hidden()
        assert before == browser_page.locator(".main-button").bounding_box()
    browser_page.keyboard.press("Enter")
    browser_page.keyboard.press("Tab")
    browser_page.keyboard.press("Enter")
    expect(browser_page.locator(".guide:not([open])")).to_be_visible()
    expect(browser_page.locator(".guide-how")).to_be_hidden()
