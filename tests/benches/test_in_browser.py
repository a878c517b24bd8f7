"""The whole chain, in a real browser: terminal, scale program, server, page; and the page where a bench is set up."""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from buffycoat.benches.keyboard import CARD
from tests.benches.scales import Terminal, scale_program, terminal, wait_for
from tests.harness.browser import accessibility_faults
from tests.harness.server import Bank

HOLD_MS = 500
LONG_MS = 60_000  # for an event; how long it takes is no part of any test
NOT_BY_ITSELF_MS = 4 * HOLD_MS
KEYS = """keys => { for (const key of keys) (document.activeElement ?? document.body).dispatchEvent(
    new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true })) }"""

expect.set_options(timeout=LONG_MS)
pytestmark = pytest.mark.one_database


def still(g: float) -> str:
    return f"ST,GS,+{g:8.1f} g"


def moving(g: float) -> str:
    return f"US,GS,+{g:8.1f} g"


def set_up(page: Page, bank: Bank, scale: str) -> None:
    bank.sign_in(page)
    page.goto(f"{bank.base_url}/limits/scale_hold_ms/")
    page.locator("[name=value]").fill(str(HOLD_MS))
    page.locator("[name=reason]").fill("A test does not wait long")
    page.locator("main .button-main").click()
    page.goto(f"{bank.base_url}/bench/")
    page.locator("[name=name]").fill("Window bench")
    page.locator(f"[name=scale][value={scale}]").check()
    page.locator("main .button-main").click()
    expect(page.locator(".say-back")).to_contain_text("Window bench is set up")


@pytest.fixture
def at_the_scale(demo_bank: Bank, browser_page: Page, tmp_path: Path) -> Iterator[Terminal]:
    """A bench with a scale at the end of a cable, read by the scale program."""
    set_up(browser_page, demo_bank, "process")
    browser_page.locator("form[action='/bench/key/'] button").click()
    key = browser_page.locator("code.key").inner_text()
    with terminal(tmp_path, still(0)) as scale, scale_program(demo_bank, key, str(scale.path)):
        yield scale


def words(page: Page, said: str) -> None:
    expect(page.locator("[data-scale-words]")).to_contain_text(said)


def not_taken(page: Page) -> None:
    """Much longer than a weight inside the window would have waited."""
    address = page.url
    page.wait_for_timeout(NOT_BY_ITSELF_MS)
    assert address == page.url
    assert 0 == page.locator("main .problems").count()  # nor was it sent and refused
    assert "taken" != page.locator("[data-scale]").get_attribute("data-state")


def entries(bank: Bank, kind: str) -> list[dict]:
    lines = map(json.loads, bank.cli("journal").splitlines())
    return [line["fields"] for line in lines if kind == line["kind"]]


def go_to(page: Page, bank: Bank, step: str) -> None:
    """The first donation whose next step is that."""
    page.goto(f"{bank.base_url}/separation/")
    links = [link.get_attribute("href") or "" for link in page.locator("main a").all()]
    for donation in dict.fromkeys(re.findall(r"/donations/(G\w+)/", " ".join(links))):
        page.goto(f"{bank.base_url}/donations/{donation}/next/")
        if step in page.url:
            return
    raise AssertionError(f"no donation of the demo is at {step}: {links}")


def test_plasma_is_pressed_and_weighed_with_the_scale(
    demo_bank: Bank, browser_page: Page, at_the_scale: Terminal
) -> None:
    page, scale = browser_page, at_the_scale
    go_to(page, demo_bank, "/express/")
    stop_g = int(page.locator("[data-scale-stop]").inner_text())
    page.keyboard.press("Shift")  # a browser gives no sound before a key
    tone = page.locator("html")
    words(page, "Not there yet.")
    expect(tone).to_have_attribute("data-tone-now", "none")
    scale.line = moving(stop_g - 10)
    words(page, "Nearly there")
    expect(page.locator("[data-scale-number]")).to_have_text(str(stop_g - 10))
    expect(tone).to_have_attribute("data-tone-now", "beeps")
    page.locator("[data-main]").click()
    expect(page.locator("[data-scan-strip]")).to_contain_text("Wait until the number stands still")
    scale.line = still(stop_g)
    words(page, "Stop now: clamp.")
    expect(tone).to_have_attribute("data-tone-now", "held")
    expect(page.locator("[name=plasma_g]")).to_have_value(str(stop_g))
    faults = accessibility_faults(page)
    not_taken(page)  # a full bag and one that fills slowly look the same to a scale
    page.locator("[data-main]").click()
    expect(page.locator("h1")).not_to_contain_text("How much plasma")
    plasma = entries(demo_bank, "plasma-expressed")[-1]
    assert stop_g == plasma["plasma_g"]
    assert plasma["scale"].startswith(f"Window bench: {still(stop_g)} (still, ")
    _to_the_weighing(page)

    expect(page.locator("h1")).to_contain_text("What does the bag of plasma weigh?")
    expected_g = int(page.locator(".key-number.target .key-value").inner_text().split()[0])
    page.reload()
    scale.line = still(expected_g + 100)
    words(page, "over what is expected")
    not_taken(page)
    scale.line = moving(expected_g)
    words(page, "Wait until it stands still.")
    not_taken(page)
    scale.line = still(expected_g + 1)
    expect(page.locator("h1")).not_to_contain_text("plasma")
    weighed = entries(demo_bank, "product-weighed")[-1]
    assert expected_g + 1 == weighed["gross_g"]
    assert still(expected_g + 1) in weighed["scale"]

    red_cells_g = int(page.locator(".key-number.target .key-value").inner_text().split()[0])
    page.locator("[name=gross_g]").fill(str(red_cells_g))
    scale.line = still(red_cells_g)
    words(page, "Typed by hand")
    not_taken(page)
    page.locator("[data-main]").click()
    expect(page.locator("h1")).not_to_contain_text("What does the bag")
    assert "" == entries(demo_bank, "product-weighed")[-1]["scale"]
    assert [] == faults


def _to_the_weighing(page: Page) -> None:
    for name, value in (("outcome", "ran-in"), ("clots", "none"), ("segments", "4")):
        if not page.locator(f"main [name={name}]").count():
            continue
        tile = page.locator(f"main [name={name}][value='{value}']")
        if tile.count():
            tile.check()
        else:
            page.locator(f"main [name={name}]").fill(value)
        address = page.url
        page.locator("[data-main]").click()
        page.wait_for_url(lambda url, before=address: url != before)


def test_what_lay_there_before_the_page_came_is_not_taken_and_an_unplugged_scale_is_told(
    demo_bank: Bank, browser_page: Page, at_the_scale: Terminal
) -> None:
    page, scale = browser_page, at_the_scale
    go_to(page, demo_bank, "/spins/new/")
    page.locator("main [name=programme]").first.check()
    page.locator("[data-main]").click()
    expect(page.locator("h1")).to_contain_text("What does this bag weigh")
    middle = (int(page.locator("[data-scale]").get_attribute("data-least") or 0)) + 5
    address = page.url
    page.goto("about:blank")
    scale.line = still(middle)
    wait_for(lambda: page.request.get(f"{demo_bank.base_url}/bench/scale/").json()["g"] == middle)
    page.goto(address)
    words(page, "It lay there before")
    not_taken(page)
    scale.unplug()
    words(page, "The scale is not answering")
    words(page, "Since ")
    expect(page.locator("[name=mass_g]")).to_have_value("")
    scale.line = still(middle)
    scale.plug_in()
    words(page, "It lay there before")


def test_a_bench_is_set_up_by_card_and_test_scan(demo_bank: Bank, browser_page: Page) -> None:
    page = browser_page
    set_up(page, demo_bank, "keyboard")
    for _ in range(3):
        page.locator("[aria-label='Much wider']").click()
    page.locator("h1").click()
    page.keyboard.press("+")
    expect(page.locator("[name=px_per_100_mm]")).to_have_value(str(round((320 + 61) / 0.856)))
    german = CARD.translate(str.maketrans("YZ", "ZY"))
    page.locator("[data-listen]").click()
    page.evaluate(KEYS, ["F9", *"]C0", *german, "Enter"])
    expect(page.locator("[data-heard]")).to_contain_text("Y and Z are exchanged")
    page.locator("[data-listen]").click()
    page.evaluate(KEYS, ["F9", *"]C0", *CARD, "Enter"])
    expect(page.locator("[name=scanner]")).to_have_value("prefix found; identifier found (]C0)")
    page.locator("[name=px_per_100_mm]").fill("700")
    page.locator("main .button-main").click()
    expect(page.locator(".say-back")).to_contain_text("is set up")
    go_to(page, demo_bank, "/express/")
    button = page.locator("[data-main]").bounding_box()
    assert button
    assert button["height"] >= 20 * 7
    page.evaluate(KEYS, [*"  231.4 oz", "Enter"])
    expect(page.locator("[data-scan-strip]")).to_contain_text("Set the scale to g")
    expect(page.locator("[name=plasma_g]")).to_have_value("")
    page.locator("[name=plasma_g]").focus()
    page.evaluate(KEYS, [*"  190.4 g", "Enter"])
    expect(page.locator("[name=plasma_g]")).to_have_value("190")
    page.locator("[data-main]").click()
    expect(page.locator("h1")).not_to_contain_text("How much plasma")
    assert "typed by the scale: 190.4 g" == entries(demo_bank, "plasma-expressed")[-1]["scale"]


def test_the_pages_of_a_bench_stay_usable_at_twice_the_size_and_by_keyboard(
    demo_bank: Bank, browser_page: Page, at_the_scale: Terminal
) -> None:
    page = browser_page
    page.set_viewport_size({"width": 640, "height": 400})  # 1280 × 800 at 200 %
    faults = []
    for path in ("bench", "express"):
        page.goto(f"{demo_bank.base_url}/bench/") if path == "bench" else go_to(page, demo_bank, "/express/")
        for theme in ("light", "dim"):
            page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
            faults += [(path, theme, fault) for fault in accessibility_faults(page)]
        assert page.evaluate("document.documentElement.scrollWidth") <= 640, path
    words(page, "Not there yet.")
    page.locator("[name=plasma_g]").focus()
    page.keyboard.type("190")
    page.keyboard.press("Enter")
    expect(page.locator("h1")).not_to_contain_text("How much plasma")
    assert [] == faults
