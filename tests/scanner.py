"""A scanner, as a page hears it."""

from playwright.sync_api import Page

# A browser drops keys that come before a new page is painted; a person scans what they see.
PAINTED = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"


def scan(page: Page, code: str) -> None:
    """Keys as from a scanner that sends a prefix."""
    page.wait_for_load_state()
    page.evaluate(PAINTED)
    page.keyboard.press("F9")
    page.keyboard.type(code)
    page.keyboard.press("Enter")
