"""From the drawn bag to the shelf with scanner, scale and label printer: every touch of the screen is counted."""

import inspect
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from buffycoat.draws.stickers import sticker
from buffycoat.science.numbering import make_code
from buffycoat.shell.command_cards import CARDS
from tests.benches.scales import Terminal, scale_program, terminal
from tests.harness.printer import Printer, printer
from tests.harness.server import Bank
from tests.keeping.conftest import in_bank
from tests.scanner import scan
from tests.test_walk_in_browser import code_on

pytestmark = pytest.mark.one_database
LONG_MS = 120_000  # for an event; how long it takes is no part of any test
CLASH_MS = 400  # two codes closer than that would be a clash
MAKE = """
import django; django.setup()
from datetime import UTC, datetime, timedelta
from buffycoat.site.rules import SetLimit
from buffycoat.spins.rotors import WriteProgramme
from tests.pages import near_noon
from tests.walk import PROGRAMME
walk = near_noon(timedelta(minutes=90))
walk.do(SetLimit(key="scale_hold_ms", value=500, reason="A test does not wait long"))
other = walk.spun("dog")
named = {"rotor": walk.a_rotor(), "name": "Hard dog", "species": "dog"}
walk.do(WriteProgramme(**named, **{**PROGRAMME, "duration_s": 60}))
print(walk.drawn("dog"), other, walk.a_place("freezer"), walk.a_place("fridge"))
"""
# No test waits for a centrifuge: the same start is written two minutes earlier.
EARLIER = """
import django; django.setup()
from datetime import timedelta
from buffycoat.journal.book import Book
from buffycoat.journal.models import Entry
from buffycoat.journal.record import record
from buffycoat.journal.strike import strike
from buffycoat.spins.models import SpinRow
from buffycoat.spins.rules import Spin, SpinBag, SpinFiller, StartSpin
row = SpinRow.objects.get(finished_at=None)
spin = Book()(Spin, row.spin)
strike(Entry.objects.get(kind="spin-started", stream=f"spin/{row.spin}").number, reason="Begun earlier", by="robin")
bags = tuple(SpinBag(donation=each.donation, mass_g=each.mass_g, scale=each.scale)
             for each in spin.started.places if each.donation)
fillers = tuple(SpinFiller(place=each.place, mass_g=each.filler_g, scale=each.filler_scale)
                for each in spin.started.places if each.filler_g)
same = StartSpin(rotor=spin.started.rotor, programme=spin.started.programme.name, bags=bags, fillers=fillers)
record(same, by="robin", happened_at=spin.started_at - timedelta(minutes=2))
for each in same.bags + same.fillers:
    print(each.scale)
"""
# Each touch of the glass, turn of a wheel and key that no scanner sends; the keys of a scan run from prefix to Enter.
WATCH = """(() => {
  let scanning = false;
  const told = (event) => event.isTrusted && window.touched(`${event.type} ${event.key ?? ""}`);
  for (const kind of ["pointerdown", "wheel"]) addEventListener(kind, told, { capture: true, passive: true });
  addEventListener("keydown", (event) => {
    if (event.key === "F9") scanning = true;
    else if (!scanning) told(event);
    else if (event.key === "Enter") scanning = false;
  }, true);
})()"""


def still(g: float) -> str:
    return f"ST,GS,+{g:8.1f} g"


def moving(g: float) -> str:
    return f"US,GS,+{g:8.1f} g"


@dataclass
class Bench:
    """A gloved person: what they scan and what they lay on the scale."""

    page: Page
    bank: Bank
    scale: Terminal
    printer: Printer
    touches: list[str] = field(default_factory=list)

    def asked(self, question: str) -> None:
        expect(self.page.locator("h1")).to_contain_text(question, timeout=LONG_MS)

    def scanned(self, code: str, said: str) -> None:
        """Scans and waits for the answer in the strip."""
        scan(self.page, code)
        expect(self.page.locator("[data-scan-strip]")).to_contain_text(said, timeout=LONG_MS)
        self.page.wait_for_timeout(CLASH_MS)

    def card(self, title: str) -> None:
        scan(
            self.page,
            "]C0" + next(make_code("C", "HAVN", each.serial) for each in CARDS if title == each.title),
        )

    def answer(self, figure: int, words: str) -> None:
        self.card(f"Answer {figure}")
        expect(self.page.locator("[data-scan-strip]")).to_contain_text(words, timeout=LONG_MS)
        self.page.wait_for_timeout(CLASH_MS)

    def lay(self, g: int) -> None:
        """Empties the pan, lays something on it, and waits until the page has gone on by itself."""
        address = self.page.url
        self.scale.line = still(0)
        expect(self.page.locator("[data-scale-number]")).to_have_text("0", timeout=LONG_MS)
        self.scale.line = still(g)
        self.page.wait_for_url(lambda url: url != address, timeout=LONG_MS)

    def expected_g(self) -> int:
        """What the page says that the scale will show."""
        return int(re.sub(r"\D", "", self.page.locator(".key-number.target .key-value").inner_text()))


@contextmanager
def watched(page: Page) -> Iterator[list[str]]:
    """Every touch from now on, on every page that comes."""
    touches: list[str] = []
    page.expose_binding("touched", lambda _, what: touches.append(what))
    page.add_init_script(WATCH)
    page.reload()
    yield touches


@pytest.fixture
def bench(bank: Bank, browser_page: Page, tmp_path: Path) -> Iterator[Bench]:
    """A bench that somebody set up: a scale at the end of a cable, read by its program, and a label printer."""
    page = browser_page
    bank.sign_in(page)
    with terminal(tmp_path, still(0)) as scale, printer(tmp_path / "printed") as labels:
        page.goto(f"{bank.base_url}/bench/")
        page.locator("[name=name]").fill("Window bench")
        page.locator("[name=scale][value=process]").check()
        page.locator("[name=printer_address]").fill(labels.address)
        page.locator("main .button-main").click()
        page.locator("form[action='/bench/key/'] button").click()
        key = page.locator("code.key").inner_text()
        with scale_program(bank, key, str(scale.path)):
            page.goto(bank.base_url)
            with watched(page) as touches:
                yield Bench(page, bank, scale, labels, touches)


def load_and_start(bench: Bench, donation: str) -> None:
    scan(bench.page, donation)
    bench.asked("Which programme runs?")
    bench.answer(1, "Hard dog")
    bench.card("Next")
    bench.asked("What does this bag weigh")
    bench.lay(734)
    bench.asked("Scan the next bag, or weigh the filler")
    bench.scanned(sticker(donation, "V"), "That is a tube's sticker. Scan the main bag.")
    bench.card("Next")
    bench.asked("What does the filler of place 3 weigh?")
    bench.lay(734)
    bench.asked("Scan the next bag, or load as drawn and start")
    bench.card("Next")
    bench.asked("How did each bag come out?")


def stickers_are_told_apart(bench: Bench, other: str, in_spin: str) -> None:
    """While the rotor turns: another bag in hand, and wrong scans that change nothing."""
    scan(bench.page, other)
    bench.asked("How much plasma came off?")
    address = bench.page.url
    bench.scanned(
        sticker(other, "V"), "That is a tube's sticker. Scan the main bag or the sticker of satellite bag 1."
    )
    bench.scanned(sticker(other, "K"), "That is a sticker of satellite bag 2.")
    bench.scanned(sticker(other, "J")[:-1] + "X", "That is not a code of ours")
    bench.scanned(sticker(other, "J"), "Right: the sticker of satellite bag 1 of this donation.")
    bench.scanned(other, "Right: the main bag of this donation.")
    assert address == bench.page.url
    scan(bench.page, sticker(in_spin, "J"))
    bench.asked("How did each bag come out?")


def spun_well(bench: Bench) -> None:
    expect(bench.page.locator(".clock-late")).to_be_visible(timeout=LONG_MS)
    bench.answer(1, "Well separated")
    bench.card("Next")


def everything_to_look_at_is_on_the_first_screen(page: Page) -> None:
    """Of a small tablet, with the guidance open: the bag with its line, the mass, and the field for it."""
    before = page.viewport_size
    page.set_viewport_size({"width": 1024, "height": 768})
    bar = page.locator(".hand-rest").bounding_box()
    assert bar
    assert page.locator(".guide[open]").count()
    for sight in ("svg.pic-bag", "[data-scale-number]", "[name=plasma_g]"):
        box = page.locator(sight).bounding_box()
        assert box and box["y"] + box["height"] <= bar["y"], sight
    if before:
        page.set_viewport_size(before)


def press_off(bench: Bench, donation: str) -> int:
    bench.asked("How much plasma came off?")
    stop_g = int(bench.page.locator("[data-scale-stop]").inner_text())
    words = bench.page.locator("[data-scale-words]")
    everything_to_look_at_is_on_the_first_screen(bench.page)
    bench.scale.line = still(0)
    expect(words).to_contain_text("Not there yet.")
    bench.scale.line = moving(stop_g - 5)
    expect(words).to_contain_text("Nearly there")
    bench.scanned(sticker(donation, "J"), "Right: the sticker of satellite bag 1 of this donation.")
    bench.scale.line = still(stop_g)
    expect(words).to_contain_text("Stop now: clamp.")
    expect(bench.page.locator("[name=plasma_g]")).to_have_value(str(stop_g))
    bench.card("Next")
    return stop_g


def look_and_seal(bench: Bench) -> None:
    bench.asked("Did the additive run in?")
    bench.answer(1, "It ran in")
    bench.card("Next")
    bench.asked("Is there a clot?")
    bench.answer(1, "No clot")
    bench.card("Next")
    bench.asked("How many segments")
    bench.answer(4, "Typed 4")
    bench.card("Next")


def weigh_each(bench: Bench, donation: str) -> None:
    bench.asked("What does the bag of plasma weigh?")
    bench.scanned(donation, "That is a main bag. Scan the sticker of satellite bag 1.")
    bench.scanned(sticker(donation, "J"), "Right: the sticker of satellite bag 1 of this donation.")
    bench.lay(bench.expected_g())
    bench.asked("What does the bag of red cells weigh?")
    bench.scanned(sticker(donation, "J"), "That is a sticker of satellite bag 1. Scan the main bag.")
    bench.lay(bench.expected_g())


def label_and_put_away(bench: Bench, product: str, place: str, right: str, wrong: str) -> str:
    bench.asked(f"Print the label of the {product}?")
    bench.card("Next")
    bench.asked("Scan the label on the bag")
    expect(bench.page.locator(".printer-said")).to_contain_text("sent to")
    bench.scanned(wrong, "That is a")
    bench.scanned(right, "Right: the")
    unit = code_on(bench.printer.printed()[-1].read_bytes())
    scan(bench.page, f"]C0{unit}")
    bench.asked("and scan the card on the door")
    bench.answer(1, "Looked at: no clot")
    scan(bench.page, place)
    return unit


def test_a_whole_separation_runs_with_scanner_and_scale_and_no_touch(bench: Bench) -> None:
    donation, other, freezer, fridge = in_bank(bench.bank, MAKE).split()
    load_and_start(bench, donation)
    weighed = in_bank(bench.bank, EARLIER).splitlines()
    assert [True, True] == ["ST,GS,+   734.0 g (still" in scale for scale in weighed]
    stickers_are_told_apart(bench, other, donation)
    spun_well(bench)
    press_off(bench, donation)
    look_and_seal(bench)
    weigh_each(bench, donation)
    bag_1 = sticker(donation, "J")
    units = [
        label_and_put_away(bench, "fresh frozen plasma", freezer, bag_1, donation),
        label_and_put_away(bench, "red cells in additive", fridge, donation, bag_1),
    ]
    expect(bench.page).to_have_url(re.compile(rf"/donations/{donation}/"), timeout=LONG_MS)
    stock = bench.page.request.get(f"{bench.bank.base_url}/stock/").text()
    assert [True, True] == [unit[5:12] in re.sub(r"<[^>]+>|\s", "", stock) for unit in units]
    assert [] == bench.touches
    assert 2 == len(bench.printer.printed())
    assert "is whole" in bench.bank.cli("verify")


def test_a_press_a_key_and_a_wheel_are_counted_as_touches(bench: Bench) -> None:
    donation = in_bank(bench.bank, MAKE).split()[0]
    scan(bench.page, donation)
    bench.asked("Which programme runs?")
    assert [] == bench.touches
    bench.page.locator("main .tile").first.click()
    bench.page.keyboard.press("Tab")
    bench.page.mouse.wheel(0, 10)
    bench.page.wait_for_timeout(CLASH_MS)
    assert ["pointerdown", "keydown Tab", "wheel"] == [each.strip() for each in bench.touches]


def test_the_walk_without_a_touch_holds_no_touch_in_its_own_code() -> None:
    module = sys.modules[__name__]
    steps = (load_and_start, stickers_are_told_apart, spun_well, press_off, look_and_seal, weigh_each,
             label_and_put_away, Bench, test_a_whole_separation_runs_with_scanner_and_scale_and_no_touch)  # fmt: skip
    touching = re.compile(r"\.(click|check|fill|press|tap|dblclick|dispatch_event|set_checked|goto)\(")
    assert [] == [each for step in steps for each in touching.findall(inspect.getsource(step))]
    assert touching.findall(inspect.getsource(module)), "the control, and the bench that is set up, do touch"
