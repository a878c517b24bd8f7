"""What a scanner says to a page: wrong codes change nothing, and command cards press what a hand would press."""

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import expect

from buffycoat.science.numbering import KINDS, make_code
from buffycoat.shell.command_cards import CARDS, command_sheet
from tests.scanner import scan

pytestmark = pytest.mark.one_database

SITE = "HAVN"
UNIT = make_code("U", "KTRA", 4217)


def card(command):
    return make_code("C", SITE, next(card.serial for card in CARDS if card.command == command))


def said(page):
    return page.locator("[data-scan-strip]").inner_text()


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"U", "H"}))  # H: a badge asks for its PIN on any page
def test_a_code_of_the_wrong_kind_is_named_and_not_used(shown, kind):
    page = shown("/choose/")
    scan(page, make_code(kind, "KTRA", 4217))
    noun = "main bag" if kind == "G" else KINDS[kind]
    assert f"That is a {noun}. Scan the unit." == said(page)
    assert "" == page.locator("#id_bag").input_value()


def test_a_damaged_code_is_not_used(shown):
    page = shown("/choose/")
    scan(page, UNIT[:-3] + "9" + UNIT[-2:])
    assert "The code was misread: its last two figures do not fit. Scan it again." == said(page)
    assert "" == page.locator("#id_bag").input_value()


@pytest.mark.parametrize(
    "foreign", ["4006381333931", "LOT2024-AB/7", "]E04006381333931", "]C10104006381333931"]
)
def test_a_foreign_code_is_not_used(shown, foreign):
    page = shown("/choose/")
    scan(page, foreign)
    assert "not" in said(page) and "ours" in said(page)
    assert "" == page.locator("#id_bag").input_value()


def test_word_shape_and_sound_come_together(shown):
    page = shown("/choose/")
    strip = page.locator("[data-scan-strip]")
    scan(page, make_code("P", "KTRA", 1))
    expect(strip).to_have_class("scan-strip wrong")
    assert '"✗"' == strip.evaluate("strip => getComputedStyle(strip, '::before').content")
    page.wait_for_timeout(400)  # two codes closer than 300 ms are a clash
    scan(page, card("answer-1"))
    expect(strip).to_have_class("scan-strip accepted")
    assert '"✓"' == strip.evaluate("strip => getComputedStyle(strip, '::before').content")


def test_answer_cards_pick_tiles_and_next_sends(shown):
    page = shown("/choose/")
    scan(page, card("answer-2"))
    expect(page.locator("#id_look_1")).to_be_checked()
    assert "Answer 2: Red" == said(page)
    scan(page, card("next"))
    expect(page).to_have_title("POST ")


def test_answer_cards_type_figures_where_a_number_is_asked_for(shown):
    page = shown("/weigh/")
    for figure in "231":
        scan(page, card(f"answer-{figure}"))
        expect(page.locator("[data-scan-strip]")).to_have_text(f"Typed {'231'[: '231'.index(figure) + 1]}")
    assert "231" == page.locator("#id_plasma_g").input_value()


def test_an_answer_card_ticks_what_was_looked_at_and_never_takes_a_tick_off(shown):
    page = shown("/choose/")
    page.evaluate("document.querySelector('fieldset.tiles').remove()")
    for _ in range(2):
        scan(page, card("answer-1"))
        expect(page.locator("#id_sure")).to_be_checked()
        expect(page.locator("[data-scan-strip]")).to_have_text("Answer 1: Both clamps are closed")
        page.wait_for_timeout(2_100)  # sooner, the same code is the same scan
    scan(page, card("answer-2"))
    expect(page.locator("[data-scan-strip]")).to_have_text("There is no answer 2 here.")


@pytest.mark.parametrize(
    ("command", "words"),
    [
        ("answer-9", "There is no answer 9 here."),
        ("print", "There is nothing to print on this page."),
        ("undo", "There is nothing to take back here."),
        ("problem", "Nothing is in hand: scan the bag first."),
    ],
)
def test_a_card_that_has_nothing_to_do_says_so(shown, command, words):
    page = shown("/choose/")
    scan(page, card(command))
    expect(page.locator("[data-scan-strip]")).to_have_text(words)


def test_what_must_be_decided_by_hand_is_not_pressed_by_a_card(shown):
    page = shown("/choose/")
    page.locator("[data-main]").evaluate("button => (button.dataset.byHand = '')")
    scan(page, card("next"))
    expect(page.locator("[data-scan-strip]")).to_have_text("This must be decided by hand, not by a card.")
    assert page.url.endswith("/choose/")


def test_back_and_hold_leave_the_page(shown):
    page = shown("/weigh/")
    page.route(lambda url: url.endswith(":8999/"), lambda route: route.fulfill(body="Today"))
    page.goto(page.url.replace("/weigh/", "/choose/"))
    scan(page, card("back"))
    page.wait_for_url("**/weigh/")
    scan(page, card("hold"))
    page.wait_for_url(lambda url: url.endswith(":8999/"))


def test_every_command_card_is_printed_and_read_back():
    sheets = pypdfium2.PdfDocument(command_sheet("Invented bank", SITE))
    read = {
        code.text
        for sheet in sheets
        for code in zxingcpp.read_barcodes(sheet.render(scale=300 / 72).to_pil())
    }
    assert {make_code("C", SITE, each.serial) for each in CARDS} == read


def test_a_card_of_another_site_commands_nothing(shown):
    page = shown("/choose/")
    scan(page, make_code("C", "KTRA", 1))
    assert "That is a command card. Scan the unit." == said(page)
    assert page.url.endswith("/choose/")
