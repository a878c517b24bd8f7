"""What only a browser can show: accessibility, sizes, scanning, clocks, sending once."""

import pytest
from playwright.sync_api import expect

from buffycoat.science.numbering import make_code
from tests.harness.browser import accessibility_faults
from tests.scanner import scan

pytestmark = pytest.mark.one_database

UNIT, OTHER, DONOR = make_code("U", "KTRA", 4217), make_code("U", "KTRA", 4218), make_code("D", "KTRA", 12)
PAGES = ["/weigh/", "/weigh/?wrong", "/choose/", "/today/?wrong", "/stock/", "/pictures/"]
GLOVE_PX = 104  # 20 mm on a tablet of 132 px to the inch
TEXTS_THAT_OVERLAP = """() => [...document.querySelectorAll("svg.pic")].flatMap((svg) => {
  const texts = [...svg.querySelectorAll("text")].filter((t) => t.textContent.trim());
  const boxes = texts.map((t) => t.getBoundingClientRect());
  const frame = svg.getBoundingClientRect();
  const beside = (a, b) => a.right <= b.left + 1 || b.right <= a.left + 1;
  const apart = (a, b) => beside(a, b) || a.bottom <= b.top + 4 || b.bottom <= a.top + 4;
  return texts.flatMap((t, i) => [
    ...(boxes[i].left < frame.left - 1 || boxes[i].right > frame.right + 1 ? [t.textContent + " is cut"] : []),
    ...texts.filter((_, j) => j > i && !apart(boxes[i], boxes[j])).map((o) => t.textContent + " / " + o.textContent),
  ]);
})"""


BURST = """([code, gap]) => {
  const field = document.activeElement.matches("input") ? document.activeElement : document.body;
  let at = 0;
  for (const key of [...code, "Enter"]) {
    const event = new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true });
    Object.defineProperty(event, "timeStamp", { value: (at += gap) + 10000 });
    if (field.dispatchEvent(event) && key.length === 1 && field !== document.body) field.value += key;
  }
}"""


@pytest.mark.parametrize("theme", ["light", "dim"])
@pytest.mark.parametrize("path", PAGES)
def test_no_accessibility_faults(shown, gallery, path, theme):
    gallery.cookies["theme"] = theme
    assert [] == accessibility_faults(shown(path))


def test_the_main_button_is_large_and_stays_where_it_is(shown):
    places = []
    for path in ("/weigh/", "/weigh/?wrong", "/choose/"):
        page = shown(path)
        box = page.locator(".main-button").bounding_box()
        assert min(box["width"], box["height"]) >= GLOVE_PX
        places.append((box["x"], box["y"], box["width"], box["height"]))
        page.mouse.wheel(0, 400)
        assert places[-1][:2] == tuple(
            page.locator(".main-button").bounding_box()[each] for each in ("x", "y")
        )
    assert 1 == len(set(places))
    assert 1024 - places[0][0] - places[0][2] < 40
    assert 768 - places[0][1] - places[0][3] < 40


SMALLEST_PX = """() => Math.min(...[...document.querySelectorAll("main *")]
  .filter((e) => !e.closest("svg") && e.offsetParent)
  .filter((e) => [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()))
  .map((e) => parseFloat(getComputedStyle(e).fontSize)))"""


@pytest.mark.parametrize("path", ["/weigh/", "/choose/", "/weigh/?wrong"])
def test_nothing_on_the_bench_is_smaller_than_18_pixels(shown, path):
    assert shown(path).evaluate(SMALLEST_PX) >= 18


def test_key_numbers_are_large(shown):
    page = shown("/weigh/")
    for selector in (".key-value", ".big input"):
        assert page.locator(selector).first.evaluate("e => parseFloat(getComputedStyle(e).fontSize)") >= 48


def test_everything_to_press_is_large_enough(shown):
    for path, least in (("/choose/", 44), ("/today/", 44), ("/stock/", 44)):
        page = shown(path, 1440, 900)
        small = page.evaluate(
            """least => [...document.querySelectorAll("a[href], button, summary, input:not([type=hidden]), select")]
              .filter(e => e.offsetParent && !e.closest(".tile, svg, .skip, .job-card"))
              .filter(e => e.getBoundingClientRect().height < least).map(e => e.outerHTML.slice(0, 120))""",
            least,
        )
        assert [] == small


def test_nothing_is_wider_than_the_page_even_at_twice_the_size(shown):
    for path in PAGES:
        page = shown(path, 512, 384)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path


@pytest.mark.parametrize("path", ["/pictures/", "/weigh/", "/stock/"])
def test_no_words_of_a_picture_overlap_in_the_browser(shown, path):
    assert [] == shown(path, 1440, 900).evaluate(TEXTS_THAT_OVERLAP)


def test_focus_goes_to_what_is_wrong(shown):
    page = shown("/weigh/?wrong")
    assert "problems" in page.evaluate("document.activeElement.className")
    page.locator(".problems a").click()
    assert "id_plasma_g" == page.evaluate("document.activeElement.id")


def test_a_scan_where_none_is_asked_for_goes_to_the_scan_door(shown):
    page = shown("/weigh/")
    scan(page, UNIT)
    page.wait_for_url(f"**/scan/?code={UNIT}")


def test_a_scan_fills_the_field_that_waits_for_it_and_sends_the_form(shown):
    page = shown("/choose/")
    scan(page, UNIT)
    expect(page).to_have_title(f"POST {UNIT}")


@pytest.mark.parametrize("before", [["F9"], ["Control+b"]])
def test_a_scan_with_a_prefix_is_known_even_when_slow(shown, before):
    page = shown("/weigh/")
    for key in before:
        page.keyboard.press(key)
    page.keyboard.type(f"]C0{UNIT}", delay=60)
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/scan/?code={UNIT}")


def test_a_burst_without_a_mark_is_a_scan_and_leaves_the_text_field_alone(shown):
    page = shown("/weigh/")
    page.locator("#id_plasma_g").fill("231")
    page.locator("#id_plasma_g").focus()
    page.evaluate(BURST, [UNIT, 16])
    assert "231" == page.locator("#id_plasma_g").input_value()
    page.wait_for_url(f"**/scan/?code={UNIT}")


@pytest.mark.parametrize("gap_ms", [80, 130])
def test_what_a_hand_types_is_no_scan_however_nimble(shown, gap_ms):
    page = shown("/choose/")
    page.locator("#id_bag").focus()
    page.evaluate(BURST, [UNIT, gap_ms])
    assert UNIT == page.locator("#id_bag").input_value()
    assert "" == page.locator("[data-scan-strip]").inner_text()


def test_the_last_four_figures_are_said_at_once(shown):
    page = shown("/weigh/")
    page.route("**/scan/?code=*", lambda route: route.fulfill(status=204))  # the page stays, to be read
    scan(page, UNIT)
    assert "Scanned … 4217" == page.locator("[data-scan-strip]").inner_text()


def test_two_different_codes_at_once_are_both_shown_and_neither_used(shown):
    page = shown("/weigh/")
    page.evaluate(f"codes => codes.forEach((code) => ({BURST})([code, 16]))", [UNIT, OTHER])
    said = page.locator("[data-scan-strip]").inner_text()
    assert "Two codes at once" in said
    assert UNIT[5:12] in said and OTHER[5:12] in said
    page.wait_for_timeout(500)
    assert page.url.endswith("/weigh/")


def test_the_same_code_twice_is_one_scan(shown):
    page = shown("/choose/")
    sent = []
    page.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    scan(page, UNIT)
    scan(page, UNIT)
    expect(page).to_have_title(f"POST {UNIT}")
    assert 1 == len(sent)


def test_a_clock_counts_down_and_turns_by_word_and_shape(shown):
    page = shown("/today/", 1440, 900)
    page.clock.install()
    page.reload()
    clock = page.locator("[data-clock]").first
    assert "left" in clock.inner_text()
    page.clock.fast_forward("02:55:00")
    assert "clock-soon" in clock.get_attribute("class")
    page.clock.fast_forward("00:10:00")
    assert "late" in clock.inner_text()
    assert "clock-late" in clock.get_attribute("class")


@pytest.mark.parametrize(("path", "asked"), [("/weigh/", 1), ("/choose/", 0)])
def test_the_screen_stays_awake_while_a_clock_runs(shown, browser_page, path, asked):
    browser_page.add_init_script(
        "window.asked = 0;"
        "Object.defineProperty(navigator, 'wakeLock', {value: {request: async () => { window.asked += 1; }}})"
    )
    assert asked == shown(path).evaluate("window.asked")


def test_a_form_is_sent_once_however_often_it_is_pressed(shown):
    page = shown("/choose/")
    sent = page.evaluate(
        """() => {
          const form = document.querySelector("#answer");
          let sent = 0;
          window.addEventListener("submit", (event) => {
            if (!event.defaultPrevented) sent += 1;
            event.preventDefault();
          });
          for (let i = 0; i < 3; i += 1) document.querySelector(".main-button").click();
          return sent;
        }"""
    )
    assert 1 == sent


def test_a_page_says_when_the_server_is_gone(shown):
    page = shown("/weigh/")
    strip = page.locator("[data-not-connected]")
    assert not strip.is_visible()
    page.clock.install()
    page.add_init_script("window.fetch = () => Promise.reject(new Error('gone'))")
    page.reload()
    page.clock.fast_forward("00:25")
    strip.wait_for(state="visible")


def test_a_menu_closes_with_escape_and_when_something_else_is_pressed(shown):
    page = shown("/weigh/")
    summary = page.locator(".menu > summary")
    summary.click()
    assert page.locator(".menu a").first.is_visible()
    page.keyboard.press("Escape")
    assert not page.locator(".menu a").first.is_visible()
    summary.click()
    page.locator("h1").click()
    assert not page.locator(".menu a").first.is_visible()


def test_print_has_no_navigation_and_opens_what_is_folded(shown):
    page = shown("/stock/")
    page.emulate_media(media="print")
    assert not page.locator(".top").is_visible()
    assert page.locator(".print-head").is_visible()
    assert page.locator("figure table").first.is_visible()
