"""A thousand wrong scans on the pages that wait for a code, in a real browser on a real bank: nothing changes."""

from collections.abc import Iterator
from random import Random

import pytest
from playwright.sync_api import Page, expect

from buffycoat.science.numbering import KINDS, make_code
from tests.harness.server import Bank
from tests.keeping.conftest import in_bank

SCANS, SEED = 1_000, 20261125
MAKE = """
import django; django.setup()
from datetime import UTC, datetime, timedelta
from buffycoat.labels.rules import PrintLabel
from buffycoat.spins.models import ProgrammeRow
from buffycoat.spins.loading import Plan
from tests.walk import Walk
walk = Walk(at=datetime.now(UTC) - timedelta(hours=5))
walk.drawn("dog")
awaited, done = walk.weighed("dog"), walk.labelled("cat")
walk.do(PrintLabel(donation=awaited, part="plasma"))
print("D /draws/new/")
programme = ProgrammeRow.objects.first()
print("G /spins/new/" + Plan().on(programme.rotor_id, programme.name).address)
print(f"U /labels/{awaited}/scan-back/")
print(f"P /put-away/?unit={walk.units(done)['plasma']}")
"""
SEND = """code => {
  for (const key of ["F9", ...code, "Enter"]) {
    document.body.dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
  }
  return document.querySelector("[data-scan-strip]").textContent;
}"""


def wrong(chance: Random, wanted: str) -> tuple[str, str]:
    """What kind of wrong, and a code that is so; never one that the page could take."""
    serial = chance.randrange(500_000, 9_000_000)  # far above anything this book has given out
    good = make_code(wanted, "HAVN", serial)
    at = chance.randrange(5, 14)
    welcome = (wanted, "C", "H")  # a command card and a badge are heard on every page
    other = chance.choice([kind for kind in KINDS if kind not in welcome])
    return chance.choice(
        [
            ("another kind", make_code(other, "HAVN", serial)),
            ("damaged", good[:at] + str((int(good[at]) + chance.randrange(1, 10)) % 10) + good[at + 1 :]),
            ("cut short", good[: chance.randrange(7, 14)]),
            ("foreign", "".join(chance.choices("0123456789", k=13))),
            ("a maker's", f"]C1{chance.randrange(10**15):016d}"),
            ("two at once", good + make_code(other, "HAVN", serial)),
        ]
    )


def head(bank: Bank) -> list[str]:
    """How many entries and the last seal."""
    return bank.cli("head").split()[1:]


def scans(chance: Random, wanted: str) -> Iterator[tuple[str, str]]:
    for _ in range(SCANS // 4):
        yield wrong(chance, wanted)


@pytest.mark.one_database
def test_a_thousand_wrong_scans_change_nothing(bank: Bank, browser_page: Page) -> None:
    print(f"seed {SEED}")
    chance, page = Random(SEED), browser_page
    waiting = [line.split(" ", 1) for line in in_bank(bank, MAKE).splitlines()]
    before = head(bank)
    bank.sign_in(page)
    page.clock.install()
    for wanted, path in waiting:
        page.goto(bank.base_url + path)
        address = page.url
        for sort, code in scans(chance, wanted):
            said = page.evaluate(SEND, code)
            assert any(words in said for words in ("not", "That is a", "misread")), (sort, code, said)
            page.clock.run_for(2_500)  # what would be sent after a pause is sent now
        assert address == page.url
        assert [""] == list({field.input_value() for field in page.locator("[data-scan-field]").all()})
    assert before == head(bank)


@pytest.mark.one_database
def test_the_right_kind_but_the_wrong_thing_is_refused_and_changes_nothing(
    bank: Bank, browser_page: Page
) -> None:
    waiting = [line.split(" ", 1) for line in in_bank(bank, MAKE).splitlines()]
    before, page = head(bank), browser_page
    bank.sign_in(page)
    for wanted, path in waiting:
        for serial in (1_000_001, 1_000_002):
            page.goto(bank.base_url + path)
            page.evaluate(SEND, make_code(wanted, "HAVN", serial))
            expect(page.locator(".problems")).to_be_visible()
    assert before == head(bank)
