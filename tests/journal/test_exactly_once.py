"""Pressed twice, scanned twice, sent again, gone back, opened twice: recorded once, and the person is told."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest
from playwright.sync_api import Page, Route, expect

from tests.harness.server import Bank, Stable
from tests.keeping.conftest import in_bank
from tests.test_walk_in_browser import NO_BREAK, Bench

pytestmark = pytest.mark.one_database  # test_race.py sends one form by several processes, on both

SPUN = """
import django; django.setup()
from datetime import timedelta
from buffycoat.labels.rules import PrintLabel
from tests.pages import near_noon
walk = near_noon(timedelta(hours=6))
spun = [walk.spun("cat") for _ in range(BAGS)]
labelled = walk.weighed("cat")
walk.do(PrintLabel(donation=labelled, part="plasma"))
print(*spun, labelled, walk.units(labelled)["plasma"], walk.a_donor("dog", examined=False))
"""
BAGS = 10
PLASMA_G = 20


@pytest.fixture(scope="module")
def worked(stable: Stable, empty_template: Bank) -> Iterator[tuple[Bank, list[str]]]:
    """One served bank for all these tests, with a spun bag for each."""
    bank = stable.copy(empty_template)
    made = in_bank(bank, SPUN.replace("BAGS", str(BAGS))).split()
    with bank.serving():
        yield bank, made
    stable.clear(bank)


class Tab(Bench):
    """A tab of a person who is signed in; the zone of the site is set already."""

    def __init__(self, page: Page, bank: Bank, *, sign_in: bool = True) -> None:
        self.page, self.bank, self.by_scan = page, bank, True
        if sign_in:
            bank.sign_in(page)

    def at_the_plasma(self, donation: str) -> "Tab":
        self.open(f"/separation/{donation}/express/")
        self.asked("How much plasma came off?")
        return self

    def told(self, words: str) -> None:
        expect(self.page.locator("main")).to_contain_text(words)


@pytest.fixture
def tab(worked: tuple[Bank, list[str]], browser_page: Page) -> Tab:
    return Tab(browser_page, worked[0])


@pytest.fixture
def spun(worked: tuple[Bank, list[str]]) -> str:
    """The next bag that nobody has touched."""
    return worked[1].pop(0)


def recorded(bank: Bank, stream: str, kind: str) -> list[dict]:
    with closing(sqlite3.connect(bank.data / "buffycoat.sqlite3")) as file:
        asked = "SELECT line FROM journal_entry WHERE stream = ? AND kind = ? ORDER BY number"
        return [json.loads(line)["fields"] for (line,) in file.execute(asked, (stream, kind))]


def weighed(bank: Bank, donation: str) -> list[int]:
    return [fields["plasma_g"] for fields in recorded(bank, f"donation/{donation}", "plasma-expressed")]


def lost_on_the_way_back(route: Route) -> None:
    """The server records; its answer never arrives."""
    if route.request.method == "POST":
        route.fetch(max_redirects=0)
        route.abort("timedout")
    else:
        route.continue_()


def lost_on_the_way_there(route: Route) -> None:
    if route.request.method == "POST":
        route.abort("timedout")
    else:
        route.continue_()


def send_twice_at_once(page: Page, *, as_new: bool = False) -> list[str]:
    """The form of the page, past the script that sends it once; where each answer led. `as_new`: without its id."""
    return page.evaluate(
        """async (asNew) => {
          const form = document.querySelector("#answer");
          const send = async () => {
            const body = new URLSearchParams(new FormData(form));
            if (asNew) body.set("command_id", crypto.randomUUID());
            if (asNew) body.set("seen", "{}");
            return (await fetch(location.href, { method: "POST", body })).url;
          };
          return Promise.all([send(), send()]);
        }""",
        as_new,
    )


def test_a_double_tap_sends_and_records_once(tab, spun):
    posts = []
    tab.page.on("request", lambda request: request.method == "POST" and posts.append(request.url))
    tab.at_the_plasma(spun).fill(plasma_g=PLASMA_G)
    tab.page.locator("[data-main]").dblclick()
    tab.asked("Is there a clot?")
    tab.told(f"Plasma {PLASMA_G}{NO_BREAK}g")
    assert 1 == len(posts)
    assert [PLASMA_G] == weighed(tab.bank, spun)


def test_the_same_form_twice_at_the_server_leads_to_the_same_page_and_is_recorded_once(tab, spun):
    tab.at_the_plasma(spun).fill(plasma_g=PLASMA_G)
    assert {f"{tab.bank.base_url}/separation/{spun}/clots/"} == set(send_twice_at_once(tab.page))
    assert [PLASMA_G] == weighed(tab.bank, spun)


def test_what_may_be_done_again_is_recorded_once_a_form_and_only_its_id_sees_to_that(tab, worked):
    """An examination may follow another, so no rule helps. The control: forms with ids of their own are two."""
    donor = worked[1][-1]
    tab.open(f"/donors/{donor}/examine/")
    tab.fill(weight_g="31.5", pcv_permille="44")
    send_twice_at_once(tab.page)
    assert 1 == len(recorded(tab.bank, f"donor/{donor}", "donor-examined"))
    send_twice_at_once(tab.page, as_new=True)
    assert 3 == len(recorded(tab.bank, f"donor/{donor}", "donor-examined"))


def test_a_label_scanned_twice_is_scanned_back_once(tab, worked):
    donation, unit, _ = worked[1][-3:]
    tab.open(f"/labels/{donation}/scan-back/")
    tab.give(unit)
    tab.give(unit)
    tab.asked("Put it into a freezer")
    tab.told("is labelled: Fresh frozen plasma.")
    tab.give(unit)  # and once more, on the page that asks for a door
    expect(tab.page.locator("[data-scan-strip]")).to_have_text("That is a unit. Scan the place.")
    assert 1 == len(recorded(tab.bank, f"donation/{donation}", "label-scanned-back"))


def test_an_answer_that_is_lost_is_given_again_when_the_page_is_sent_again(tab, spun):
    tab.at_the_plasma(spun).page.route("**/express/", lost_on_the_way_back)
    tab.press(plasma_g=PLASMA_G)
    tab.page.wait_for_url("chrome-error://**")
    tab.page.unroute("**/express/")
    tab.page.reload()
    tab.asked("Is there a clot?")
    tab.told(f"Plasma {PLASMA_G}{NO_BREAK}g")
    assert [PLASMA_G] == weighed(tab.bank, spun)


def test_whoever_opens_the_page_afresh_after_a_lost_answer_is_told_that_it_is_done(tab, spun):
    tab.at_the_plasma(spun).page.route("**/express/", lost_on_the_way_back)
    tab.press(plasma_g=PLASMA_G)
    tab.page.wait_for_url("chrome-error://**")
    tab.page.unroute("**/express/")
    tab.open(f"/separation/{spun}/express/")
    tab.asked("Is there a clot?")
    tab.told(f"The plasma is off already: {PLASMA_G}{NO_BREAK}g")
    assert [PLASMA_G] == weighed(tab.bank, spun)


def test_a_form_that_never_arrived_is_recorded_when_it_is_sent_again(tab, spun):
    tab.at_the_plasma(spun).page.route("**/express/", lost_on_the_way_there)
    tab.press(plasma_g=PLASMA_G)
    tab.page.wait_for_url("chrome-error://**")
    assert [] == weighed(tab.bank, spun)
    tab.page.unroute("**/express/")
    tab.page.reload()
    tab.asked("Is there a clot?")
    assert [PLASMA_G] == weighed(tab.bank, spun)


def test_going_back_shows_what_stands_now_instead_of_the_old_form(tab, spun):
    tab.at_the_plasma(spun).press(plasma_g=PLASMA_G)
    tab.asked("Is there a clot?")
    tab.page.go_back()
    tab.asked("Is there a clot?")
    tab.told(f"The plasma is off already: {PLASMA_G}{NO_BREAK}g")
    assert [PLASMA_G] == weighed(tab.bank, spun)


@pytest.mark.parametrize("then_g", [PLASMA_G, PLASMA_G + 1])
def test_of_two_tabs_the_second_is_told_who_was_faster_and_then_what_stands(tab, spun, then_g):
    tab.at_the_plasma(spun)
    other = Tab(tab.page.context.new_page(), tab.bank, sign_in=False).at_the_plasma(spun)
    tab.press(plasma_g=PLASMA_G)
    tab.asked("Is there a clot?")
    other.press(plasma_g=then_g)
    other.refused("robin was faster,")
    other.refused("plasma expressed. Look at the page again before you go on.")
    other.press()
    other.refused(f"The plasma was weighed already: {PLASMA_G} g.")
    assert [PLASMA_G] == weighed(tab.bank, spun)


def test_a_tab_that_was_doubled_sends_the_same_form_and_is_told_of_other_values(tab, spun):
    """A browser copies the page with all that stands in it, the id of its command too."""
    tab.at_the_plasma(spun)
    twins = [Tab(tab.page.context.new_page(), tab.bank, sign_in=False).at_the_plasma(spun) for _ in range(2)]
    its_id = tab.page.locator("[name=command_id]").input_value()
    for twin in twins:
        twin.page.evaluate("id => { document.querySelector('[name=command_id]').value = id }", its_id)
    tab.press(plasma_g=PLASMA_G)
    tab.asked("Is there a clot?")
    twins[0].press(plasma_g=PLASMA_G)
    twins[0].asked("Is there a clot?")
    twins[1].press(plasma_g=PLASMA_G + 1)
    twins[1].refused("This form was already recorded by robin with other values.")
    assert [PLASMA_G] == weighed(tab.bank, spun)
