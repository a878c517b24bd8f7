"""The page that stands open: a strip says that the sign-in ends, any key goes on, and the lock keeps what was typed."""

import re

import pytest
from playwright.sync_api import Page, Route, expect

from buffycoat.science.numbering import make_code
from tests.harness.browser import accessibility_faults
from tests.harness.server import Bank
from tests.scanner import scan

pytestmark = pytest.mark.one_database
STRIP, LOCK = "[data-idle]", "[data-lock]"


class StillHere:
    """What the server says about the time left, until a page says that somebody is there."""

    def __init__(self, page: Page, left_s: int) -> None:
        self.left_s, self.said = left_s, 0
        page.route("**/still-here/", self._answer)

    def _answer(self, route: Route) -> None:
        if route.request.method == "POST":
            self.left_s, self.said = 1800, self.said + 1
        route.fulfill(json={"left_s": self.left_s})


def test_before_the_end_a_strip_counts_down_and_a_key_or_its_button_goes_on(
    bank: Bank, browser_page: Page
) -> None:
    browser_page.clock.install()
    bank.sign_in(browser_page)
    browser_page.goto(f"{bank.base_url}/places/new/")
    browser_page.locator("input[name=name]").fill("Typed before")
    strip = browser_page.locator(STRIP)
    server = StillHere(browser_page, left_s=45)
    for go_on in (
        lambda: browser_page.keyboard.press("Shift"),
        lambda: browser_page.get_by_role("button", name="I am still here").click(),
    ):
        server.left_s = 45
        expect(strip).to_be_hidden()
        browser_page.clock.fast_forward("29:30")
        expect(strip).to_be_visible()
        expect(strip).to_contain_text("You are soon signed out")
        expect(strip).to_contain_text(re.compile(r"In \d\d s\."))
        assert [] == accessibility_faults(browser_page)
        before = server.said
        go_on()
        expect(strip).to_be_hidden()
        assert server.said > before
    expect(browser_page.locator("input[name=name]")).to_have_value("Typed before")


def test_behind_the_lock_stays_what_was_typed_and_is_sent_once_its_person_is_back(
    bank: Bank, browser_page: Page
) -> None:
    browser_page.clock.install()
    bank.sign_in(browser_page)
    browser_page.goto(f"{bank.base_url}/places/new/")
    browser_page.locator("input[name=name]").fill("Typed before")
    browser_page.get_by_text("Fridge", exact=True).click()
    end_it_from_elsewhere(bank, browser_page)
    browser_page.clock.fast_forward("30:00")
    lock = browser_page.locator(LOCK)
    expect(lock).to_be_visible()
    expect(lock).to_contain_text(f"{bank.name}, sign in again")
    expect(lock.get_by_label("Your password")).to_be_focused()
    assert [] == accessibility_faults(browser_page)
    browser_page.keyboard.press("Escape")
    scan(browser_page, make_code("P", "HAVN", 1))
    expect(browser_page.locator("[data-scan-strip]")).to_have_text(re.compile("This page is locked"))
    browser_page.clock.fast_forward(5_000)  # two codes at once would be a clash
    lock.get_by_role("button").focus()
    scan(browser_page, make_code("H", "HAVN", 1))  # the badge of the first person
    expect(lock.get_by_label("Your password")).to_be_focused()
    lock.get_by_label("Your password").fill("a-guess")
    browser_page.keyboard.press("Enter")
    expect(lock).to_contain_text("This was not right: try again.")
    lock.get_by_label("Your password").fill(bank.password)
    browser_page.keyboard.press("Enter")
    expect(lock).to_be_hidden()
    expect(browser_page.locator("input[name=name]")).to_have_value("Typed before")
    browser_page.get_by_role("button", name="Open it").click()
    browser_page.wait_for_url("**/places/P*/")
    expect(browser_page.locator("main")).to_contain_text("Typed before")


def end_it_from_elsewhere(bank: Bank, page: Page) -> None:
    """As its person would, at another device."""
    assert page.context.browser
    other = page.context.browser.new_context()
    elsewhere = other.new_page()
    bank.sign_in(elsewhere)
    elsewhere.goto(f"{bank.base_url}/me/sign-ins/")
    rows = elsewhere.locator("tbody tr")
    expect(rows).to_have_count(2)
    rows.filter(has_not_text="(this one)").get_by_role("button").click()
    expect(rows).to_have_count(1)
    other.close()
