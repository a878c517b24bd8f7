"""What is wrong with a page as it stands in a real browser: cut, unreadable, moving, heavy, or badly served."""

import re
from pathlib import Path

from playwright.sync_api import Page, Response

LOOK = "(" + Path(__file__).with_suffix(".js").read_text().partition("\n")[2].strip() + ")"
AT_200_PERCENT = 2
FIRST_VISIT_BYTES, NEXT_VISIT_BYTES, SCRIPT_BYTES = 120_000, 20_000, 40_000
READABLE = 4.5  # contrast, WCAG 1.4.3
STRICT = {
    "default-src": "'self'",
    "img-src": "'self' data:",
    "object-src": "'none'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
    "form-action": "'self'",
}
INLINE = re.compile(
    r"<script(?![^>]*\bsrc=)[^>]*>|<style\b|<[a-z][^>]*\s(?:style|on[a-z]+)\s*=[^>]*>", re.IGNORECASE
)


def cut_at_200_percent(page: Page) -> list[str]:
    """At twice the size half as much fits: nothing is beyond the side of the window, or hidden where it ends."""
    before = page.viewport_size
    assert before
    width = before["width"] // AT_200_PERCENT
    page.set_viewport_size({"width": width, "height": before["height"] // AT_200_PERCENT})
    needed: int = page.evaluate("document.documentElement.scrollWidth")
    found: list[str] = page.evaluate(f"{LOOK}.cut()")
    page.set_viewport_size(before)
    return found + ([f"scrolls sideways: {needed} px"] if needed > width else [])


def lost_in_forced_colours(page: Page) -> list[str]:
    found = []
    for scheme in ("light", "dark"):
        page.emulate_media(forced_colors="active", color_scheme=scheme)
        for look in (f"unreadable({READABLE})", "withoutEdge()", "withoutFocus()"):
            found += [f"{scheme}: {fault}" for fault in page.evaluate(f"{LOOK}.{look}")]
    page.emulate_media(forced_colors="none", color_scheme="light")
    return found


def moving_though_asked_not_to(page: Page) -> list[str]:
    page.emulate_media(reduced_motion="reduce")
    found: list[str] = page.evaluate(f"{LOOK}.moving()")
    page.emulate_media(reduced_motion="no-preference")
    return found


def weight(page: Page) -> dict[str, int]:
    page.evaluate("document.fonts.ready.then(() => 0)")
    found: dict[str, int] = page.evaluate(f"{LOOK}.weight()")
    return found


def too_heavy(
    page: Page, *, page_bytes: int = NEXT_VISIT_BYTES, script_bytes: int = SCRIPT_BYTES
) -> list[str]:
    most = {"page": page_bytes, "scripts": script_bytes}
    return [f"{part}: {size} bytes" for part, size in weight(page).items() if size > most[part]]


def badly_served(answer: Response) -> list[str]:
    """Not under the strict policy for content, or with something inline that the policy would stop."""
    said = answer.headers.get("content-security-policy", "")
    policy = {name: value for name, _, value in (part.strip().partition(" ") for part in said.split(";"))}
    found = [] if policy == STRICT else [f"policy: {said}"]
    return found + [f"inline: {tag}" for tag in INLINE.findall(answer.text())]


def note_shifts(page: Page) -> None:
    """From now on, pages note each move of what lies at the foot of a bench page."""
    page.add_init_script(f"{LOOK}.noteShifts()")


def shifts(page: Page) -> list[str]:
    """A shift is told with the frame after it."""
    page.evaluate("document.fonts.ready.then(() => 0)")
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    found: list[str] = page.evaluate("window.shifted")
    return found
