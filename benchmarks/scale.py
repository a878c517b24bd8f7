"""How long a weight takes from the scale's cable to the page: terminal, scale program, server, browser.

python -m benchmarks.scale --weights 200 --seed 1
"""

import argparse
import os
import random
import statistics
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Page

from tests.benches.scales import scale_program
from tests.harness.browser import browser
from tests.harness.server import Bank, Stable

WATCH = """() => { window.seen = [];
    const number = document.querySelector("[data-look-number]");
    new MutationObserver(() => window.seen.push([number.textContent, Date.now()])).observe(number, { childList: true });
}"""


def set_up(page: Page, bank: Bank) -> str:
    """A bench with a scale program; gives its key. The bench's page shows the live weight, as every weighing page."""
    bank.sign_in(page)
    page.goto(f"{bank.base_url}/bench/")
    page.locator("[name=name]").fill("Measured bench")
    page.locator("[name=scale][value=process]").check()
    page.locator("main .button-main").click()
    page.locator("form[action='/bench/key/'] button").click()
    return page.locator("code.key").inner_text()


def measure(page: Page, cable: int, weights: int, chance: random.Random) -> list[float]:
    """Milliseconds from the write of a line to the change of the number on the page, one for each weight."""
    taken = []
    for n in range(weights):
        grams = 100 + n
        time.sleep(chance.uniform(0.3, 0.6))
        written_at = time.time()
        os.write(cable, f"ST,GS,+{grams:8.1f} g\r\n".encode())
        while not (
            seen := page.evaluate("text => window.seen.find(([shown]) => shown === text)", str(grams))
        ):
            page.wait_for_timeout(20)
        taken.append(seen[1] - written_at * 1000)
    return taken


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--weights", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    ours, theirs = os.openpty()
    with (
        tempfile.TemporaryDirectory() as folder,
        Stable(Path(folder), "").empty().serving() as bank,
        browser() as driven,
    ):
        page = driven.new_page()
        key = set_up(page, bank)
        with scale_program(bank, key, os.ttyname(theirs)):
            page.goto(f"{bank.base_url}/bench/")
            while page.locator("[data-look-number]").inner_text() != "99":
                os.write(ours, b"ST,GS,+    99.0 g\r\n")
                time.sleep(0.1)
            page.evaluate(WATCH)
            taken = sorted(measure(page, ours, asked.weights, random.Random(asked.seed)))
    at = statistics.quantiles(taken, n=100, method="inclusive")
    print(
        f"{len(taken)} weights, seed {asked.seed}: median {at[49]:.0f} ms, p95 {at[94]:.0f} ms, most {taken[-1]:.0f} ms"
    )


if __name__ == "__main__":
    main()
