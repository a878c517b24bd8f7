"""The guide shows every page of the bench, and each picture in it can be made anew.

BUFFYCOAT_GUIDE=docs/guide python3 start.py test tests/guide     makes them
"""

import os
import re
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.guide.pages import BESIDE, Way, asks, bench_pages
from tests.guide.pictures import FOLDER, MOST_BYTES_IN_ALL, SIZES, faults, name_of, take
from tests.harness.browser import accessibility_faults
from tests.harness.server import Bank
from tests.looking import cut_at_200_percent, lost_in_forced_colours, note_shifts, shifts

MADE_ANEW = os.environ.get("BUFFYCOAT_GUIDE", "")
PICTURE = re.compile(r"!\[([^\]]+)\]\((\S+\.png)\)|\]\((\S+-desk\.png)\)")


@pytest.mark.one_database
def test_the_way_of_a_unit_leads_over_every_page_of_the_bench(
    demo_bank: Bank, browser_page: Page, tmp_path: Path
) -> None:
    note_shifts(browser_page)
    seen, wrong = [], []
    for template in Way(browser_page, demo_bank).stops():
        seen.append(template)
        if template not in BESIDE:
            expect(browser_page.locator("body.bench h1")).to_contain_text(asks(template))
            wrong += [(template, fault) for fault in shifts(browser_page)]
        wrong += [(template, fault) for fault in looked_at(browser_page, template, tmp_path)]
    assert [] == wrong
    assert {*BESIDE, *bench_pages()} == set(seen)


def looked_at(page: Page, template: str, folder: Path) -> list[str]:
    found = cut_at_200_percent(page) + lost_in_forced_colours(page)
    for (size, viewport), theme in zip(SIZES.items(), ("dim", "light"), strict=True):
        page.set_viewport_size(viewport)
        page.evaluate("theme => document.documentElement.dataset.theme = theme", theme)
        found += [f"{theme}: {fault}" for fault in accessibility_faults(page)]
        page.evaluate("document.documentElement.dataset.theme = 'light'")
        tall, wide = page.evaluate(
            "[document.querySelector('.top').offsetHeight, document.documentElement.scrollWidth]"
        )
        found += [f"{size}: top bar of {tall} px"] if tall > 70 else []
        found += [f"{size}: {wide} px wide"] if wide > viewport["width"] else []
        if MADE_ANEW:
            found += faults(take(page, template, size, Path(MADE_ANEW)), size)
    return found


def test_the_guide_shows_each_page_of_the_bench_at_both_sizes() -> None:
    shown = {name for _, inside, linked in PICTURE.findall(guide()) for name in (inside, linked) if name}
    assert {name_of(page, size) for page in {*BESIDE, *bench_pages()} for size in SIZES} == shown
    assert shown == {path.name for path in FOLDER.glob("*.png")}


def test_each_picture_of_the_guide_has_its_size_its_words_and_is_small_and_not_blank() -> None:
    for words, name, _ in PICTURE.findall(guide()):
        assert not name or len(words.split()) >= 3, name
    assert [] == [
        fault for size in SIZES for path in FOLDER.glob(f"*-{size}.png") for fault in faults(path, size)
    ]
    assert MOST_BYTES_IN_ALL > sum(path.stat().st_size for path in FOLDER.glob("*.png"))


def test_a_blank_picture_and_one_of_another_size_are_found(tmp_path: Path) -> None:
    blank, small = tmp_path / "blank.png", tmp_path / "small.png"
    Image.new("RGB", (1024, 768), "white").save(blank)
    Image.radial_gradient("L").save(small)
    assert ["blank.png: blank"] == faults(blank, "tablet")
    assert ["small.png: (256, 256)"] == faults(small, "tablet")


def guide() -> str:
    return (FOLDER / "README.md").read_text()
