"""From the alarm on the page Today to the decision, in a real browser, as a newcomer would go."""

import pytest
from playwright.sync_api import Page, expect

from tests.harness.browser import accessibility_faults
from tests.harness.server import Bank
from tests.looking import cut_at_200_percent, lost_in_forced_colours


@pytest.mark.one_database
def test_a_newcomer_follows_the_demos_alarm_to_its_end(demo_bank: Bank, browser_page: Page) -> None:
    page, faults = browser_page, []

    def looked_at() -> None:
        faults.extend(accessibility_faults(page) + cut_at_200_percent(page) + lost_in_forced_colours(page))

    demo_bank.sign_in(page)
    page.locator("section[aria-labelledby=alarms] tbody a").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Too warm: Fridge cats")
    page.get_by_label("What you found, and what you do").fill("The door stood ajar. Shut it.")
    page.get_by_role("button", name="Take this alarm").click()
    expect(page.get_by_role("status").filter(has_text="is yours")).to_be_visible()
    looked_at()
    page.get_by_role("link", name="Its trace").click()
    expect(page.locator("svg.pic-trace")).to_be_visible()
    page.get_by_role("link", name="7 days").click()
    expect(page.get_by_role("link", name="7 days")).to_have_attribute("aria-current", "true")
    looked_at()
    page.locator("section[aria-labelledby=alarms] tbody a").first.click()
    page.get_by_role("link", name="Decide on").click()
    choices = page.locator("main select")
    expect(choices.first).to_have_value("keep")
    choices.first.select_option("discard")
    looked_at()
    page.get_by_role("button", name="Decide").click()
    expect(page.get_by_role("status").filter(has_text="discard 1")).to_be_visible()
    expect(page.get_by_text(", closed ")).to_be_visible()
    page.goto(demo_bank.base_url)
    expect(page.get_by_role("heading", name="Temperature alarms")).to_have_count(0)
    assert [] == faults
