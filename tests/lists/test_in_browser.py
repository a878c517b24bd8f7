"""A list goes from a file on the tablet into the book, and everyone can use each page on the way."""

import pytest
from playwright.sync_api import Page

from tests.harness.browser import accessibility_faults
from tests.harness.server import Bank
from tests.lists.sheets import PLAIN, workbook
from tests.looking import cut_at_200_percent, lost_in_forced_colours, too_heavy

ODD = PLAIN + "D-20,Odd,fish,F,03/04/2021,,,,,,,,,\n"


def faults(page: Page) -> list[object]:
    found = [*too_heavy(page), *cut_at_200_percent(page), *lost_in_forced_colours(page)]
    for theme in ("light", "dim"):
        page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
        found += accessibility_faults(page)
    if (width := page.evaluate("document.documentElement.scrollWidth")) > 1280:
        found.append(f"wider than the tablet: {width} px")
    return [(page.url, fault) for fault in found]


@pytest.mark.one_database
def test_a_list_comes_from_the_tablet_into_the_book(bank: Bank, browser_page: Page) -> None:
    page, found = browser_page, []
    bank.sign_in(page)
    page.goto(f"{bank.base_url}/lists/")
    found += faults(page)
    page.get_by_text("each row one animal").click()
    sent = {"name": "donors.csv", "mimeType": "text/csv", "buffer": ODD.encode()}
    page.get_by_label("The list").set_input_files(sent)
    page.get_by_role("button", name="Read this list").click()
    page.wait_for_url("**/lists/1/")
    found += faults(page)
    assert "Date of birth" == page.get_by_label("Born").input_value()
    page.get_by_role("button", name="Show every row").click()
    page.wait_for_url("**/lists/1/rows/")
    found += faults(page)
    page.get_by_role("button", name="Bring in 3 rows").click()
    assert page.get_by_text("Rows brought in: 3.").is_visible()
    found += faults(page)
    with page.expect_download() as download:
        page.get_by_role("link", name="Refused rows (CSV)").click()
    assert "refused.csv" == download.value.suggested_filename
    page.get_by_role("button", name="Throw this list away").click()
    assert page.get_by_text("The list is thrown away here.").is_visible()
    page.goto(f"{bank.base_url}/donors/")
    assert page.get_by_role("link", name="Bramble").is_visible()
    assert [] == found


@pytest.mark.one_database
def test_a_file_that_is_no_list_is_told_on_the_page(bank: Bank, browser_page: Page) -> None:
    bank.sign_in(browser_page)
    browser_page.goto(f"{bank.base_url}/lists/")
    browser_page.get_by_text("each row one animal").click()
    cut = {"name": "donors.xlsx", "mimeType": "application/octet-stream", "buffer": workbook()[:-100]}
    browser_page.get_by_label("The list").set_input_files(cut)
    browser_page.get_by_role("button", name="Read this list").click()
    assert browser_page.get_by_role("alert").get_by_text("The workbook is damaged").is_visible()
