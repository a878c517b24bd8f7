"""The pages of the separation: each bad answer gets its sentence, keeps what was typed and records nothing."""

from datetime import timedelta

import pytest
from django.urls import reverse

from buffycoat.draws.models import DonationRow
from buffycoat.draws.rules import DiscardDonation
from buffycoat.journal.book import Book
from buffycoat.journal.models import Entry
from buffycoat.science.numbering import show_code
from buffycoat.separation.models import SeparationRow
from buffycoat.separation.rules import AddAdditive, LookForClots, SealSegments
from buffycoat.site.rules import limits
from tests.pages import answer, asked, fields, kinds_since, nothing_recorded, text
from tests.walk import unknown

pytestmark = pytest.mark.one_database

STEPS = ("express", "keep-whole", "additive", "clots", "segments")


def page(step, donation, *part):
    return reverse(f"separation-{step}", args=[donation, *part])


def next_step(donation):
    return reverse("next-step", args=[donation])


def before(walk, step):
    """A donation of which that step is the next."""
    donation = walk.spun("dog")
    done = {
        "additive": [lambda: walk.press(donation)],
        "clots": [lambda: walk.do(AddAdditive(donation=donation, additive_ml=100))],
        "segments": [lambda: walk.do(LookForClots(donation=donation, clots=False))],
        "weigh": [lambda: walk.do(SealSegments(donation=donation, segments=4))],
    }
    for name, deeds in done.items():
        if step == "express":
            break
        for deed in deeds:
            deed()
        if name == step:
            break
    return donation


@pytest.mark.parametrize(
    ("step", "question"),
    [
        ("express", "How much plasma came off?"),
        ("additive", "Did the additive run in?"),
        ("clots", "Is there a clot?"),
        ("segments", "How many segments are sealed?"),
        ("weigh", "What does the bag of plasma weigh?"),
    ],
)
def test_each_bag_is_led_to_its_next_question_with_the_freezer_clock(client, walk, step, question):
    response = client.get(next_step(before(walk, step)), follow=True)
    assert question == asked(response)
    assert "Freezer until" in text(response)


@pytest.mark.parametrize(
    ("step", "typed", "kinds", "said"),
    [
        ("express", {"plasma_g": "211"}, ["plasma-expressed"], "Plasma 211 g, "),
        (
            "additive",
            {"outcome": "ran-in"},
            ["additive-added"],
            "100 mL of Invented additive ran in: the red cells keep",
        ),
        (
            "additive",
            {"outcome": "lost", "reason": "port leaked"},
            ["additive-lost"],
            "The additive is lost: the red cells keep the shorter date. Next: look for clots.",
        ),
        ("clots", {"clots": "none"}, ["clots-looked-for"], "No clot seen. Next: seal the segments."),
        (
            "clots",
            {"clots": "seen"},
            ["clots-looked-for", "donation-discarded"],
            "Clots seen: the donation is discarded. Put all its bags in the waste by your local rules.",
        ),
        (
            "segments",
            {"segments": "4"},
            ["segments-sealed"],
            "4 segments are sealed and stay on the unit. Next: weigh",
        ),
    ],
)
def test_a_good_answer_is_recorded_once_and_said_back_with_what_comes_next(
    client, walk, step, typed, kinds, said
):
    donation = before(walk, step)
    address, count = page(step, donation), Entry.objects.count()
    sent = {**fields(client.get(address)), **typed}
    first, second = (client.post(address, sent) for _ in range(2))
    assert kinds == kinds_since(count)
    assert next_step(donation) == first.url == second.url
    assert said in text(client.get(first.url, follow=True))


@pytest.mark.parametrize(
    ("step", "typed", "sentence"),
    [
        ("express", {"plasma_g": ""}, "Plasma on the scale is missing. Type it in g."),
        ("express", {"plasma_g": "2l1"}, "has the letter l in it"),
        ("express", {"plasma_g": "0"}, "0 g: weigh the plasma bag with the plasma in it."),
        ("express", {"plasma_g": "900"}, "900 g of plasma cannot come out of"),
        ("express", {"plasma_g": "400"}, "400 g is more plasma than this bag held"),
        ("express", {"plasma_g": "211", "happened_at": "1 Jan 2020 10:00"}, "this one cannot be earlier"),
        (
            "express",
            {"plasma_g": "211", "happened_at": "31 Dec 2098 10:00"},
            "The time given is still to come",
        ),
        ("express", {"plasma_g": "211", "happened_at": "noon"}, "“noon” has no clock time at its end."),
        ("additive", {}, "What became of the additive?: choose one."),
        ("additive", {"outcome": "lost"}, "Say what happened to the additive"),
        ("additive", {"outcome": "drunk"}, "choose one of those shown."),
        ("clots", {}, "Clots: choose one."),
        ("segments", {"segments": "2"}, "2 segments: this site keeps 3 to 30 on each unit"),
        ("segments", {"segments": "four"}, "“four” has the letters four in it."),
        ("segments", {"segments": "100"}, "100 segments is more than can be right here."),
    ],
)
def test_a_bad_answer_gets_its_sentence_and_stays(client, walk, step, typed, sentence):
    donation = before(walk, step)
    with nothing_recorded():
        response = answer(client, page(step, donation), **typed)
    assert sentence in text(response)
    html = response.content.decode()
    assert "<title>Error: " in html
    assert all(f'value="{value}"' in html for name, value in typed.items() if value and name != "outcome")


@pytest.mark.parametrize("step", ["express", "additive", "clots", "segments"])
def test_whoever_is_second_on_a_bag_is_told_who_was_faster(client, walk, step):
    typed = {"plasma_g": "200", "outcome": "ran-in", "clots": "none", "segments": "5"}
    donation = before(walk, step)
    address = page(step, donation)
    sent = {**fields(client.get(address)), **typed}
    walk.by = "kim"
    {
        "express": lambda: walk.press(donation),
        "additive": lambda: walk.do(AddAdditive(donation=donation, additive_ml=100)),
        "clots": lambda: walk.do(LookForClots(donation=donation, clots=False)),
        "segments": lambda: walk.do(SealSegments(donation=donation, segments=4)),
    }[step]()
    with nothing_recorded():
        response = client.post(address, sent)
    assert "kim was faster" in text(response)
    assert f'href="{next_step(donation)}"' in response.content.decode()


@pytest.mark.parametrize("step", ["express", "additive", "clots", "segments"])
def test_a_question_that_was_answered_is_not_asked_again(client, walk, step):
    donation = walk.weighed("dog")
    response = client.get(page(step, donation), follow=True)
    assert "Print the label of the fresh frozen plasma?" == asked(response)
    assert "already" in text(response)
    assert "Next: label the plasma." in text(response)


def test_a_set_without_additive_is_not_asked_for_one(client, walk):
    donation = walk.expressed("cat")
    response = client.get(page("additive", donation), follow=True)
    assert "This bag set has no additive." in text(response)
    assert "Is there a clot?" == asked(response)


@pytest.mark.parametrize("step", STEPS)
def test_a_discarded_donation_leads_to_its_story(client, walk, step):
    donation = walk.spun("dog")
    walk.do(DiscardDonation(donation=donation, reason="It fell."))
    response = client.get(page(step, donation), follow=True)
    assert [
        (next_step(donation), 302),
        (reverse("donation", args=[donation]), 302),
    ] == response.redirect_chain
    assert "nothing is left to do with it" in text(response)


def test_a_bag_discarded_meanwhile_is_refused_with_what_was_typed(client, walk):
    donation = before(walk, "weigh")
    address = page("weigh", donation, "plasma")
    sent = {**fields(client.get(address)), "gross_g": "240"}
    walk.by = "kim"
    walk.do(DiscardDonation(donation=donation, reason="It fell."))
    with nothing_recorded():
        response = client.post(address, sent)
    assert "kim was faster" in text(response)
    assert 'value="240"' in response.content.decode()


def test_the_stop_mass_is_shown_with_and_without_the_bag_and_its_sources(client, walk):
    response = client.get(page("express", walk.spun("dog")))
    planned_g = response.context["prediction"].express_g
    assert f"{planned_g} g" in text(response)
    assert f"{planned_g + 28} g" in text(response)
    assert "Limits used here, and their sources" in text(response)


def test_a_draw_without_plasma_product_says_so_and_has_no_freezer_clock(client, walk):
    response = client.get(page("express", walk.spun("dog", minutes=20)))
    assert "This draw gives no plasma product." in text(response)
    assert "Freezer until" not in text(response)


def test_a_weight_that_fits_is_recorded_with_its_volume(client, walk):
    donation = before(walk, "weigh")
    expected = client.get(page("weigh", donation, "plasma")).context["expected_gross_g"]
    response = answer(client, page("weigh", donation, "plasma"), gross_g=expected)
    said = text(client.get(response.url, follow=True))
    assert f"{expected} g less bag 28 g = " in said
    assert "Next: weigh the red cells." in said
    expected = client.get(page("weigh", donation, "red-cells")).context["expected_gross_g"]
    response = answer(client, page("weigh", donation, "red-cells"), gross_g=expected)
    assert "haematocrit computed" in text(client.get(response.url, follow=True))


def test_a_weight_that_does_not_fit_asks_why_it_is_right(client, walk):
    donation = before(walk, "weigh")
    address = page("weigh", donation, "plasma")
    heavy = client.get(address).context["expected_gross_g"] + 30
    with nothing_recorded():
        refused = answer(client, address, gross_g=heavy)
    assert "The weight does not fit the rest: 30 g too much." in text(refused)
    assert "Why the weight is right all the same" in text(refused)
    again = client.post(address, {**fields(refused), "gross_g": heavy, "explained": "clamp left on"})
    assert next_step(donation) == again.url


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [("28", "28 g is no more than the empty bag (28 g)."), ("x", "“x” has the letter x in it.")],
)
def test_a_weight_that_cannot_be_is_refused(client, walk, typed, sentence):
    address = page("weigh", before(walk, "weigh"), "plasma")
    with nothing_recorded():
        response = answer(client, address, gross_g=typed)
    assert sentence in text(response)
    assert f'value="{typed}"' in response.content.decode()


def test_a_part_that_does_not_come_of_it_leads_on(client, walk):
    donation = walk.weighed("dog", minutes=20)
    response = client.get(page("weigh", donation, "plasma"), follow=True)
    assert "This donation gives no plasma." in text(response)


def test_a_bag_kept_whole_goes_on_to_the_look_for_clots(client, walk):
    donation = walk.drawn("dog")
    assert "Keep this donation as whole blood?" == asked(client.get(page("keep-whole", donation)))
    response = answer(client, page("keep-whole", donation))
    assert SeparationRow.objects.get(pk=donation).kept_whole
    assert "Next: look for clots." in text(client.get(response.url, follow=True))
    assert "kept whole already" in text(client.get(page("keep-whole", donation), follow=True))


def test_an_underfilled_bag_is_not_kept_whole(client, walk):
    donation = walk.drawn("dog", gross_g=640)
    assert "low" == DonationRow.objects.get().filling
    with nothing_recorded():
        response = answer(client, page("keep-whole", donation))
    assert "An under-filled bag gives red cells only" in text(response)


def test_a_step_may_be_written_down_later_than_it_was_done(client, walk):
    donation = walk.spun("dog")
    zone = limits(Book()).zone
    done_at = walk.at.astimezone(zone) + timedelta(minutes=3)
    answer(client, page("express", donation), plasma_g="211", happened_at=f"{done_at:%H:%M}")
    entry = Entry.objects.get(kind="plasma-expressed")
    assert f"{done_at:%H:%M}" == f"{entry.happened_at.astimezone(zone):%H:%M}"
    assert entry.recorded_at > entry.happened_at


def test_the_list_shows_each_bag_in_work_and_where_it_goes_on(client, walk):
    first, second = walk.drawn("dog"), walk.expressed("cat")
    shown = text(client.get(reverse("separations"))).replace(" ", "")
    assert show_code(first) in shown
    assert show_code(second) in shown
    assert shown.index(show_code(first)) < shown.index(show_code(second))
    walk.do(DiscardDonation(donation=first, reason="It fell."))
    assert show_code(first) not in text(client.get(reverse("separations"))).replace(" ", "")


def test_an_empty_list_says_what_would_stand_there(client):
    assert "No bag waits to be separated." in text(client.get(reverse("separations")))


@pytest.mark.parametrize("step", STEPS)
def test_an_unknown_donation_is_not_found(client, step):
    assert 404 == client.get(page(step, unknown("G"))).status_code


def test_an_unknown_part_is_not_found(client, walk):
    assert 404 == client.get(page("weigh", walk.separated("dog"), "foam")).status_code


def test_plasma_is_not_pressed_off_before_the_draw_is_finished(client, walk):
    assert 404 == client.get(page("express", walk.draw_started("dog"))).status_code


def test_a_form_sent_again_with_other_values_is_refused(client, walk):
    donation = walk.spun("dog")
    sent = {**fields(client.get(page("express", donation))), "plasma_g": "211"}
    client.post(page("express", donation), sent)
    with nothing_recorded():
        response = client.post(page("express", donation), {**sent, "plasma_g": "212"})
    assert "already recorded by robin with other values" in text(response)
