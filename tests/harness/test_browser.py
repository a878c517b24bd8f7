"""The watch over a page sees what it is there to see."""

import pytest

from tests.harness.browser import HOW_TO_GET_ONE, Faults, NoBrowser, accessibility_faults, find_browser


@pytest.fixture
def watched(browser):
    page, faults = browser.new_page(), Faults()
    faults.watch(page)
    yield page, faults
    page.close()


def test_a_request_that_leaves_this_computer_is_seen_and_does_not_get_out(watched):
    page, faults = watched
    page.set_content("<img src='http://elsewhere.example/dog.png' alt='a dog'>")
    assert ["left this computer: http://elsewhere.example/dog.png"] == faults.seen[:1]
    assert 0 == page.evaluate("document.images[0].naturalWidth")


def test_an_error_of_a_script_is_seen(watched):
    page, faults = watched
    page.evaluate("console.error('the needle is stuck')")
    page.evaluate("setTimeout(() => { throw new Error('out of blood') }, 0)")
    page.wait_for_function("true")
    assert ["console: the needle is stuck", "script: out of blood"] == [
        each.split(" (")[0] for each in faults.seen
    ]


def test_a_refused_form_is_no_fault(watched):
    page, faults = watched
    page.evaluate("console.error('Response Status Error Code 422 from /draws/')")
    page.wait_for_function("true")
    assert [] == faults.seen


def test_a_picture_that_cannot_be_read_aloud_is_an_accessibility_fault(watched):
    page, _ = watched
    page.set_content(
        "<html lang='en'><title>Bench</title><main><h1>Bench</h1><img src='data:,'></main></html>"
    )
    assert ["image-alt"] == [fault.split(":")[0] for fault in accessibility_faults(page)]


def test_without_a_browser_one_sentence_says_how_to_get_one(monkeypatch, tmp_path):
    monkeypatch.setenv("BUFFYCOAT_BROWSER", str(tmp_path / "none"))
    with pytest.raises(NoBrowser, match="Install one") as no:
        find_browser()
    assert HOW_TO_GET_ONE == str(no.value)
