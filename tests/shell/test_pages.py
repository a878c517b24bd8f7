"""The base page, its two kinds and their parts, rendered by the real program."""

import re
from pathlib import Path

import pytest

from buffycoat.shell.pictures import shapes

pytestmark = pytest.mark.one_database

CSS = Path(__file__).parents[2] / "src" / "buffycoat" / "shell" / "static" / "shell"


def test_a_bench_page_has_one_heading_one_main_button_and_what_is_in_hand(gallery):
    html = gallery.get("/weigh/").content.decode()
    assert 1 == html.count("<h1")
    assert 1 == html.count('class="main-button"')
    assert 'form="answer"' in html
    assert "Bramble (invented)" in html


def test_every_page_has_the_scan_box_the_person_and_help(gallery):
    for path in ("/weigh/", "/today/"):
        html = gallery.get(path).content.decode()
        assert 'action="/scan/"' in html
        assert "Ines Okafor" in html
        assert 'href="/help/"' in html
        assert 'href="#main"' in html


def test_a_refused_page_says_so_in_its_title_and_keeps_what_was_typed(gallery):
    html = gallery.get("/weigh/?wrong").content.decode()
    assert "<title>Error: Weigh the plasma" in html
    assert 'value="23l g"' in html
    assert 2 == html.count("“23l g” has the letter l in it. Type figures only. For example: 231.")


def test_the_summary_leads_to_the_field_at_fault(gallery):
    html = gallery.get("/today/?wrong").content.decode()
    targets = re.findall(r'<a href="#(id_\w+)">', html)
    assert ["id_name", "id_born_on", "id_species", "id_weight_g", "id_pcv_permille"] == targets
    assert all(f'id="{target}"' in html for target in targets)


def test_a_field_at_fault_says_why_to_those_who_hear_it(gallery):
    html = gallery.get("/weigh/?wrong").content.decode()
    box = re.search(r"<input[^>]*name=\"plasma_g\"[^>]*>", html)[0]
    assert 'aria-describedby="id_plasma_g_helptext id_plasma_g_error"' in box
    assert 'aria-invalid="true"' in box


def test_a_good_page_has_no_error_in_its_title(gallery):
    assert "<title>Weigh the plasma" in gallery.get("/weigh/").content.decode()


def test_the_theme_is_kept_on_the_device(gallery):
    answer = gallery.post("/look/", {"theme": "dim", "back": "/weigh/"})
    assert (302, "/weigh/") == (answer.status_code, answer["location"])
    assert 'data-theme="dim"' in gallery.get("/weigh/").content.decode()


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)"])
def test_the_theme_switch_leads_nowhere_else(gallery, back):
    assert "/" == gallery.post("/look/", {"theme": "dim", "back": back})["location"]


def test_an_unknown_theme_is_not_kept(gallery):
    gallery.post("/look/", {"theme": "neon"})
    gallery.cookies["sounds"] = "loud"
    html = gallery.get("/weigh/").content.decode()
    assert 'data-theme="light"' in html
    assert 'data-sounds="on"' in html


def test_a_printed_page_says_who_printed_it_and_that_it_ages(gallery):
    html = gallery.get("/stock/").content.decode()
    assert re.search(r"printed \d+ \w+ \d{4}, \d\d:\d\d \(UTC\) by Ines Okafor · may be out of date", html)


def tokens(theme: str) -> dict[str, str]:
    text = (CSS / "tokens.css").read_text()
    light, dim = text.split(':root[data-theme="dim"]')
    found = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", light))
    return found | (dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", dim)) if theme == "dim" else {})


def contrast(one: str, other: str) -> float:
    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("theme", ["light", "dim"])
def test_text_contrasts_seven_to_one_in_both_themes(theme):
    of = tokens(theme)
    pairs = [
        (text, ground) for text in ("ink", "ink-soft") for ground in ("paper", "sheet", "band", "chosen")
    ]
    pairs += [("deed", "paper"), ("deed", "sheet"), ("deed-ink", "deed"), ("caution-ink", "caution")]
    pairs += [("wrong", "paper"), ("wrong", "sheet"), ("wrong", "wrong-sheet"), ("ink", "wrong-sheet")]
    assert [] == [(pair, round(ratio, 1)) for pair in pairs if (ratio := contrast(*map(of.get, pair))) < 7]


@pytest.mark.parametrize("theme", ["light", "dim"])
def test_edges_of_boxes_can_be_seen_in_both_themes(theme):
    of = tokens(theme)
    assert all(contrast(of["edge"], of[ground]) >= 3 for ground in ("paper", "sheet", "band"))


def test_words_on_status_chips_can_be_read_and_none_is_green():
    rules = re.findall(
        r"\.chip-([\w-]+) \{ background: (#\w+); color: (#\w+)", (CSS / "shell.css").read_text()
    )
    assert set(shapes.WORDS) == {status for status, _, _ in rules}

    def full(colour: str) -> str:
        return colour if len(colour) == 7 else "#" + "".join(2 * letter for letter in colour[1:])

    for status, ground, ink in rules:
        assert contrast(full(ground), full(ink)) >= 5.5, status
        red, green, blue = (int(full(ground)[i : i + 2], 16) for i in (1, 3, 5))
        assert not (green > red + 20 and green > blue + 20), status


def test_all_scripts_together_stay_small():
    scripts = [*CSS.parents[3].rglob("*.js")]
    assert CSS / "scan.js" in scripts
    assert sum(path.stat().st_size for path in scripts) <= 40_000


def test_every_colour_of_the_page_is_a_token():
    page = re.sub(r"/\*.*?\*/", "", (CSS / "shell.css").read_text(), flags=re.S)
    outside_chips = [rule for rule in page.split("}") if ".chip" not in rule]
    assert [] == re.findall(r"#[0-9a-f]{3,6}\b", "}".join(outside_chips))
