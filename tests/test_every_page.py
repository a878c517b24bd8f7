"""Every page that can be reached from the first one: it answers, and everyone can use it, in both themes."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, Response

from tests.harness.browser import accessibility_faults
from tests.harness.server import Bank
from tests.looking import (
    badly_served,
    cut_at_200_percent,
    lost_in_forced_colours,
    moving_though_asked_not_to,
    note_shifts,
    shifts,
    too_heavy,
)

PAGES_AT_LEAST = 35


def kind_of(path: str) -> str:
    """Pages of one kind differ by a code, a number or what was asked; one of each kind is looked at."""
    path = re.sub(r"[A-Z][A-Z]{4}\d{9}", "CODE", re.split(r"[?#]", path)[0])
    path = re.sub(r"/limits/\w+/", "/limits/KEY/", path)
    path = re.sub(r"/calculator/[\w-]+/", "/calculator/NAME/", path)
    return re.sub(r"/\d+/", "/NUMBER/", path)


FILES = (".pdf", ".csv", ".xlsx")


def pages(page: Page, bank: Bank) -> Iterator[tuple[str, Response]]:
    """One address of each kind, nearest to the first page first, as it was answered; the browser stands on it."""
    waiting, seen = ["/"], {"/", "/scan/"}
    while waiting:
        path = waiting.pop(0)
        answer = page.goto(bank.base_url + path)
        assert answer
        assert 200 == answer.status, path
        yield path, answer
        for link in page.locator("a[href^='/'], form[method=get][action^='/']").all():
            target = str(link.get_attribute("href") or link.get_attribute("action"))
            if not target.endswith(FILES) and kind_of(target) not in seen and "/next/" not in target:
                seen.add(kind_of(target))
                waiting.append(target.partition("#")[0])


@pytest.mark.one_database
def test_every_page_answers_and_everyone_can_use_it(demo_bank: Bank, browser_page: Page) -> None:
    note_shifts(browser_page)
    demo_bank.sign_in(browser_page)
    faults, looked_at = [], 0
    for path, answer in pages(browser_page, demo_bank):
        looked_at += 1
        found = [*badly_served(answer), *too_heavy(browser_page), *shifts(browser_page)]
        found += cut_at_200_percent(browser_page)
        found += lost_in_forced_colours(browser_page)
        found += moving_though_asked_not_to(browser_page)
        faults += [(path, "", fault) for fault in found]
        for theme in ("light", "dim"):
            browser_page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
            faults += [
                (path, theme, fault)
                for fault in accessibility_faults(browser_page, colours_only=theme == "dim")
            ]
        width = browser_page.evaluate("document.documentElement.scrollWidth")
        if width > 1280:
            faults.append((path, "", f"wider than the tablet: {width} px"))
    assert [] == faults
    assert looked_at >= PAGES_AT_LEAST
