"""The practice book is a bank of its own: striped, with codes that no real book takes."""

import os
import subprocess

import pytest
from playwright.sync_api import expect

from buffycoat.cli.bank import DEMO_PASSWORD
from buffycoat.cli.practice import turn_to_practice
from buffycoat.demo.story import PEOPLE
from buffycoat.science.numbering import make_code
from buffycoat.shell.paper import Card, one_card, sheet_of_cards
from buffycoat.site.rules import PRACTICE_LETTERS, SetLimit
from tests.harness.browser import accessibility_faults
from tests.harness.server import BUFFYCOAT, Bank, _free_port
from tests.reading_paper import CODE_128, DATA_MATRIX, PRINTER_DPI, codes_of, missing
from tests.walk import pure_walk

MARK = "PRACTICE. Nothing here is real."
CARD = Card(noun="donor", title="Bramble", code=make_code("D", PRACTICE_LETTERS, 1), site_name="Invented")


@pytest.fixture
def practice_bank(quiet_bank):
    """`buffycoat practice` beside a real bank."""
    made = Bank(data=quiet_bank.data / "practice", database="", password=DEMO_PASSWORD, name=PEOPLE[0])
    port = _free_port()
    made.base_url = f"http://127.0.0.1:{port}"
    log = (quiet_bank.data / "practice.log").open("a")
    made.log = quiet_bank.data / "practice.log"
    command = [str(BUFFYCOAT), "practice", "--port", str(port)]
    server = subprocess.Popen(command, env=quiet_bank.environment, stdout=log, stderr=log)
    try:
        made._wait_for(server)
        yield made
    finally:
        server.terminate()
        server.wait(timeout=60)
        log.close()


@pytest.mark.one_database
def test_practice_is_striped_has_its_own_codes_and_leaves_the_real_bank_alone(
    quiet_bank, practice_bank, browser_page
):
    before = quiet_bank.cli("journal")
    practice_bank.sign_in(browser_page)
    expect(browser_page.locator(".practice")).to_have_text(MARK)
    assert browser_page.title().startswith("PRACTICE · ")
    for theme in ("light", "dim"):
        browser_page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
        assert [] == accessibility_faults(browser_page)
    browser_page.goto(f"{practice_bank.base_url}/put-away/")
    expect(browser_page.locator(".practice")).to_have_text(MARK)
    browser_page.goto(f"{practice_bank.base_url}/places/")
    expect(browser_page.locator("main")).to_contain_text(f"P{PRACTICE_LETTERS}-")
    names = {cookie["name"] for cookie in browser_page.context.cookies()}
    assert {"practice_sessionid", "practice_csrftoken"} <= names
    assert not names & {"sessionid", "csrftoken"}
    assert before == quiet_bank.cli("journal")
    assert (practice_bank.data / "buffycoat.sqlite3").exists()


def test_only_the_practice_book_can_have_its_letters():
    walk = pure_walk()
    letters = SetLimit(key="site_code", value=PRACTICE_LETTERS, reason="invented")
    assert [] == walk.why_not(letters)
    walk.a_donor()
    assert [f"{PRACTICE_LETTERS} are the letters of the practice book: choose others."] == walk.why_not(
        letters
    )


@pytest.mark.parametrize(
    "made", [lambda: one_card(CARD), lambda: sheet_of_cards([CARD] * 11)], ids=["card", "sheet"]
)
def test_paper_of_the_practice_book_says_so_on_each_card_and_real_paper_does_not(settings, made):
    assert [MARK] == missing(made(), MARK)
    settings.PRACTICE = True
    assert [] == missing(made(), MARK)


def test_a_card_of_the_practice_book_can_still_be_scanned(settings):
    settings.PRACTICE = True
    assert [(CODE_128, CARD.code), (DATA_MATRIX, CARD.code)] == codes_of(one_card(CARD), PRINTER_DPI)


def test_afresh_throws_away_the_practice_book_and_nothing_else(tmp_path, monkeypatch):
    for name in ("DATABASE", "SECRET_KEY", "COPIES", "PRACTICE"):
        monkeypatch.setenv(f"BUFFYCOAT_{name}", "real")
    monkeypatch.setenv("BUFFYCOAT_DATA", str(tmp_path))
    (tmp_path / "practice").mkdir()
    (tmp_path / "practice" / "buffycoat.sqlite3").touch()
    (tmp_path / "buffycoat.sqlite3").touch()
    turn_to_practice(afresh=True)
    assert [tmp_path / "buffycoat.sqlite3"] == list(tmp_path.iterdir())
    assert (str(tmp_path / "practice"), "1") == (
        os.environ["BUFFYCOAT_DATA"],
        os.environ["BUFFYCOAT_PRACTICE"],
    )
    assert not {"BUFFYCOAT_DATABASE", "BUFFYCOAT_SECRET_KEY", "BUFFYCOAT_COPIES"} & set(os.environ)
