"""The Problem card, with a bag in hand: what is wrong is said with scans alone, and the job goes on where it was."""

import re

import pytest
from playwright.sync_api import Page, expect

from buffycoat.science.numbering import make_code
from buffycoat.shell.command_cards import CARDS
from tests.harness.server import Bank
from tests.scanner import scan

BETWEEN_MS = 400  # two codes closer than 300 ms are a clash


def card(site: str, command: str) -> str:
    return make_code("C", site, next(each.serial for each in CARDS if each.command == command))


@pytest.mark.one_database
def test_a_problem_is_reported_by_cards_and_the_bag_is_still_in_hand(
    demo_bank: Bank, browser_page: Page
) -> None:
    page = browser_page
    demo_bank.sign_in(page)
    page.goto(f"{demo_bank.base_url}/")
    page.get_by_role("link", name="Press off the plasma").first.click()
    expect(page.locator("h1")).to_contain_text("plasma")
    job, donation = page.url, re.search(r"/G([A-Z]{4})\d{9}/", page.url)
    assert donation, job
    site = donation[1]
    for command, then in (("problem", "What is wrong with it?"), ("answer-1", "What is wrong with it?")):
        scan(page, card(site, command))
        expect(page.locator("h1")).to_have_text(then)
        page.wait_for_timeout(BETWEEN_MS)
    expect(page.locator("[data-scan-strip]")).to_have_text("Answer 1: Leak")
    scan(page, card(site, "answer-0"))
    expect(page.locator("[data-scan-strip]")).to_have_text("Answer 0: Something else")
    page.wait_for_timeout(BETWEEN_MS)
    scan(page, card(site, "answer-2"))
    expect(page.locator("[data-scan-strip]")).to_have_text("Answer 2: Clot or fibrin")
    page.wait_for_timeout(BETWEEN_MS)
    scan(page, card(site, "next"))
    expect(page.locator("main .say-back")).to_contain_text("Clot or fibrin. It waits until that is settled.")
    assert job == page.url
