"""Each check of a page finds what it is there to find: the same page, with one thing spoilt."""

from types import SimpleNamespace
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Error, Page

from tests.harness.browser import FLAGS, Faults, find_browser
from tests.harness.server import Bank
from tests.looking import (
    FIRST_VISIT_BYTES,
    badly_served,
    cut_at_200_percent,
    lost_in_forced_colours,
    moving_though_asked_not_to,
    note_shifts,
    shifts,
    too_heavy,
    weight,
)

pytestmark = pytest.mark.one_database

POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; "
    "form-action 'self'"
)
SPOILT = [
    (cut_at_200_percent, ".question", "width: 700px", "scrolls sideways"),
    (cut_at_200_percent, ".question", "margin-left: -30px", "outside: h1.question Who gives today?"),
    (cut_at_200_percent, ".question", "height: 9px; overflow: hidden", "cut: h1.question Who gives today?"),
    (
        lost_in_forced_colours,
        ".question",
        "forced-color-adjust: none; color: #aaa; background: #ccc",
        "unreadable: Who",
    ),
    (lost_in_forced_colours, ".main-button", "border: 0", "without an edge: "),
    (lost_in_forced_colours, ".skip", "outline: none", "focus not seen: a.skip"),
    (moving_though_asked_not_to, ".question", "transition: color 1s", "moves: h1"),
    (moving_though_asked_not_to, ".question", "animation: turn 1s infinite", "moves: h1"),
]


@pytest.fixture
def start_of_a_draw(demo_bank: Bank, browser_page: Page) -> Page:
    note_shifts(browser_page)
    demo_bank.sign_in(browser_page)
    browser_page.goto(f"{demo_bank.base_url}/draws/new/")
    return browser_page


def spoil(page: Page, what: str, style: str) -> None:
    rules = [rule.split(": ", 1) for rule in style.split("; ")]
    page.evaluate(
        """([what, rules]) => rules.forEach(([name, value]) =>
            document.querySelector(what).style.setProperty(name, value, "important"))""",
        [what, rules],
    )


def test_every_fault_that_is_planted_is_found_and_nothing_before(start_of_a_draw: Page) -> None:
    for look, what, style, fault in SPOILT:
        assert [] == look(start_of_a_draw)
        spoil(start_of_a_draw, what, style)
        found = look(start_of_a_draw)
        assert any(fault in each for each in found), (style, found)
        start_of_a_draw.reload()


def test_words_of_a_picture_that_vanish_in_forced_colours_are_found(start_of_a_draw: Page) -> None:
    draw_words = """fill => {
        const drawing = document.querySelector(".question").appendChild(document.createElement("span"));
        drawing.innerHTML = `<svg width="99" height="40"><rect width="99" height="40" fill="#333"/>
            <text x="9" y="25" fill="${fill}">in hand</text></svg>`; }"""
    start_of_a_draw.evaluate(draw_words, "#fff")
    assert [] == lost_in_forced_colours(start_of_a_draw)
    start_of_a_draw.evaluate(draw_words, "#555")
    assert ["light: unreadable: in hand", "dark: unreadable: in hand"] == lost_in_forced_colours(
        start_of_a_draw
    )


def test_a_main_button_that_moves_is_noticed(start_of_a_draw: Page) -> None:
    assert [] == shifts(start_of_a_draw)
    spoil(start_of_a_draw, ".hand-rest", "bottom: 60px")
    assert any("moved by" in each for each in shifts(start_of_a_draw))


def test_a_first_visit_is_light_and_the_next_much_lighter(demo_bank: Bank, browser_page: Page) -> None:
    browser_page.goto(f"{demo_bank.base_url}/sign-in/")
    first = weight(browser_page)["page"]
    assert 30_000 < first <= FIRST_VISIT_BYTES
    assert [f"page: {first} bytes"] == too_heavy(browser_page)
    browser_page.goto(f"{demo_bank.base_url}/sign-in/")
    assert [] == too_heavy(browser_page)
    scripts = weight(browser_page)["scripts"]
    assert [f"scripts: {scripts} bytes"] == too_heavy(browser_page, script_bytes=scripts - 1)


@pytest.mark.parametrize(
    ("policy", "html", "faults"),
    [
        (POLICY, '<script src="/a.js"></script><p class="on">', 0),
        (POLICY.replace("default-src 'self'", "default-src 'self' 'unsafe-inline'"), "", 1),
        ("", "", 1),
        (POLICY, "<script>1</script>", 1),
        (POLICY, "<style>p { color: red }</style>", 1),
        (POLICY, '<p style="color: red">', 1),
        (POLICY, '<button class="a" onclick="go()">', 1),
    ],
)
def test_a_loose_policy_and_anything_inline_are_found(policy: str, html: str, faults: int) -> None:
    answer = SimpleNamespace(headers={"content-security-policy": policy}, text=lambda: html)
    assert faults == len(badly_served(answer))


def test_a_request_that_would_leave_this_computer_is_a_fault(browser: Browser) -> None:
    faults, page = Faults(), browser.new_page()
    faults.watch(page)
    page.evaluate("fetch('http://elsewhere.invalid/').catch(() => 0)")
    page.close()
    assert "left this computer: http://elsewhere.invalid/" == faults.seen[0]


def test_the_browser_of_the_tests_reaches_this_computer_by_no_other_name(
    demo_bank: Bank, browser: Browser
) -> None:
    """The name leads here in any browser that may look names up; ours may not."""
    elsewhere = f"http://elsewhere.localhost:{urlsplit(demo_bank.base_url).port}/sign-in/"
    page = browser.new_page()
    with pytest.raises(Error, match="ERR_NAME_NOT_RESOLVED"):
        page.goto(elsewhere)
    page.close()
    free = [flag for flag in FLAGS if not flag.startswith("--host-resolver-rules")]
    other = browser.browser_type.launch(executable_path=find_browser(), args=free)
    answer = other.new_page().goto(elsewhere)
    other.close()
    assert answer
    assert 400 == answer.status  # a name that the bank does not go by
