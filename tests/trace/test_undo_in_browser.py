"""The last step taken back and written again without touching the screen or a mouse."""

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.harness.browser import accessibility_faults
from tests.harness.server import Bank

MOST_TABS = 60


def tab_to(page: Page, wanted: Locator) -> None:
    """Goes on by the Tab key until the wanted element has the focus, as a person without a mouse does."""
    for _ in range(MOST_TABS):
        if wanted.evaluate("each => each === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"not reached by {MOST_TABS} tabs: {wanted}")


@pytest.mark.one_database
def test_a_step_is_taken_back_and_written_again_by_keyboard_alone(
    demo_bank: Bank, browser_page: Page
) -> None:
    page = browser_page
    page.set_viewport_size({"width": 1024, "height": 768})
    demo_bank.sign_in(page)
    page.goto(f"{demo_bank.base_url}/")
    page.get_by_role("link", name="Add the additive").first.focus()
    page.keyboard.press("Enter")
    undo = page.locator("[data-undo]")
    expect(undo).to_contain_text("Plasma expressed")
    tab_to(page, undo)
    page.keyboard.press("Enter")

    expect(page.locator("h1")).to_have_text("Take this back?")
    expect(page.locator("main")).to_contain_text("press off the plasma.")
    assert [] == accessibility_faults(page)
    tab_to(page, page.locator("[name=why]").first)
    page.keyboard.press("Space")
    tab_to(page, page.locator("[data-main]"))
    page.keyboard.press("Enter")

    expect(page.locator("h1")).to_have_text("How much plasma came off?")
    expect(page.locator("main")).to_contain_text("Taken back: plasma expressed.")
    weight = page.locator("[name=plasma_g]")
    old = weight.input_value()
    assert old.isdecimal()
    tab_to(page, weight)
    page.keyboard.press("Control+A")
    page.keyboard.type(str(int(old) - 3))
    tab_to(page, page.locator("[data-main]"))
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Did the additive run in?")
    expect(page.locator("main")).to_contain_text(f"Plasma {int(old) - 3} g")
