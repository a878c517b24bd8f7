"""Every page of the bench, in the order of the blood, and how to come to stand on it in the demo bank."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.harness.server import Bank

SOURCE = Path(__file__).resolve().parents[2] / "src" / "buffycoat"
EXTENDS = re.compile(r'^{% extends "([\w/]+\.html)" %}')
QUESTION = re.compile(r"{% block question %}(.*?){% endblock %}", re.S)
TAG = re.compile(r"{[{%].*?[%}]}")
BENCH = "shell/bench.html"
BESIDE = (
    "trace/today",
    "storage/stock",
    "trace/unit",
)  # pages of the desk that the bench begins and ends with


def templates() -> dict[str, str]:
    return {
        str(path).split("/templates/")[1]: path.read_text() for path in SOURCE.glob("*/templates/*/*.html")
    }


def bench_pages() -> set[str]:
    """The template of each page of the bench; of those that others extend, only the others."""
    found = templates()
    parents = {name: match[1] for name, text in found.items() if (match := EXTENDS.match(text))}
    bench = {name for name in parents if BENCH in _ancestors(name, parents)}
    return {name.removesuffix(".html") for name in bench if name not in parents.values()}


def _ancestors(name: str, parents: dict[str, str]) -> Iterator[str]:
    while name := parents.get(name, ""):
        yield name


def asks(template: str) -> re.Pattern[str]:
    """What the template may ask, each part that it fills in standing for anything."""
    found = QUESTION.search(templates()[f"{template}.html"])
    assert found, template
    words = [re.escape(" ".join(part.split())) for part in TAG.split(found[1]) if len(part.split()) > 1]
    assert words, template
    return re.compile("|".join(words))


@dataclass
class Way:
    """One person on the demo's last day. Each stop is the template of the page that the browser stands on."""

    page: Page
    bank: Bank

    def stops(self) -> Iterator[str]:
        self.bank.sign_in(self.page)
        yield "trace/today"
        yield from self._donor_and_draw()
        yield from self._spin()
        yield from self._separation()
        yield from self._shelf()
        yield from self._changes()
        yield from self._patient()
        yield from self._otherwise()

    def _donor_and_draw(self) -> Iterator[str]:
        donor, tired = (
            self._code("/donors/?find=Sorrel", "donors"),
            self._code("/donors/?find=Bramble", "donors"),
        )
        self._open(f"/donors/{donor}/type/")
        yield "donors/type"
        self._open(f"/donors/{donor}/examine/")
        yield "donors/examine"
        self._open("/draws/new/")
        yield "draws/start_donor"
        self._open(f"/draws/new/?donor={tired}")
        yield "draws/start_stop"
        self._open(f"/draws/new/?donor={donor}")
        yield "draws/start_lot"
        lot = self._code("/bag-sets/", "bag-sets", "Dog 450, plasma bag and additive")
        self._open(f"/draws/new/?donor={donor}&lot={lot}")
        yield "draws/start_tare_g"
        self._answer(tare_g=262)
        yield "draws/start_volume"
        self._take_up("Draw running")
        yield "draws/running"
        self._answer(gross_g=self._target())
        yield "draws/result"
        self._open(f"/draws/{self._code_here()}/discard/")
        yield "draws/discard"

    def _spin(self) -> Iterator[str]:
        self._take_up("Waits for the spin")
        yield "spins/choose_programme"
        self.page.locator("[name=programme]").first.check()
        self._answer()
        yield "spins/weigh_bag"
        self._answer(mass_g=740)
        yield "spins/plan"
        self._answer()
        yield "spins/weigh_filler"
        self._take_up("In the centrifuge")
        yield "spins/finish"

    def _separation(self) -> Iterator[str]:
        self._take_up("Press off the plasma")
        yield "separation/express"
        self._open(f"/separation/{self._waiting()}/keep-whole/")
        yield "separation/keep_whole"
        self._take_up("Add the additive")
        yield "separation/additive"
        self._answer(outcome="ran-in")
        yield "separation/clots"
        self._answer(clots="none")
        yield "separation/segments"
        self._answer(segments=4)
        yield "separation/weigh"

    def _shelf(self) -> Iterator[str]:
        donation = self._code_here()
        self._answer(gross_g=self._target())
        self._answer(gross_g=self._target())
        yield "labels/print"
        self._answer()
        yield "labels/scan_back"
        unit = self._code(f"/donations/{donation}/", "units")
        self._open(f"/labels/{donation}/scan-back/")
        self._scan(unit)
        yield "storage/put_away"
        self._open("/put-away/")
        yield "storage/find_unit"
        self._open("/stock/")
        yield "storage/stock"
        self._open(f"/units/{self._code('/stock/', 'units')}/")
        yield "trace/unit"

    def _changes(self) -> Iterator[str]:
        cells = self._code("/stock/?product=red-cells-additive", "units")
        plasma = self._code("/stock/?product=fresh-frozen-plasma", "units")
        self._open(f"/units/{cells}/take-out/")
        yield "storage/take_out"
        self._open(f"/units/{cells}/change/")
        yield "changes/change"
        for unit, change in ((cells, "open"), (cells, "irradiate"), (plasma, "cryo"), (plasma, "freeze")):
            self._open(f"/units/{unit}/{change}/")
            yield f"changes/{change}"
        self._open(f"/units/{plasma}/thaw/")
        yield "changes/thaw"
        self._open(f"/units/{cells}/divide/")
        yield "changes/divide"
        self._answer(parts=2, empty_g=20, closed="closed")
        yield "changes/weigh"

    def _patient(self) -> Iterator[str]:
        self._open("/patients/new/")
        self._fill(name="Juniper", species="cat", sex="female", weight_g="4.2", where="Ward 2")
        self._open(f"/patients/{self._code_here()}/type/")
        yield "patients/type"
        self._open(f"/patients/{self._code_here()}/request/")
        self._fill(
            kind_wanted="red cells", volume_ml=40, urgency="today", why="Anaemia", asked_by="The veterinarian"
        )
        self._open(f"/requests/{self._code_here()}/issue/")
        yield "issuing/issue"
        self._open(f"/places/{self._code('/places/', 'places', 'Fridge dogs')}/count/")
        yield "storage/count"

    def _fill(self, **answers: object) -> None:
        """A form of the desk: each field, then its button."""
        before = self.page.url
        for name, value in answers.items():
            field = self.page.locator(f"main [name={name}]:not([type=hidden])")
            if field.first.get_attribute("type") == "radio":
                self.page.locator(f"main [name={name}][value='{value}']").check()
            else:
                field.first.fill(str(value))
        self.page.locator("main form button.button-main").click()
        self.page.wait_for_function("url => location.href !== url", arg=before)

    def _otherwise(self) -> Iterator[str]:
        unit = self._code("/stock/", "units")
        self._open(f"/units/{unit}/discard/")
        yield "storage/discard"
        self._take_up("Press off the plasma")
        self.page.locator("[data-undo]").first.click()
        yield "trace/undo"
        self._open("/problem/")
        yield "problems/find_thing"
        self._take_up("Press off the plasma")
        self.page.locator("[data-problem]").first.click()
        yield "problems/problem"
        self._open("/temperatures/read/")
        yield "temperatures/find_place"
        self._open(f"/temperatures/{self._code('/places/', 'places', 'Fridge dogs')}/read/")
        yield "temperatures/read"
        self._open("/catch-up/")
        yield "outage/catch_up"

    def _open(self, path: str) -> None:
        self.page.goto(self.bank.base_url + path)

    def _take_up(self, step: str) -> None:
        """From the page Today, the first job whose next step this is."""
        self._open("/")
        self.page.locator(".job-card", has_text=step).first.locator("a").first.click()

    def _answer(self, **answers: object) -> None:
        for name, value in answers.items():
            field = self.page.locator(f"main [name={name}]:not([type=hidden])")
            if field.first.get_attribute("type") == "radio":
                self.page.locator(f"main [name={name}][value='{value}']").check()
            else:
                field.first.fill(str(value))
        before = self.page.url, self.page.locator("h1").inner_text()
        self.page.locator("[data-main]").click()
        expect(self.page.locator("main .problems")).to_have_count(0)
        self.page.wait_for_function(
            "([url, h1]) => location.href !== url || document.querySelector('h1')?.innerText !== h1",
            arg=before,
        )

    def _scan(self, code: str) -> None:
        field = self.page.locator("main [data-scan-field]").first
        field.fill(code)
        field.press("Enter")
        self.page.wait_for_url("**/put-away/**")

    def _target(self) -> str:
        """The mass that the page says to expect."""
        return re.sub(r"\D", "", self.page.locator(".key-number.target .key-value").first.inner_text())

    def _code(self, path: str, room: str, row: str = "") -> str:
        """The code behind the first link of that room on a page, or of the row with those words."""
        self._open(path)
        rows = self.page.locator("main tr", has_text=row) if row else self.page.locator("main")
        links = rows.first.locator(f"a[href^='/{room}/']").all()
        codes = [re.search(r"/([A-Z]{5}\d{9})/", str(link.get_attribute("href"))) for link in links]
        return next(found[1] for found in codes if found)

    def _code_here(self) -> str:
        found = re.search(r"/([A-Z]{5}\d{9})/", self.page.url)
        assert found, self.page.url
        return found[1]

    def _waiting(self) -> str:
        self._open("/")
        link = self.page.locator(".job-card", has_text="Waits for the spin").first.locator("a").first
        found = re.search(r"[A-Z]{5}\d{9}", str(link.get_attribute("href")))
        assert found
        return found[0]
