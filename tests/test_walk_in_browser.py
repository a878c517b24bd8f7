"""From the donor to the shelf in a real browser: a dog with scanner and scale, a cat by hand."""

import os
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pypdfium2
import zxingcpp
from playwright.sync_api import Page, expect

from tests.harness.server import Bank
from tests.scanner import scan

TARE_G, PLASMA_BAG_G, MAIN_BAG_G = 205, 20, 30
NO_BREAK = "\u00a0"
PICTURES = os.environ.get("BUFFYCOAT_PICTURES", "")


class Bench:
    """A person at the bench. `by_scan`: the scanner types the codes, wherever the cursor stands."""

    def __init__(self, page: Page, bank: Bank, *, by_scan: bool) -> None:
        self.page, self.bank, self.by_scan = page, bank, by_scan
        hours = datetime.now(UTC).hour - 12  # in this zone it is about noon: the walk never crosses midnight
        self.zone = f"Etc/GMT{hours:+d}"
        bank.cli(
            "do", "set-limit", "--key", "time_zone", "--value", self.zone, "--reason", "noon", "--by", "robin"
        )
        bank.sign_in(page)

    def ago(self, minutes: int) -> str:
        """The site's clock, some minutes ago."""
        return f"{datetime.now(ZoneInfo(self.zone)) - timedelta(minutes=minutes):%H:%M}"

    def open(self, path: str) -> None:
        self.page.goto(self.bank.base_url + path)

    def fill(self, **answers: object) -> None:
        for name, value in answers.items():
            folded = self.page.locator(f"main details:not([open]):has([name={name}]) > summary")
            if folded.count():
                folded.first.click()
            field = self.page.locator(f"main [name={name}]:not([type=hidden])").first
            kind = field.get_attribute("type")
            if kind in ("radio", "checkbox"):
                self.page.locator(f"main [name={name}][value='{value}']").check()
            elif field.evaluate("field => field.tagName") == "SELECT":
                field.select_option(str(value))
            else:
                field.fill(str(value))

    def tick(self, name: str) -> None:
        self.page.locator(f"main [name={name}]").check()

    def save(self, **answers: object) -> None:
        """The one main button of a desk page."""
        self.fill(**answers)
        self.page.locator("main .button-main").last.click()

    def press(self, **answers: object) -> None:
        """Answers the question and presses the main button, lower right."""
        self.fill(**answers)
        self.page.locator("[data-main]").click()

    def give(self, code: str) -> None:
        """Gives the page the code that it asks for."""
        if not self.by_scan:
            field = self.page.locator("form[data-scan] [data-scan-field]").first
            field.fill(code.lower())
            field.press("Enter")
            return
        scan(self.page, f"]C0{code}")

    def asked(self, question: str) -> None:
        expect(self.page.locator("h1")).to_contain_text(question)

    def refused(self, sentence: str) -> None:
        expect(self.page.locator("main .problems")).to_contain_text(sentence)
        assert self.page.title().startswith("Error:")

    def wrong_kind(self, given: str, wanted: str) -> None:
        """A scan is answered at once and changes nothing; what is typed is answered by the server."""
        if not self.by_scan:
            return self.refused(f"not a {wanted}")
        strip = self.page.locator("[data-scan-strip]")
        expect(strip).to_have_text(f"That is a {given}. Scan the {wanted}.")
        self.page.wait_for_timeout(400)  # two codes closer than that would be a clash

    def code_here(self) -> str:
        """The code in the address of this page."""
        found = re.search(r"/([A-Z]{5}\d{9})/", self.page.url)
        assert found, self.page.url
        return found[1]

    def look(self, name: str) -> None:
        """A picture for the documents, when a folder is given for them."""
        if PICTURES:
            self.page.screenshot(path=Path(PICTURES) / f"{name}.png")


def set_up(bench: Bench, species: str, nominal_ml: int, additive_ml: int) -> dict[str, str]:
    """Donor, bag set lot, rotor with its programme, fridge and freezer, all by page."""
    made = {}
    for appliance in ("fridge", "freezer"):
        bench.open("/places/new/")
        bench.save(name=f"{appliance.title()} 1", appliance=appliance)
        bench.asked(f"{appliance.title()} 1")
        made[appliance] = bench.code_here()
    bench.open("/rotors/new/")
    bench.save(name="4 × 750", centrifuge="C1", places=4, radius_mm=250, most_rpm=4200, pair_limit_g=2)
    bench.asked("C1, 4 × 750")
    bench.save(
        name="Hard",
        species=species,
        rcf=4900,
        minutes=1,
        temperature_c=4,
        brake=2,
        validated="Invented, 2026",
    )
    expect(bench.page.locator("main")).to_contain_text("4 187 rpm".replace(" ", "\u202f"))
    bench.open("/bag-sets/new/")
    bench.save(
        maker_lot="INV-1",
        expires_on="31 Jan 2099",
        title="Invented set",
        species=species,
        nominal_ml=nominal_ml,
        anticoagulant="CPDA-1",
        anticoagulant_ml=nominal_ml * 14 // 100,
        additive="Invented additive" if additive_ml else "",
        additive_ml=additive_ml or "",
        main_bag_empty_g=MAIN_BAG_G,
        plasma_bag_empty_g=PLASMA_BAG_G,
    )
    expect(bench.page).to_have_url(re.compile(r"/bag-sets/L"))
    made["lot"] = bench.code_here()
    bench.open("/donors/new/")
    bench.save(
        name="Bramble", species=species, sex="female", born_on="1 May 2021", cautions="Ears are touchy"
    )
    expect(bench.page).to_have_url(re.compile(r"/donors/D"))
    made["donor"] = bench.code_here()
    return made


def draw(bench: Bench, made: dict[str, str], *, weight_kg: str, blood_type: str, wanted_ml: int) -> str:
    """Gives the donation: begun four minutes ago, ended three minutes ago, as wanted."""
    target_g = TARE_G + round(wanted_ml * 1.053)
    bench.open(f"/donors/{made['donor']}/type/")
    bench.press(blood_type=blood_type)
    bench.open("/draws/new/")
    bench.give(made["donor"])
    bench.asked("Bramble cannot give today")
    bench.press()
    bench.press(weight_g=weight_kg, pcv_permille="43")
    bench.open("/draws/new/")
    bench.give(made["donor"])
    bench.asked("Which bag set?")
    bench.give(made["fridge"])
    bench.wrong_kind("place", "bag set lot")
    bench.give(made["lot"])
    bench.asked("What does the empty set weigh?")
    bench.press(tare_g="2O5")
    bench.refused("has the letter O in it")
    bench.press(tare_g=TARE_G)
    bench.asked("How much is to be drawn?")
    expect(bench.page.locator("#target")).to_contain_text(str(target_g))
    bench.press(happened_at=bench.ago(4))
    expect(bench.page).to_have_url(re.compile(r"/draws/G.*/finish/"))
    donation = bench.code_here()
    bench.press(gross_g="200")
    bench.refused("no more than the empty set")
    bench.press(gross_g=target_g, happened_at=bench.ago(3))
    return donation


def spin(bench: Bench, donation: str, mass_g: int) -> None:
    """A spin of one minute, started two minutes ago."""
    bench.open(f"/donations/{donation}/next/")
    bench.asked("Which programme runs?")
    bench.press(programme=bench.page.locator("[name=programme]").first.get_attribute("value"))
    bench.asked("What does this bag weigh")
    bench.press(mass_g=mass_g)
    bench.asked("Scan the next bag, or weigh the filler")
    expect(bench.page.locator(".answer")).to_contain_text(
        f"{mass_g - 2} g".replace(" ", NO_BREAK)
    )  # the filler
    bench.give(donation)
    bench.refused("is in this spin already")
    bench.press()
    bench.asked("What does the filler of place 3 weigh?")
    bench.press(filler_g=mass_g - 3)
    bench.refused("is wanted. Add some or take some away")
    bench.press(filler_g=mass_g - 1)
    bench.asked("Scan the next bag, or load as drawn")
    bench.press(happened_at=bench.ago(2))
    bench.asked("How did each bag come out?")
    bench.press(**{donation: "well separated"}, happened_at=bench.ago(2))
    bench.refused("cut short")
    bench.press(**{donation: "well separated"}, happened_at="")


def separate(bench: Bench, *, plasma_g: int, additive: bool) -> None:
    bench.asked("How much plasma came off?")
    bench.press(plasma_g="2000")
    bench.refused("of plasma cannot come out of")
    expect(bench.page.locator("[name=plasma_g]")).to_have_value("2000")
    bench.press(plasma_g=plasma_g)
    if additive:
        bench.asked("Did the additive run in?")
        bench.press(outcome="ran-in")
    bench.asked("Is there a clot?")
    bench.press(clots="none")
    bench.asked("How many segments")
    bench.press(segments="1")
    bench.refused("this site keeps 3 to 30")
    bench.press(segments="4")
    bench.asked("What does the bag of plasma weigh?")
    bench.press(gross_g=plasma_g + PLASMA_BAG_G + 30)
    bench.refused("The weight does not fit the rest: 30 g too much")
    bench.press(gross_g=plasma_g + PLASMA_BAG_G)
    bench.asked("What does the bag of red cells weigh?")
    expected = bench.page.locator(".key-number.target .key-value").inner_text()
    bench.press(gross_g=re.sub(r"\D", "", expected))


def label_and_put_away(bench: Bench, made: dict[str, str], product: str, appliance: str) -> str:
    """Prints, reads the bar codes of the printed page, scans one of them back, and puts the unit away."""
    bench.asked(f"Print the label of the {product}?")
    bench.press()
    bench.asked("Scan the label on the bag")
    unit = printed_code(bench)
    bench.give(unit)
    bench.asked(f"Put it into a {appliance}")
    wrong = "fridge" if appliance == "freezer" else "freezer"
    bench.tick("looks_well")
    bench.give(made[wrong])
    bench.refused(f"belongs in a {appliance}")
    bench.fill(place="")
    bench.give(made[appliance])
    return unit


def printed_code(bench: Bench) -> str:
    path = bench.page.locator("a[href$='label.pdf']").get_attribute("href")
    answer = bench.page.request.get(bench.bank.base_url + str(path))
    assert "application/pdf" == answer.headers["content-type"]
    return code_on(answer.body())


def code_on(label: bytes) -> str:
    """What a scanner reads from the label at the resolution of a label printer."""
    picture = pypdfium2.PdfDocument(label)[0].render(scale=203 / 72).to_pil()
    found = {str(each.format): each.text for each in zxingcpp.read_barcodes(picture)}
    assert 2 == len(found), found
    assert 1 == len(set(found.values()))
    return found.popitem()[1]


def walk(
    bench: Bench, species: str, *, weight_kg: str, blood_type: str, wanted_ml: int, additive_ml: int
) -> list[str]:
    made = set_up(bench, species, wanted_ml, additive_ml)
    donation = draw(bench, made, weight_kg=weight_kg, blood_type=blood_type, wanted_ml=wanted_ml)
    spin(bench, donation, TARE_G + round(wanted_ml * 1.053))
    if species == "dog":
        bench.asked("How much plasma came off?")
        bench.look("bench")
    separate(bench, plasma_g=wanted_ml // 2, additive=additive_ml > 0)
    cells = "red cells in additive" if additive_ml else "red cells"
    units = [
        label_and_put_away(bench, made, "fresh frozen plasma", "freezer"),
        label_and_put_away(bench, made, cells, "fridge"),
    ]
    expect(bench.page).to_have_url(re.compile(rf"/donations/{donation}/"))
    bench.open("/stock/")
    for unit in units:
        expect(bench.page.locator("main")).to_contain_text(f"{unit[:5]}-{unit[5:12]}-{unit[12:]}")
    assert "is whole" in bench.bank.cli("verify")
    assert "equal, row for row" in bench.bank.cli("rebuild", "--check")
    return units


def test_a_dog_walks_from_the_donor_to_the_shelf_by_scan(bank: Bank, browser_page: Page) -> None:
    bench = Bench(browser_page, bank, by_scan=True)
    units = walk(bench, "dog", weight_kg="32", blood_type="DEA 1 negative", wanted_ml=450, additive_ml=100)
    bench.give(units[0])
    bench.asked("Unit")
    bench.look("unit")


def test_a_cat_walks_from_the_donor_to_the_shelf_by_hand(bank: Bank, browser_page: Page) -> None:
    bench = Bench(browser_page, bank, by_scan=False)
    walk(bench, "cat", weight_kg="5.2", blood_type="A", wanted_ml=50, additive_ml=0)
