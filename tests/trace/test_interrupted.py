"""Who was interrupted is told where they were, and a repeated step is recognised."""

import re
from datetime import datetime, timedelta

import pytest
from django.contrib.auth import get_user_model
from playwright.sync_api import expect

from buffycoat.science.numbering import show_code
from buffycoat.separation.rules import PLASMA, LookForClots
from buffycoat.shell.words import clock
from buffycoat.site.rules import limits
from buffycoat.spins.rules import Spin
from buffycoat.trace.interrupted import LATELY, last_by
from tests.harness.browser import accessibility_faults
from tests.pages import text

DOOR = "/you-were-here/"


def at(walk, ago=1):
    """The time of the step that was done so many steps ago, as pages write it."""
    return clock(walk.at - timedelta(minutes=ago), limits(walk.look).zone)


def close(response):
    """Text as read: without the gap that an element leaves before a stop."""
    return re.sub(r"\s+(?=[.,:;])", "", text(response)).replace("\u00a0", " ")


def told(client, page="/"):
    return close(client.get(DOOR, {"page": page}))


def test_the_last_thing_done_is_said_with_its_time_and_what_comes_next(client, walk):
    donation = walk.expressed()
    said = told(client)
    assert f"You did last, at {at(walk)}" in said
    assert "Plasma expressed: 238 g (planned 238 g)" in said
    assert show_code(donation) in said.replace(" ", "")
    assert "Next: Add the additive. Scan the bag to go on." in said


def test_on_a_page_the_bag_in_hand_is_that_of_the_page(client, walk):
    here, elsewhere = walk.expressed(), walk.spun("cat")
    said = told(client, f"/separation/{here}/additive/")
    assert show_code(here) in said.replace(" ", "")
    assert show_code(elsewhere) not in said.replace(" ", "").partition("Inhand:")[2]
    assert "Next: Add the additive" in said


def test_of_several_bags_in_an_address_the_one_scanned_last_is_in_hand(client, walk):
    first, second = walk.drawn(), walk.drawn()
    assert show_code(second) in told(client, f"/spins/new/?bag={first}&bag={second}").replace(" ", "")


def test_who_takes_over_is_told_what_the_other_did(client, walk):
    donation = walk.expressed()
    client.force_login(get_user_model().objects.create_user("kim"))
    said = told(client, f"/separation/{donation}/additive/")
    assert "You have recorded nothing lately." in said
    assert f"robin did last, at {at(walk)}: Plasma expressed" in said


@pytest.mark.parametrize("page", ["", "/", "/?code=<b>", "/x/ABCDE123456789/", "/%00/"])
def test_a_strange_address_has_nothing_in_hand(client, page):
    assert "Nothing is in hand. Scan a bag" in told(client, page) or "Scan it to go on" in told(client, page)
    assert b"<b>" not in client.get(DOOR, {"page": page}).content.replace(b"<b>Limit", b"")


def test_what_was_done_long_ago_is_not_here(walk, monkeypatch):
    donor = walk.a_donor()
    assert donor == last_by("robin").stream.partition("/")[2]
    monkeypatch.setattr("buffycoat.trace.interrupted.LATELY", 0)
    assert last_by("robin") is None
    assert LATELY > 0


def test_a_parked_job_says_who_had_it_and_when(client, walk):
    walk.at = datetime.now(walk.at.tzinfo) - timedelta(minutes=40)
    walk.drawn()
    assert re.search(r"robin, \d\d min ago: draw finished", close(client.get("/")))


def discarded(walk):
    donation = walk.expressed("cat")
    walk.do(LookForClots(donation=donation, clots=True))
    return donation


# For each step: a bag at which it was just done, and the page on which someone is about to do it again.
REPEATED = {
    "express": lambda walk: f"/separation/{walk.expressed()}/express/",
    "keep-whole": lambda walk: f"/separation/{walk.kept_whole()}/keep-whole/",
    "additive": lambda walk: f"/separation/{walk.weighed()}/additive/",
    "clots": lambda walk: f"/separation/{walk.weighed()}/clots/",
    "segments": lambda walk: f"/separation/{walk.weighed()}/segments/",
    "weigh": lambda walk: f"/separation/{walk.weighed()}/weigh/{PLASMA}/",
    "draw": lambda walk: f"/draws/{walk.drawn()}/finish/",
    "spin": lambda walk: f"/spins/{walk.spin(walk.drawn())}/finish/",
    "print": lambda walk: f"/labels/{walk.labelled()}/{PLASMA}/",
    "scan-back": lambda walk: f"/labels/{walk.labelled()}/scan-back/",
    "put-away": lambda walk: f"/put-away/?unit={walk.units(walk.on_the_shelf())[PLASMA]}",
    "examine": lambda walk: f"/donors/{walk.a_donor()}/examine/",
    "type": lambda walk: f"/donors/{walk.a_donor()}/type/",
    "discard": lambda walk: f"/draws/{discarded(walk)}/discard/",
}
STEPS = {
    "express": "The plasma is off already: 238 g, recorded at ",
    "keep-whole": "This donation is kept whole already, recorded at ",
    "additive": "The additive ran in already, recorded at ",
    "clots": "Clots were looked for already, recorded at ",
    "segments": "The segments are sealed already: 4, recorded at ",
    "weigh": "The bag of plasma was weighed already: 266 g, recorded at ",
    "draw": "The draw is finished: recorded at ",
    "spin": "How the bags came out is known already, recorded at ",
    "print": ", the last recorded at ",
    "scan-back": "The last label was scanned back already, recorded at ",
    "put-away": "It stands in Freezer 1 already, recorded at ",
    "examine": "Already recorded at ",
    "type": "A type stands in the journal already, recorded at ",
    "discard": "is discarded already, recorded at ",
}


@pytest.mark.parametrize("step", STEPS)
def test_a_repeated_step_is_recognised_with_who_did_it_and_when(client, walk, step):
    page = client.get(REPEATED[step](walk), follow=True)
    said = text(page).replace("\u00a0", " ")
    assert STEPS[step] in said
    assert " by robin" in said.partition(STEPS[step])[2][:40]


def test_a_step_that_was_taken_back_is_not_called_done(client, walk):
    spin = walk.in_spin(walk.drawn())
    assert walk.look(Spin, spin).started
    assert "known already" not in text(client.get(f"/spins/{spin}/finish/", follow=True))


@pytest.mark.one_database
def test_after_a_minute_without_a_touch_the_page_says_where_one_was(bank, browser_page):
    browser_page.clock.install()
    bank.sign_in(browser_page)
    browser_page.goto(f"{bank.base_url}/put-away/")
    strip = browser_page.locator("[data-you-were-here]")
    button = browser_page.locator(".main-button").bounding_box()
    browser_page.clock.fast_forward(59_000)
    browser_page.keyboard.press("Shift")
    browser_page.clock.fast_forward(59_000)
    expect(strip).to_be_empty()
    browser_page.clock.fast_forward(2_000)
    expect(strip).to_contain_text("You were here")
    expect(strip).to_contain_text("Nothing is in hand. Scan a bag, a donor or a place to go on.")
    assert button == browser_page.locator(".main-button").bounding_box()
    for theme in ("light", "dim"):
        browser_page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
        assert [] == accessibility_faults(browser_page)
    strip.locator("[data-close]").focus()
    browser_page.keyboard.press("Enter")
    expect(strip).to_be_empty()


@pytest.mark.one_database
def test_another_person_at_the_same_device_is_told_at_once(bank, browser_page):
    bank.sign_in(browser_page)
    expect(browser_page.locator("[data-you-were-here]")).to_be_empty()
    browser_page.context.clear_cookies()
    bank.sign_in(browser_page, bank.colleague)
    expect(browser_page.locator("[data-you-were-here]")).to_contain_text("You were here")
    browser_page.keyboard.press("Escape")
    expect(browser_page.locator("[data-you-were-here]")).to_be_empty()
