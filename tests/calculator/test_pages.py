"""The pages: what cannot be computed says why and keeps what was typed; a calculation has an address."""

import pytest
from django.contrib.auth import get_user_model
from django.utils.html import escape

from buffycoat.calculator.catalogue import CALCULATORS, GROUPS
from buffycoat.calculator.views import in_words
from buffycoat.journal.models import Entry

pytestmark = pytest.mark.one_database


@pytest.fixture
def robin(client, db):
    client.force_login(get_user_model().objects.create_user("robin"))
    return client


def page(client, address):
    answer = client.get(f"/calculator/{address}")
    assert 200 == answer.status_code
    return answer.content.decode()


def test_the_page_lists_every_calculator_in_its_group(robin):
    shown = page(robin, "")
    places = [shown.index(f"<h2>{group.title}</h2>") for group in GROUPS]
    assert sorted(places) == places
    assert all(
        f'href="/calculator/{name}/">{escape(each.title)}<' in shown for name, each in CALCULATORS.items()
    )


def test_more_leads_to_it(robin):
    assert '<a href="/calculator/"' in robin.get("/calculator/rcf/").content.decode()


def test_before_anything_is_typed_nothing_is_wrong_and_nothing_is_told(robin):
    shown = page(robin, "target/")
    assert "Error:" not in shown
    assert "The result stands here." in shown
    assert "<data" not in shown


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("volume_ml=4x0", "“4x0” has the letter x in it. Type figures only."),
        ("volume_ml=4,5", "“4,5” has a comma."),
        ("volume_ml=450+g", "“450 g” is in g; this is asked in mL."),
        ("volume_ml=", "Blood wanted is missing. Type it in mL."),
        ("volume_ml=30000", "The volume must be between 0 and 20000 mL; 30000 mL is not."),
    ],
)
def test_what_cannot_be_computed_says_why_and_keeps_what_was_typed(robin, typed, sentence):
    shown = page(robin, f"target/?{typed}&density_g_per_ml=1.06&tare_g=61.25")
    assert "<title>Error: Target on the scale" in shown
    assert "Not computed" in shown
    assert escape(sentence) in shown
    assert 'value="61.25"' in shown
    assert "<data" not in shown
    if value := typed.partition("=")[2]:
        assert f'value="{value.replace("+", " ")}"' in shown


def test_every_input_that_cannot_be_read_is_told_at_once(robin):
    shown = page(robin, "target/?volume_ml=x&density_g_per_ml=y&tare_g=z")
    assert "Not computed, for 3 reasons" in shown


def test_a_usual_value_left_empty_stands_and_one_that_was_changed_is_seen(robin):
    usual = page(robin, "derating/?greatest_rpm=4200&density_g_per_ml=1.4&design_density_g_per_ml=")
    changed = page(robin, "derating/?greatest_rpm=4200&density_g_per_ml=1.4&design_density_g_per_ml=1.4")
    assert '<data class="key-value" value="3888.' in usual
    assert '<data class="key-value" value="4200.0">' in changed
    assert '<details class="fold" open>' not in usual
    assert '<details class="fold" open>' in changed


def test_a_share_may_be_typed_in_per_cent(robin):
    shown = page(robin, "plasma-ceiling/?blood_ml=450&haematocrit=45+%25&anticoagulant_ml=63")
    assert 'value="310.5"' in shown


def test_a_clock_time_is_read_and_told_in_the_zone_that_was_typed(robin):
    shown = page(robin, "expiry-days/?drawn_at=31+Jan+2024+10:00&days=35&zone=Europe/Berlin")
    assert 'value="2024-03-06T23:59:00+01:00">6 Mar 2024, 23:59<' in shown
    assert "Europe/Berlin" in shown


def test_an_unknown_zone_is_refused_in_one_sentence(robin):
    shown = page(robin, "expiry-days/?drawn_at=31+Jan+2024+10:00&days=35&zone=Nowhere")
    assert "“Nowhere” is no time zone known here." in shown


def test_a_time_that_the_clocks_skipped_is_refused(robin):
    shown = page(robin, "expiry-hours/?start=29+Mar+2026+02:30&hours=8&zone=Europe/Berlin")
    assert "02:30 was skipped" in shown


def test_a_line_that_is_not_complete_is_refused_with_what_it_should_hold(robin):
    shown = page(robin, "load-rotor/?loads=610&places=4&pair_limit_g=2")
    assert escape("“610” is not complete: each line is name = net mass in g.") in shown


def test_what_cannot_be_done_says_so_in_words(robin):
    shown = page(robin, "load-rotor/?loads=A+610%0AB+600%0AC+600&places=2&pair_limit_g=2")
    assert "Three bags in a rotor of two places." in shown


def test_what_finds_nothing_says_so(robin):
    shown = page(robin, "excursions/?readings=1+Jun+2026+08:00+%3D+4&low_c=2&high_c=6")
    assert "None found." in shown


def test_a_misfit_is_said_in_a_sentence_and_not_as_a_key_number(robin):
    found = CALCULATORS["reconcile"]
    shown = robin.get("/calculator/reconcile/", found.example).content.decode()
    assert '<p class="told">' in shown
    assert "The plasma weight does not fit the rest: 30 g too much. Was the bag tared?" in shown


@pytest.mark.parametrize("name", [name for name, each in CALCULATORS.items() if each.picture])
def test_a_picture_stands_beside_the_result_with_the_same_as_a_table(robin, name):
    shown = robin.get(f"/calculator/{name}/", CALCULATORS[name].example).content.decode()
    assert "<svg" in shown
    assert "The same as a table" in shown


def test_the_same_calculation_is_given_for_a_terminal(robin):
    shown = page(robin, "rcf/?rpm=4200&radius_mm=250")
    assert "<code>buffycoat calc rcf --rpm 4200 --radius-mm 250</code>" in shown


def test_an_unknown_calculator_is_not_found(robin):
    assert 404 == robin.get("/calculator/nonsense/").status_code


def test_a_calculator_takes_no_post_and_writes_nothing(robin):
    before = Entry.objects.count()
    assert 405 == robin.post("/calculator/rcf/", {"rpm": "4200", "radius_mm": "250"}).status_code
    page(robin, "rcf/?rpm=4200&radius_mm=250")
    assert before == Entry.objects.count()


def test_who_is_not_signed_in_is_led_to_the_sign_in_page(client, db):
    assert "/sign-in/" in client.get("/calculator/rcf/")["Location"]


@pytest.mark.parametrize("found", CALCULATORS.values(), ids=CALCULATORS)
def test_what_may_be_typed_and_where_it_holds_are_said_with_the_words_of_the_page(found):
    for text in (found.explained.arguments, found.explained.range):
        said = in_words(found, text)
        assert not set(said) & {"_", "`"}
        assert said[:1] == said[:1].upper()


def test_arguments_that_are_said_to_be_those_of_another_formula_are_told_in_full(robin):
    shown = page(robin, "moving-range-chart/")
    assert "<dt>What may be typed</dt><dd>Values, at least two.</dd>" in shown
    shown = page(robin, "imbalance/")
    assert (
        "Residual mass, 0 to 100 000 g, the vector sum; speed and radius as for “Field from speed”." in shown
    )


def test_many_figures_are_folded_up_so_that_the_picture_is_seen(robin):
    long, short = ("+".join(map(str, range(count))) for count in (20, 5))
    assert "All other figures</summary>" in page(robin, f"individuals-chart/?values={long}")
    assert "All other figures</summary>" not in page(robin, f"individuals-chart/?values={short}")
