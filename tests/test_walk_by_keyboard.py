"""From the donor to the shelf by keyboard alone: at every stop of Tab the focus is outlined and nothing covers it."""

import re

import pytest
from playwright.sync_api import Locator, Page

from tests.harness.server import Bank
from tests.test_walk_in_browser import Bench, walk
from tests.test_walk_untouched import watched

pytestmark = pytest.mark.one_database
MOST_STOPS = 150
PAUSE_MS = 150  # a scanner would not pause so long before Enter or Tab
# What is focused, without an outline or with something over it; of what is taller than half the window, all but a part.
FAULTS = """() => {
  const focused = document.activeElement;
  if (!focused || focused === document.body) return [];
  const seen = focused.closest(".tile") ?? focused, box = seen.getBoundingClientRect(), style = getComputedStyle(seen);
  const name = `${location.pathname}: ${focused.outerHTML.slice(0, 120)}`;
  const at = [[0.5, 0.5], [0.1, 0.2], [0.9, 0.2], [0.1, 0.8], [0.9, 0.8]].map(([x, y]) => {
    const top = document.elementFromPoint(box.left + x * box.width, box.top + y * box.height);
    return Boolean(top) && (seen.contains(top) || top.contains(seen));
  });
  const large = box.height > innerHeight / 3 || focused.matches("summary, td a, th a");
  const outlined = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  return [
    ...(outlined ? [] : [`no outline: ${name}`]),
    ...(large ? at.some(Boolean) : at.every(Boolean)) ? [] : [`covered: ${name}`],
  ];
}"""


class Keyboard(Bench):
    """Tab, Enter, Space, arrows and typing; each stop is looked at."""

    def __init__(self, page: Page, bank: Bank) -> None:
        self.faults: list[str] = []
        self.stops = 0
        super().__init__(page, bank, by_scan=False)

    def at(self, element: Locator) -> bool:
        return bool(element.evaluate("element => element === document.activeElement"))

    def tab(self) -> None:
        self.page.keyboard.press("Tab")
        self.stops += 1
        self.faults += self.page.evaluate(FAULTS)

    def tab_to(self, element: Locator) -> None:
        for _ in range(MOST_STOPS):
            if self.at(element):
                return
            self.tab()
        raise AssertionError(f"{element} is not reached by Tab on {self.page.url}")

    def type(self, text: str) -> None:
        self.page.keyboard.press("Control+A")
        self.page.keyboard.press("Delete")
        self.page.keyboard.type(text)
        self.page.wait_for_timeout(PAUSE_MS)

    def arrow_to(self, there: Locator) -> None:
        """Down the tiles of one question: Tab comes to the chosen one, or to the first."""
        name = there.get_attribute("name")
        tiles = self.page.locator(f"main [name='{name}']")
        chosen = self.page.locator(f"main [name='{name}']:checked")
        self.tab_to(chosen if chosen.count() else tiles.first)
        for _ in range(tiles.count()):
            if self.at(there):
                break
            self.page.keyboard.press("ArrowDown")
            self.faults += self.page.evaluate(FAULTS)
        self.page.keyboard.press("Space")
        assert there.is_checked()

    def choose(self, field: Locator, value: str) -> None:
        self.tab_to(field)
        for _ in range(field.locator("option").count()):
            if value == field.input_value():
                return
            self.page.keyboard.press("ArrowDown")
        raise AssertionError(f"{value} is not in the list")

    def fill(self, **answers: object) -> None:
        for name, value in answers.items():
            folded = self.page.locator(f"main details:not([open]):has([name={name}]) > summary")
            if folded.count():
                self.tab_to(folded.first)
                self.page.keyboard.press("Enter")
            field = self.page.locator(f"main [name={name}]:not([type=hidden])").first
            if field.get_attribute("type") == "radio":
                self.arrow_to(self.page.locator(f"main [name={name}][value='{value}']"))
            elif field.evaluate("field => field.tagName") == "SELECT":
                self.choose(field, str(value))
            else:
                self.tab_to(field)
                self.type(str(value))

    def tick(self, name: str) -> None:
        self.tab_to(self.page.locator(f"main [name={name}]"))
        self.page.keyboard.press("Space")

    def enter(self, button: Locator) -> None:
        self.tab_to(button)
        with self.page.expect_event("load"):
            self.page.keyboard.press("Enter")

    def save(self, **answers: object) -> None:
        self.fill(**answers)
        self.enter(self.page.locator("main .button-main").last)

    def press(self, **answers: object) -> None:
        self.fill(**answers)
        self.enter(self.page.locator("[data-main]"))

    def give(self, code: str) -> None:
        self.tab_to(self.page.locator("form[data-scan] [data-scan-field]").first)
        self.type(code.lower())
        with self.page.expect_event("load"):
            self.page.keyboard.press("Enter")


def test_a_dog_walks_from_the_donor_to_the_shelf_by_keyboard_alone(bank: Bank, browser_page: Page) -> None:
    person = Keyboard(browser_page, bank)
    with watched(browser_page) as touches:
        walk(person, "dog", weight_kg="32", blood_type="DEA 1 negative", wanted_ml=450, additive_ml=100)
    assert [] == sorted(set(person.faults))
    print(f"{person.stops} stops of Tab")
    assert person.stops > 300
    assert [] == [each for each in touches if not each.startswith("keydown")]


def test_a_focus_that_is_covered_or_has_no_outline_is_found(bank: Bank, browser_page: Page) -> None:
    person = Keyboard(browser_page, bank)
    person.open("/draws/new/")
    field = browser_page.locator("main [name=donor]")
    person.tab_to(field)
    assert [] == person.faults
    field.evaluate("field => { field.style.outline = 'none'; }")
    assert re.fullmatch("no outline: /draws/new/: <input.*", browser_page.evaluate(FAULTS)[0])
    field.evaluate("""field => {
      const box = field.getBoundingClientRect(), bar = document.body.appendChild(document.createElement("div"));
      Object.assign(bar.style, { position: "fixed", inset: `${box.top + box.height / 2}px 0 0 0`, background: "grey" });
    }""")
    assert ["no outline", "covered"] == [fault.split(":")[0] for fault in browser_page.evaluate(FAULTS)]
