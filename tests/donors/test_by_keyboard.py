"""Every page of a donor by keyboard alone: at each stop of Tab the focus is outlined and nothing covers it."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import Page, expect

from buffycoat.donors.questions import asked_of
from tests.donors.pictures import picture
from tests.harness.server import Bank
from tests.test_walk_by_keyboard import Keyboard
from tests.test_walk_untouched import watched
from tests.walk import BAG_SETS

pytestmark = pytest.mark.one_database
VISITED = {  # each step with what is typed into it
    "consent": {"version": "1"},
    "questions": dict.fromkeys((each.key for each in asked_of("dog", "female")), "no"),
    "vaccine": {"vaccine": "Core, invented", "given_on": "1 Mar 2025", "valid_until": "1 Mar 2099"},
    "medicine": {"medicine": "Drops", "given_on": "1 Mar 2025"},
    "journey": {"region": "Invented coast", "returned_on": "1 Mar 2025"},
    "test": {"agent": "Babesia gibsoni", "method": "PCR", "result": "positive", "taken_on": "2 Mar 2025"},
    "clear": {"test": "Babesia gibsoni by PCR", "decided_by": "Dr Invented", "reason": "Twice negative"},
    "defer": {"reason": "Coughs"},
    "sedation": {"protocol": "Invented 1 mg", "lowest_systolic_mmhg": "95", "fluids_ml": "60"},
    "chip": {"chip": "900000000000001"},
}


class Hurried(Keyboard):
    """Skips the head of each page by its first link, as whoever works by keyboard does."""

    def open(self, path: str) -> None:
        super().open(path)
        self.tab()
        self.page.keyboard.press("Enter")


def go(person: Keyboard, donor: str, step: str, **typed: object) -> None:
    """To a step, and back to the donor's page by its main button."""
    person.open(f"/donors/{donor}/{step}/")
    person.save(**typed)
    expect(person.page).to_have_url(re.compile(rf"/donors/{donor}/(#\w+)?$"))


def a_draw(bank: Bank, donor: str) -> str:
    """Begun by a colleague meanwhile; gives the donation."""
    values = BAG_SETS["dog"] | {"expires_on": "2099-01-01"}
    options = [part for name, value in values.items() for part in (f"--{name.replace('_', '-')}", value)]
    lot = bank.cli("do", "receive-bag-set-lot", "--by", "kim", *options)
    given = ("--lot", re.search(r"lot/(L\w+)", lot)[1], "--tare-g", 260, "--wanted-ml", 450)
    started = bank.cli("do", "start-draw", "--by", "kim", "--donor", donor, *given)
    return re.search(r"donation/(G\w+)", started)[1]


def test_all_that_is_written_of_a_donor_is_written_by_keyboard_alone(bank: Bank, browser_page: Page) -> None:
    person = Hurried(browser_page, bank)
    with watched(browser_page) as touches:
        donor = registered(person)
        for step, typed in VISITED.items():
            go(person, donor, step, **typed)
        lift_the_deferral(person, donor)
        read_twice(person, donor)
        donation = a_draw(bank, donor)
        go(person, donor, "reaction", donation=donation, reaction="vomited", severity="mild")
        go(person, donor, "call", donation=donation, well="yes")
        keep_a_photo(person, donor)
        look_round(person)
        go(person, donor, "withdraw", reason="By letter")
        go(person, donor, "retire", reason="Stiff")
    assert [] == sorted(set(person.faults))
    print(f"{person.stops} stops of Tab")
    assert person.stops > 300
    assert [] == [each for each in touches if not each.startswith("keydown")]


def registered(person: Keyboard) -> str:
    """Registered, waived in the emergency of its first visit, and examined."""
    person.open("/donors/")
    person.enter(person.page.locator("main a[href='/donors/new/']"))
    old = datetime.now(UTC).date() - timedelta(days=4_000)
    person.save(name="Bramble", species="dog", sex="female", born_on=f"{old:%d %b %Y}", breed="Mixed")
    donor = person.code_here()
    person.enter(person.page.locator(f"main a[href='/donors/{donor}/examine/']"))
    person.press(weight_g="32", pcv_permille="45")
    person.enter(person.page.locator(f"main a[href='/donors/{donor}/waive/']"))
    person.tick("check_age")
    person.save(decided_by="Dr Invented", reason="A patient bleeds")
    return donor


def lift_the_deferral(person: Keyboard, donor: str) -> None:
    person.enter(person.page.locator(f"main a[href='/donors/{donor}/lift/']"))
    number = str(person.page.locator("main [name=deferral] option").last.get_attribute("value"))
    person.save(deferral=number, decided_by="Dr Invented", reason="Well again")


def read_twice(person: Keyboard, donor: str) -> None:
    """By two people; the second reading sees nothing of the first."""
    for name in (person.bank.name, person.bank.colleague):
        person.page.context.clear_cookies()
        person.bank.sign_in(person.page, name)
        person.open(f"/donors/{donor}/type/")
        expect(person.page.locator("main [name=blood_type]:checked")).to_have_count(0)
        person.press(blood_type="DEA 1 negative", method="Invented card")
    expect(person.page.locator("main")).to_contain_text("Both readings agree.")


def keep_a_photo(person: Keyboard, donor: str) -> None:
    person.open(f"/donors/{donor}/photo/")
    person.tab_to(person.page.locator("main [name=file]"))
    with person.page.expect_file_chooser() as chosen:
        person.page.keyboard.press("Space")
    chosen.value.set_files({"name": "x.jpg", "mimeType": "image/jpeg", "buffer": picture()})
    person.save()
    expect(person.page.locator("main img.photo")).to_have_js_property("naturalWidth", 480)


def look_round(person: Keyboard) -> None:
    """The pages over all donors: the panel's own test, a file of results, calls, calendar, and a search."""
    person.open("/donors/panel/")
    own = {"species": "dog", "agent": "Leishmania spp.", "method": "serology", "interval_days": "180"}
    person.save(**own, reason="Dogs from the south")
    person.open("/donors/results/")
    person.tab_to(person.page.locator("main [name=file]"))
    with person.page.expect_file_chooser() as chosen:
        person.page.keyboard.press("Space")
    text = "donor,agent,method,result,sampled\n900000000000001,Babesia vogeli,PCR,negative,2025-03-04\n"
    chosen.value.set_files({"name": "x.csv", "mimeType": "text/csv", "buffer": text.encode()})
    person.enter(person.page.get_by_role("button", name="Look at its rows"))
    person.enter(person.page.get_by_role("button", name="Record 1 result"))
    expect(person.page.locator("main")).to_contain_text("1 result of 1 donor recorded.")
    for page in ("/donors/calls/", "/donors/calendar/"):
        person.open(page)
        person.tab_to(person.page.locator("main a, main input").last)
    person.open("/donors/")
    person.fill(find="Bram", species="dog", standing="giving")
    person.enter(person.page.locator("main").get_by_role("button", name="Find"))
    expect(person.page.locator("main tbody tr")).to_have_count(1)
